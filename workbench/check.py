"""One checker for every kind of file: whether it is well written, and what it is."""

from pathlib import Path
from typing import NamedTuple

from games.game import Game
from games.house import USUAL_RULE, parse_house_rules
from games.load import is_program, load_game, parse_game
from games.problems import BadInput
from games.tomlfile import kind_among, read_text
from solver.load import Written, load_strategy
from workbench.output import plural

KINDS = ("game", "house-rules", "machine", "characters", "order-sheet", "conversation", "rubric")
ORDERS = ".orders"
"""How the name of a program in Wordtight's own orders ends."""
LOG = ".jsonl"
"""How the name of a stand's log ends."""
DEFAULT_GAME = "noughts-and-crosses"


class Checked(NamedTuple):
    """A file that is well written: its kind, what it is in plain sentences, and figures of the check for `--json`."""

    kind: str
    about: str
    figures: dict[str, int | bool] | None = None


def check_file(path: str | Path, *, game: str | None = None, seat: str | None = None) -> Checked:
    """Read a file of any kind with all its checks, and say what it is.

    A rule sheet or table needs a game and a seat (from its header, or given here); house rules are checked
    for a game, noughts and crosses unless told.  Raises BadInput with every mistake of the file.
    """
    file = str(path)
    if file.lower().endswith(".toml"):
        return _check_toml(file, game)
    if file.lower().endswith(ORDERS):
        return _check_orders(file)
    if file.lower().endswith(LOG):
        return _check_log(file)
    if is_program(file):
        return _check_program(file)
    return _about_strategy(load_strategy(file, game=game, seat=seat))


def _check_toml(file: str, game: str | None) -> Checked:
    text = read_text(file)
    kind = kind_among(text, file, KINDS)
    if kind == "game":
        return Checked(kind, _about_game(parse_game(text, file)))
    if kind == "house-rules":
        played = load_game(game or DEFAULT_GAME)
        house = parse_house_rules(text, file, played)
        own = [rule for rule in house.rules if rule.name != USUAL_RULE]
        priced = sum(rule.cost != "nothing" for rule in own)
        has = f"{plural(len(own), 'rule')}, {priced or 'none'} of them with a cost"
        return Checked(kind, f"house rules for {played.title}: {has}.")
    if kind == "conversation":
        return _check_conversation(text, file, load_game(game or DEFAULT_GAME))
    return _BY_TEXT_ALONE[kind](text, file)


def _check_machine(text: str, file: str) -> Checked:
    from budget.card import parse_machine

    card = parse_machine(text, file)
    about = f"a machine: {card.title}, {card.store_words:,} words of {card.word_bits} bits."
    return Checked("machine", about)


def _check_characters(text: str, file: str) -> Checked:
    from budget.characters import parse_characters

    code = parse_characters(text, file)
    about = (
        f"a character code: {code.title}, {plural(len(code.characters), 'character')} of {code.bits} bits."
    )
    return Checked("characters", about)


def _check_conversation(text: str, file: str, game: Game) -> Checked:
    """How a program converses, in a game; the house rules that it leaves the rest to are the usual ones."""
    from games.house import load_house_rules
    from workbench.drill.manner import parse_manner

    manner = parse_manner(text, file, load_house_rules("usual", game), game)
    waits = "as told" if manner.waits_told else "as the house rules ask"
    about = f"a conversation for {game.title}: it waits {waits}, and has {manner.limits.milliseconds:,} ms to answer."
    return Checked("conversation", about)


def _check_rubric(text: str, file: str) -> Checked:
    from workbench.grading.rubric import parse_rubric

    rubric = parse_rubric(text, file)
    named = f" '{rubric.title}'" if rubric.title else ""
    about = f"a rubric{named}: {plural(rubric.points, 'point')} for an attempt without fault."
    return Checked("rubric", about)


def _check_order_sheet(text: str, file: str) -> Checked:
    from budget.target.reading import parse_sheet

    sheet = parse_sheet(text, file)
    return Checked("order-sheet", f"an order sheet: {sheet.title}, {plural(len(sheet.orders), 'order')}.")


_BY_TEXT_ALONE = {
    "machine": _check_machine,
    "characters": _check_characters,
    "order-sheet": _check_order_sheet,
    "rubric": _check_rubric,
}
"""What is read in the same way whatever the game."""


def _check_orders(file: str) -> Checked:
    """A program in Wordtight's orders: how it is spelled.  What it is in words depends on the machine."""
    from budget.machine.source import read_statements

    statements = read_statements(read_text(file), file)
    instructions = sum(statement.order is not None for statement in statements)
    return Checked("program", f"a program of {plural(instructions, 'instruction')}.")


def _check_log(file: str) -> Checked:
    """What a stand has kept: its lines, and that they follow each other.  Whether it played well is for a replay."""
    from workbench.stand.history import history_of, totals_of
    from workbench.stand.logbook import read_log

    log = read_log(file)
    totals = totals_of(history_of(log, file).games)
    of = f"'{log.header.get('strategy')}' ({log.header.get('game')})"
    about = f"the log of a stand with {of}: {plural(totals.games, 'game')}, {plural(totals.inputs, 'input')}."
    return Checked("stand-log", about, {"games": totals.games, "inputs": totals.inputs})


def _check_program(file: str) -> Checked:
    """A game written in Python: its functions are tried on its positions."""
    from games.own.file import load_python_game
    from games.own.lawful import look_over

    game = load_python_game(file)
    found = look_over(game)
    if found.problems or found.reached is None:
        raise BadInput(found.problems)
    about = (
        f"{_about_game(game)} Its functions keep what a game promises, tried on {found.reached.in_words()}."
    )
    if game.can_repeat and found.reached.is_whole and not found.comes_back:
        about += " No position comes back: 'can_repeat = False' would have it solved faster."
    if found.reached.is_whole and not found.reached.is_over.any():
        about += " But no position is over: every game goes on for ever."
    figures = {"positions": len(found.reached.codes), "all_positions": found.reached.is_whole}
    return Checked("python-game", about, figures)


def _about_game(game: Game) -> str:
    return f"a game: {game.title}, {game.size}; it looks the same in {plural(game.symmetries, 'way')}."


def _about_strategy(written: Written) -> Checked:
    seats = {(0,): "moves first", (1,): "moves second", (0, 1): "moves first or second"}[written.seats]
    is_table = written.is_table
    what = "a table" if is_table else f"a rule sheet of {plural(len(written.rules), 'rule')}"
    about = f"{what} for {written.game.title}; the machine {seats}; claim {written.claim}."
    return Checked("table" if is_table else "rules", about)
