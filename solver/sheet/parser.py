"""One line, a rule or a weight below one, becomes a small tree, or one clear problem.

A bottom-up reader over the tables that lark made from rules.lark.  Words are looked at in the light of what
may stand next, so a cell may be called as it likes as long as its name is none of the grammar's words there.
"""

import re
from typing import NamedTuple

from games.problems import Problem, listed, near_miss
from solver.sheet.meant import whole_rule_hint
from solver.sheet.tables import ENDS, RULES, STARTS, STATES, WORDS

_PIECE = re.compile(r"""\s*(?:(?P<piece>[^\W_]+(?:'[^\W_]+)?|"[^"]+"|\S)|$)""")
_TYPOGRAPHIC_QUOTES = tuple("\u201c\u201d\u201e\u2018\u2019\u00ab\u00bb")
_LONG_DASHES = tuple("\u2010\u2011\u2012\u2013\u2014\u2212")
_END = "$END"
_IN_WORDS = {
    "NAME": "a cell's name",
    "NUMBER": "a number",
    "FILE": 'a file name in "..."',
    _END: "the end of the line",
}
BEGINNINGS = tuple(word for word, terminal in WORDS.items() if terminal in STATES[0])
"""The words with which a rule can begin."""
_WORD_OF = {terminal: word for word, terminal in WORDS.items()}


class Piece(NamedTuple):
    """A word or sign of the line: its text, and its column counted from 1."""

    text: str
    column: int


class Tree(NamedTuple):
    """A rule or a part of one: its name in the grammar and what it is made of."""

    name: str
    parts: "tuple[Tree | Piece, ...]"


def pieces_of(line: str) -> list[Piece]:
    """The words and signs of a line."""
    return [
        Piece(found["piece"], found.start("piece") + 1) for found in _PIECE.finditer(line) if found["piece"]
    ]


def parse_rule(line: str, file: str, number: int) -> Tree | Problem:
    """The tree of one rule, or what is wrong with it, with the place."""
    return _parse("start", line, file, number)


def parse_weight(line: str, file: str, number: int) -> Tree | Problem:
    """The tree of one weight below *take the heaviest cell*, or what is wrong with it, with the place."""
    return _parse("weight", line, file, number)


def _parse(kind: str, line: str, file: str, number: int) -> Tree | Problem:
    pieces = [*pieces_of(line), Piece("", len(line.rstrip()) + 1)]
    stack: list[tuple[int, list[Tree | Piece]]] = [(STARTS[kind], [])]
    for piece in pieces:
        terminal = _terminal(piece, STATES[stack[-1][0]])
        while True:
            action = STATES[stack[-1][0]].get(terminal)
            if action is None:
                problem = _problem(piece, stack[-1][0], line, file, number)
                return _with_hint(problem, piece, stack[-1][0], kind)
            if action >= 0:
                stack.append((action, [piece]))
                break
            _reduce(stack, action)
            if stack[-1][0] in ENDS:
                tree = stack[-1][1][0]
                assert isinstance(tree, Tree)
                return tree
    raise RuntimeError("the tables of the grammar never accept; run 'make grammar'")


def _reduce(stack: list[tuple[int, list[Tree | Piece]]], action: int) -> None:
    """Replace the last parts on the stack by the one that they make up."""
    symbol, length, name, kept = RULES[-1 - action]
    taken = stack[len(stack) - length :]
    del stack[len(stack) - length :]
    parts = [part for place in kept for part in taken[place][1]]
    whole: list[Tree | Piece] = [Tree(name, tuple(parts))] if name else parts
    stack.append((STATES[stack[-1][0]][symbol], whole))


def _terminal(piece: Piece, row: dict[str, int]) -> str:
    """Which terminal of the grammar a piece is, where a state's row says what may come."""
    if not piece.text:
        return _END
    word = WORDS.get(piece.text.lower(), "")
    if word in row or piece.text == ",":
        return word
    if piece.text.startswith('"'):
        return "FILE" if len(piece.text) > 1 else ""
    if not (piece.text.isascii() and piece.text.isalnum()):
        return ""
    if piece.text.isdigit() and "NUMBER" in row:
        return "NUMBER"
    return "NAME" if not word or _takes_only_a_name(row) else word


def _takes_only_a_name(row: dict[str, int]) -> bool:
    """Whether nothing but a cell's name may stand next: there a cell called ``a`` is no article."""
    return [name for name in row if name.isupper()] == ["NAME"]


def _problem(piece: Piece, state: int, line: str, file: str, number: int) -> Problem:
    expected = sorted(name for name in STATES[state] if name.isupper() or name == _END)
    words = [f"'{_WORD_OF[name]}'" for name in expected if name in _WORD_OF]
    others = [_IN_WORDS[name] for name in expected if name in _IN_WORDS]
    found = f"'{piece.text}'" if piece.text else "the end of the line"
    if piece.text in _TYPOGRAPHIC_QUOTES:
        found += " (a typographic quote; type the straight one)"
    if piece.text in _LONG_DASHES:
        found += " (a long dash; type the short one)"
    return Problem(file, number, piece.column, f"expected {listed([*words, *others])}, not {found}", line)


def _with_hint(problem: Problem, piece: Piece, state: int, kind: str) -> Problem:
    """The problem, with what was probably meant: a word that may stand there, or another whole rule."""
    hint = near_miss(piece.text, [_WORD_OF[name] for name in sorted(STATES[state]) if name in _WORD_OF])
    problem.message += hint or (whole_rule_hint(problem.shown) if kind == "start" else "")
    return problem
