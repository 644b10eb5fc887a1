"""The text of a C90 program as its parts write it: tables, variables, functions, and the body of `main`.

A program is *freestanding*: all that it needs of its machine stands in ``target.h``, which the toolchain supplies:

* ``byte get_char(void)`` waits for the next character, ``void put_char(byte)`` sends one;
* ``FIXED`` begins the declaration of a table that is never written, ``FIXED_AT`` a pointer to one, and ``FETCH(place)``
  reads a byte of one: on some machines such tables lie in a memory of their own;
* ``OWN_EACH_CALL``, which may be left out: some compilers keep the variables of functions in fixed places, and this
  tells them that the functions behind it have variables of their own in each call.

Nothing is relied on that a static variable would hold at the start.
"""

import re
from collections.abc import Sequence
from typing import NamedTuple

from budget.lowering.choices import Choices

WIDTH = 100
MAIN, STATIC, MIXED = "in main", "static", "static where they last"
INNER = "in the function"
"""Where variables are kept, those of `main` and of functions: some compilers are better at one, some at the other."""
EACH_CALL = """\
#ifndef OWN_EACH_CALL
#define OWN_EACH_CALL
#endif
OWN_EACH_CALL"""
"""What stands before functions that call themselves."""


class Bytes(NamedTuple):
    """What the parts of a program's data take, in bytes: tables, messages, and what is written."""

    tables: int
    messages: int
    written: int


class CText:
    """A C90 program while it is being written."""

    def __init__(self, choices: Choices) -> None:
        self.choices = choices
        self._constants: dict[str, str] = {}
        self._tables: dict[str, str] = {}
        self._statics: dict[str, str] = {}
        self._functions: dict[str, str] = {}
        self._calling: dict[str, str] = {}
        self._locals: dict[str, str] = {}
        self._lasting: set[str] = set()
        self._body: list[str] = []
        self._fresh: dict[str, int] = {}
        self._sizes = {"tables": 0, "messages": 0}

    def constant(self, name: str, value: int, remark: str) -> str:
        """A name for a number."""
        self._constants[name] = f"#define {name} {value}  /* {remark} */"
        return name

    def table(self, name: str, values: Sequence[int], remark: str) -> str:
        """A table of bytes that is never written."""
        self._tables[name] = _wrapped(f"static FIXED byte {name}[{len(values)}]", values, remark)
        self._sizes["tables"] += len(values)
        return name

    def message(self, name: str, codes: Sequence[int]) -> str:
        """A text, with a 0 at its end."""
        self._tables[name] = f'static FIXED byte {name}[] = "{"".join(map(_in_string, codes))}";'
        self._sizes["messages"] += len(codes) + 1
        return name

    def array(self, name: str, size: int, remark: str, kind: str = "byte") -> str:
        """Static bytes that the program writes."""
        self._statics[name] = f"static {kind} {name}[{size}];  /* {remark} */"
        return name

    def static(self, name: str, remark: str, kind: str = "byte") -> str:
        """A variable that functions know as well."""
        self._locals.pop(name, None)
        self._statics[name] = f"static {kind} {name};  /* {remark} */"
        return name

    def local(self, name: str, remark: str, kind: str = "byte", *, lasts: bool = False) -> str:
        """A variable of `main`; lasts: it holds its value from one move to the next."""
        self._locals[name] = f"{kind} {name};  /* {remark} */"
        if lasts:
            self._lasting.add(name)
        return name

    def function(self, name: str, text: str) -> str:
        """A function, written once, however often it is asked for."""
        self._functions.setdefault(name, text.strip("\n"))
        return name

    def calling_function(self, name: str, text: str) -> str:
        """A function that comes to call itself."""
        self._calling.setdefault(name, text.strip("\n"))
        return name

    def has_function(self, name: str) -> bool:
        """Whether a function has been written."""
        return name in self._functions

    def put(self, lines: str) -> None:
        """Lines of `main`, indented among themselves as they are to be."""
        self._body.extend(f"    {line}" if line else line for line in lines.strip("\n").split("\n"))

    def label(self, name: str) -> None:
        """A place in `main`; it is left out where nothing leads to it."""
        self._body.append(f"{name}:")

    def fresh(self, name: str) -> str:
        """A name that nothing else has."""
        self._fresh[name] = self._fresh.get(name, 0) + 1
        return f"{name}_{self._fresh[name]}"

    def sizes(self) -> Bytes:
        """What its data take."""
        return Bytes(self._sizes["tables"], self._sizes["messages"], 0)

    def render(self, title: str) -> str:
        """The whole program."""
        lasting = self._lasting & set(self._locals)
        ways = (MAIN, STATIC, MIXED) if 1 < len(lasting) < len(self._locals) else (MAIN, STATIC)
        kept = self.choices.pick("variables", ways)
        is_static = {name: kept == STATIC or (kept == MIXED and name in lasting) for name in self._locals}
        statics = [f"static {each}" for name, each in self._locals.items() if is_static[name]]
        inner = [f"    {each}" for name, each in self._locals.items() if not is_static[name]]
        parts = [
            f"/* {title} */",
            '#include "target.h"',
            "\n".join(self._constants.values()),
            "\n".join(self._tables.values()),
            "\n".join([*self._statics.values(), *statics]),
            "\n".join(f"{re.findall(r'^static .*', each, re.M)[0]};" for each in self._calling.values()),
            *self._functions.values(),
            "\n".join(["int main(void)", "{", *inner, "", *self._used(), "}"]),
            *((EACH_CALL, *self._calling.values()) if self._calling else ()),
        ]
        return "\n\n".join(part for part in parts if part) + "\n"

    def _used(self) -> list[str]:
        """The body without labels to which nothing leads."""
        led_to = set(re.findall(r"\bgoto (\w+);", "\n".join(self._body)))
        return [line for line in self._body if not re.fullmatch(r"\w+:", line) or line[:-1] in led_to]


def character(code: int) -> str:
    """A code as C writes it: a sign in quotes where it has one."""
    sign = chr(code)
    return f"'{sign}'" if 32 < code < 127 and sign not in "'\\?" else str(code)


def _in_string(code: int) -> str:
    """A code inside a string; no question mark stands bare, for two of them may mean something else in C90."""
    return chr(code) if 32 <= code < 127 and chr(code) not in '"\\?' else f"\\{code:03o}"


def _wrapped(head: str, values: Sequence[int], remark: str) -> str:
    """A table's declaration in lines that can be read."""
    lines, line = [f"{head} = {{  /* {remark} */"], "   "
    for value in values:
        if len(line) + len(str(value)) + 2 > WIDTH:
            lines.append(line)
            line = "   "
        line += f" {value},"
    return "\n".join([*lines, line.removesuffix(","), "};"])
