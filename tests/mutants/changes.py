"""The mutants of a module, each its whole text with one change.

What is changed, and into what, is mutmut's: its operators are used as they are.  Its own runner is not.  It cannot
reach functions below a decorator nor what is outside functions, and it starts each mutant from a process in which the
tests have run already: what they keep from one test to the next was then worked out by the right program.
"""

import ast
import random
import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import accumulate
from typing import NamedTuple

STRICT = re.compile(r",\s*(strict=\w+)?\s*\)")


class Change(NamedTuple):
    """One mutant of a module: where it is, what stood there and stands there now, and the whole text."""

    number: int
    line: int
    within: str
    was: str
    becomes: str
    text: str


@dataclass(frozen=True)
class Spot:
    """A statement without what is nested in it: its lines, the function that it is part of, whether loading runs it."""

    first: int
    last: int
    within: str
    loads: bool


def changes(module: str, text: str) -> list[Change]:
    """All mutants, in an order that is always the same but mixed, so that the first hundred are a fair sample."""
    found = [
        (line, changed) for line, changed in _changed_texts(module, text) if is_other_python(changed, text)
    ]
    random.Random(module).shuffle(found)  # a text as seed is the same in every process
    spots = spots_of(text)
    return [
        Change(number, line, spot_at(spots, line).within, *_difference(text, changed), changed)
        for number, (line, changed) in enumerate(found)
    ]


def _changed_texts(module: str, text: str) -> Iterator[tuple[int, str]]:
    """The line of each change, and the text with it."""
    # Only here: nothing but `make mutants` needs mutmut, and the tests of this folder run without.
    import libcst as cst
    from libcst.metadata import MetadataWrapper, PositionProvider
    from mutmut.mutation.file_mutation import MutationVisitor
    from mutmut.mutation.mutators import mutation_operators
    from mutmut.mutation.pragma_handling import IgnoredCode

    class Everywhere(MutationVisitor):
        """Also below decorators; not in assertions, which say what is so: a weaker one changes nothing."""

        def _skip_node_and_children(self, node: cst.CSTNode) -> bool:
            if isinstance(node, cst.FunctionDef):
                return False
            return isinstance(node, cst.Assert) or super()._skip_node_and_children(node)

    wrapper = MetadataWrapper(cst.parse_module(text))
    places = wrapper.resolve(PositionProvider)
    visitor = Everywhere(mutation_operators, IgnoredCode(set(), set(), set()))
    wrapper.visit(visitor)
    lines = text.splitlines(keepends=True)
    starts = [0, *accumulate(map(len, lines))]
    for mutation in visitor.mutations:
        place = places[mutation.original_node].start
        start = starts[place.line - 1] + place.column
        was = wrapper.module.code_for_node(mutation.original_node)
        if text.startswith(was, start):
            becomes = wrapper.module.code_for_node(mutation.mutated_node)
            yield place.line, text[:start] + becomes + text[start + len(was) :]
        else:  # in brackets, or over several lines: the whole module is written anew, a tenth of a second each
            yield place.line, wrapper.module.deep_replace(mutation.original_node, mutation.mutated_node).code


def is_other_python(changed: str, text: str) -> bool:
    """Whether it is a mutant, and can be compiled, which a `return` outside a function cannot.

    `strict=True` of a `zip` is an assertion, too: without it nothing changes as long as what it says is so.
    """
    if STRICT.sub(")", changed) == STRICT.sub(")", text):
        return False
    try:
        compile(changed, "mutant", "exec")
    except SyntaxError:
        return False
    return True


def _difference(text: str, changed: str) -> tuple[str, str]:
    """The lines that differ, before and after, each as one line."""
    before, after = text.splitlines(), changed.splitlines()
    while before and after and before[0] == after[0]:
        del before[0], after[0]
    while before and after and before[-1] == after[-1]:
        del before[-1], after[-1]
    return _in_one(before), _in_one(after)


def _in_one(lines: list[str]) -> str:
    return " ".join(line.strip() for line in lines)


def spots_of(text: str) -> list[Spot]:
    """The statements of a module, outer before inner."""
    return list(_spots(ast.parse(text).body, "", loads=True))


def _spots(body: list[ast.stmt], within: str, *, loads: bool) -> Iterator[Spot]:
    for statement in body:
        inner = [
            child for child in ast.walk(statement) if isinstance(child, ast.stmt) and child is not statement
        ]
        last = min((child.lineno - 1 for child in inner), default=statement.end_lineno or statement.lineno)
        named = isinstance(statement, ast.FunctionDef | ast.ClassDef)
        name = f"{within}.{statement.name}".lstrip(".") if named else within
        yield Spot(statement.lineno, max(last, statement.lineno), name, loads)
        nested = [getattr(statement, part, []) for part in ("body", "orelse", "finalbody")]
        nested += [each.body for part in ("handlers", "cases") for each in getattr(statement, part, [])]
        for each in nested:
            yield from _spots(each, name, loads=loads and not isinstance(statement, ast.FunctionDef))


def spot_at(spots: list[Spot], line: int) -> Spot:
    """The innermost statement on this line; between statements, such as at a `case`, the line itself."""
    on_it = [spot for spot in spots if spot.first <= line <= spot.last]
    if on_it:
        return on_it[-1]
    before = [spot for spot in spots if spot.first <= line]
    return (
        Spot(line, line, before[-1].within, before[-1].loads) if before else Spot(line, line, "", loads=True)
    )
