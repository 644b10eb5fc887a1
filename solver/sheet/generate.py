"""Turn rules.lark into tables.py: run `make grammar` after a change of the grammar.

Only development needs lark.  The tables are those of lark's own LALR(1) analysis; a test holds that the
small reader in parser.py and lark build the same trees.
"""

from collections.abc import Iterable
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
GRAMMAR = HERE / "rules.lark"
TABLES = HERE / "tables.py"
STARTS = ("start", "weight")
"""The kinds of lines that the grammar knows."""
HEADER = '''"""Made from rules.lark by generate.py (`make grammar`); do not edit.

STATES: for each state what to do on each terminal or symbol: n >= 0 go to state n, n < 0 reduce by RULES[-1 - n].
STARTS: the state in which each kind of line begins, a rule (`start`) in the first of all.  ENDS: the states in which
a line is complete.
RULES: symbol, length, tree name ("" = give the parts to the rule above), and which parts are kept.
WORDS: the terminal of each fixed word.
"""

'''


def lark_parser() -> Any:
    """The grammar as lark's own parser."""
    from lark import Lark

    grammar = GRAMMAR.read_text(encoding="utf-8") + "\n%ignore /[ \\t]+/\n"
    return Lark(grammar, parser="lalr", start=list(STARTS))


def tables_text() -> str:
    """The text that tables.py must have: the states numbered in the order in which they are first met."""
    lark = lark_parser()
    table = lark.parser.parser._parse_table  # noqa: SLF001 - lark offers no other way to its tables
    order = _states_in_order(table)
    rules = {rule: place for place, rule in enumerate(lark.rules)}
    rows = [
        {name: _action(step[0], step[1], order, rules) for name, step in sorted(table.states[state].items())}
        for state in order
    ]
    words = sorted((end.pattern.value, end.name) for end in lark.terminals if end.pattern.type == "str")
    return "".join(
        [
            HEADER,
            f"STARTS = { ({start: order[table.start_states[start]] for start in STARTS})!r}\n",
            f"ENDS = {tuple(order[table.end_states[start]] for start in STARTS)!r}\n",
            _listing("STATES: tuple[dict[str, int], ...]", map(repr, rows)),
            _listing("RULES: tuple[tuple[str, int, str, tuple[int, ...]], ...]", map(_rule, lark.rules)),
            "WORDS: dict[str, str] = {\n"
            + "".join(f"    {word!r}: {name!r},\n" for word, name in words)
            + "}\n",
        ]
    )


def _states_in_order(table: Any) -> dict[Any, int]:
    """The new number of each state; lark's own numbers change from run to run."""
    waiting = [table.start_states[start] for start in STARTS]
    order = {state: number for number, state in enumerate(waiting)}
    for state in waiting:
        for _, (action, argument) in sorted(table.states[state].items()):
            if str(action) == "Shift" and argument not in order:
                order[argument] = len(order)
                waiting.append(argument)
    return order


def _listing(name: str, items: Iterable[str]) -> str:
    return f"{name} = (\n" + "".join(f"    {item},\n" for item in items) + ")\n"


def _action(action: Any, argument: Any, order: dict[Any, int], rules: dict[Any, int]) -> int:
    return order[argument] if str(action) == "Shift" else -1 - rules[argument]


def _rule(rule: Any) -> str:
    """Symbol, length, tree name, kept parts: as lark would build its tree."""
    name = str(rule.alias or rule.origin.name)
    kept = tuple(place for place, part in enumerate(rule.expansion) if not getattr(part, "filter_out", False))
    return repr((str(rule.origin.name), len(rule.expansion), "" if name.startswith("_") else name, kept))


def main() -> None:
    """Write tables.py."""
    TABLES.write_text(tables_text(), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
