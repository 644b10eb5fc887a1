"""The text of a program, line by line: docs/programs.md, "How a program is written".

This module knows spelling only: what a label is worth and where a word lies is found out by the assembler.
"""

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from budget.machine.orders import ORDER_NAMED, Operand, Order
from games.problems import BadInput, Problem, near_miss

DIRECTIVES = ("word", "text", "space", "at", "pool", "loose")
_TOKEN = re.compile(
    r"""(?P<space>[ \t]+)|(?P<comment>\#.*)|(?P<name>[A-Za-z_][A-Za-z0-9_]*)
    |(?P<number>0x[0-9A-Fa-f]+|0o[0-7]+|0b[01]+|[0-9]+(?![A-Za-z0-9_]))|(?P<text>"[^"]*")|(?P<sign>'[^']')
    |(?P<mark>[-+*(),:=!])""",
    re.VERBOSE,
)
LONGEST_NUMBER = 20
"""Digits and prefix: more than any word needs."""
DEEPEST = 20
"""Brackets and minus signs within one another."""
REMEMBERED = 4096
"""Of so many lines it is remembered what they ask for: the search for a short program writes most of them again."""


class Token(NamedTuple):
    """A word, number or mark of a line; columns count from 1."""

    kind: str
    text: str
    column: int


class Number(NamedTuple):
    """A number as it stands there."""

    value: int


class Sign(NamedTuple):
    """A character in quotes, worth its code."""

    sign: str
    column: int


class Name(NamedTuple):
    """A label or a name for a number."""

    name: str
    column: int


class Sum(NamedTuple):
    """Two expressions and what joins them: ``+``, ``-`` or ``*``."""

    mark: str
    left: "Expression"
    right: "Expression"


Expression = Number | Sign | Name | Sum


class Statement(NamedTuple):
    """What one line asks for.

    labels: those before it; what: an order's name, a directive, ``=`` for a name that is given a value, or nothing;
    operands: what follows; manner: ``=`` for a constant from the pool, ``!`` for a whole address; said: the text
    of `text`, or the name of ``=``; column: of the first operand, or of `what`.
    """

    line: int
    labels: tuple[Name, ...]
    what: str
    operands: tuple[Expression, ...]
    manner: str
    said: str
    column: int

    @property
    def order(self) -> Order | None:
        """The order, where it is one."""
        return ORDER_NAMED.get(self.what)


class Wrong(Exception):
    """A mistake in the line that is being read."""

    def __init__(self, column: int, message: str) -> None:
        super().__init__(message)
        self.column = column
        self.message = message


def read_statements(text: str, file: str) -> list[Statement]:
    """The statements of a program text, empty lines left out.  Raises BadInput with every line that has a mistake."""
    statements = []
    problems = []
    for number, line in enumerate(text.split("\n"), 1):
        try:
            statement = _statement(line)
        except Wrong as wrong:
            problems.append(Problem(file, number, wrong.column, wrong.message, line))
            continue
        if statement.what or statement.labels:
            statements.append(statement._replace(line=number))
    if problems:
        raise BadInput(problems)
    return statements


@lru_cache(maxsize=REMEMBERED)
def _statement(line: str) -> Statement:
    """What a line asks for, wherever it stands.  Raises Wrong."""
    return _Line(line).statement()


def names_in(expression: Expression) -> Iterator[Name]:
    """The labels and names that an expression uses."""
    if isinstance(expression, Name):
        yield expression
    elif isinstance(expression, Sum):
        yield from names_in(expression.left)
        yield from names_in(expression.right)


def signs_in(expression: Expression) -> Iterator[Sign]:
    """The characters in quotes that an expression uses."""
    if isinstance(expression, Sign):
        yield expression
    elif isinstance(expression, Sum):
        yield from signs_in(expression.left)
        yield from signs_in(expression.right)


def _tokens(line: str) -> list[Token]:
    tokens = []
    at = 0
    while at < len(line):
        found = _TOKEN.match(line, at)
        if not found:
            raise Wrong(at + 1, _strange(line, at))
        kind = str(found.lastgroup)
        if kind not in ("space", "comment"):
            tokens.append(Token(kind, found[0], at + 1))
        at = found.end()
    return tokens


def _strange(line: str, at: int) -> str:
    sign = line[at]
    if sign == '"':
        return "a text must end with its quote on the same line"
    if sign == "'":
        return "expected one character between two quotes, such as 'A'"
    if sign.isdigit():
        return "a number is made of digits: 12, 0x1F (base 16), 0o17 (base 8) or 0b101 (base 2)"
    return (
        f"'{sign}' means nothing here; a remark begins with '#'"
        if sign.isprintable()
        else "a strange character"
    )


class _Line:
    """Reads the tokens of one line from left to right; which line it is, nobody has said yet."""

    def __init__(self, line: str) -> None:
        self._end = len(line.rstrip()) + 1
        self._tokens = _tokens(line)
        self._at = 0
        self._depth = 0

    def statement(self) -> Statement:
        """The line's statement.  Raises Wrong."""
        labels = tuple(self._labels())
        column = self._column
        if not self._peek():
            return self._made(labels, "", column)
        word = self._take("name", "expected a label, an order or a name")
        if self._peek() == "=" and word.text not in (*ORDER_NAMED, *DIRECTIVES):
            self._at += 1
            value = self._expression()
            return self._ended(self._made(labels, "=", column, (value,), said=word.text))
        if word.text in DIRECTIVES:
            return self._ended(self._directive(labels, word.text, column))
        if word.text in ORDER_NAMED:
            return self._ended(self._instruction(labels, ORDER_NAMED[word.text], column))
        known = (*ORDER_NAMED, *DIRECTIVES)
        hint = near_miss(word.text, known) or "; a label ends with ':'"
        raise Wrong(column, f"there is no order '{word.text}'{hint}")

    def _labels(self) -> Iterator[Name]:
        while self._kind() == "name" and self._peek(1) == ":":
            token = self._tokens[self._at]
            if token.text in ORDER_NAMED or token.text in DIRECTIVES:
                raise Wrong(token.column, f"'{token.text}' is an order; expected another name for a label")
            self._at += 2
            yield Name(token.text, token.column)

    def _instruction(self, labels: tuple[Name, ...], order: Order, column: int) -> Statement:
        if order.operand is Operand.NONE:
            return self._made(labels, order.name, column)
        begin = self._column
        if not self._peek():
            what = {Operand.WORD: "a word", Operand.PLACE: "a place"}.get(order.operand, "a number")
            raise Wrong(begin, f"'{order.name}' needs {what} after it")
        manner = ""
        if self._peek() in ("=", "!"):
            manner = self._tokens[self._at].text
            if (manner == "=" and order.operand is not Operand.WORD) or order.operand > Operand.PLACE:
                raise Wrong(begin, f"'{order.name}' takes no '{manner}'")
            self._at += 1
        return self._made(labels, order.name, begin, (self._expression(),), manner)

    def _directive(self, labels: tuple[Name, ...], what: str, column: int) -> Statement:
        begin = self._column
        if what in ("pool", "loose"):
            return self._made(labels, what, column)
        if what == "text":
            said = self._take("text", 'expected a text in quotes, such as "YOUR MOVE"').text
            return self._made(labels, what, begin, said=said[1:-1])
        values = [self._expression()]
        while what == "word" and self._peek() == ",":
            self._at += 1
            values.append(self._expression())
        return self._made(labels, what, begin, tuple(values))

    def _made(
        self,
        labels: tuple[Name, ...],
        what: str,
        column: int,
        operands: tuple[Expression, ...] = (),
        manner: str = "",
        said: str = "",
    ) -> Statement:
        return Statement(0, labels, what, operands, manner, said, column)

    def _ended(self, statement: Statement) -> Statement:
        if self._peek():
            raise Wrong(self._column, f"'{self._peek()}' is too much here; expected the end of the line")
        return statement

    # -- expressions --------------------------------------------------------------------------

    def _expression(self) -> Expression:
        value = self._term()
        while self._peek() in ("+", "-"):
            mark = self._tokens[self._at].text
            self._at += 1
            value = Sum(mark, value, self._term())
        return value

    def _term(self) -> Expression:
        value = self._factor()
        while self._peek() == "*":
            self._at += 1
            value = Sum("*", value, self._factor())
        return value

    def _factor(self) -> Expression:
        begin, kind, text = self._column, self._kind(), self._peek()
        self._depth += 1
        if self._depth > DEEPEST:
            raise Wrong(begin, "this is nested too deeply")
        self._at += 1
        value: Expression
        if kind == "number":
            if len(text) > LONGEST_NUMBER:
                raise Wrong(begin, "this number is far too long")
            value = Number(int(text, 0) if text[1:2].isalpha() else int(text))
        elif kind == "sign":
            value = Sign(text[1], begin)
        elif kind == "name":
            value = Name(text, begin)
        elif text == "-":
            value = Sum("-", Number(0), self._factor())
        elif text == "(":
            value = self._expression()
            if self._peek() != ")":
                raise Wrong(self._column, "expected ')'")
            self._at += 1
        else:
            raise Wrong(begin, "expected a number, a name or a character in quotes")
        self._depth -= 1
        return value

    # -- tokens -------------------------------------------------------------------------------

    @property
    def _column(self) -> int:
        return self._tokens[self._at].column if self._at < len(self._tokens) else self._end

    def _peek(self, ahead: int = 0) -> str:
        at = self._at + ahead
        return self._tokens[at].text if at < len(self._tokens) else ""

    def _kind(self) -> str:
        return self._tokens[self._at].kind if self._at < len(self._tokens) else ""

    def _take(self, kind: str, expected: str) -> Token:
        if self._kind() != kind:
            raise Wrong(self._column, expected)
        self._at += 1
        return self._tokens[self._at - 1]
