"""How a program converses: what it prints when it waits, how a move is keyed in, where its move and verdicts stand.

Everything has a default, taken from the house rules; a conversation file says what is otherwise.
"""

from collections.abc import Mapping
from typing import NamedTuple

from games.game import Game
from games.house import EVERY_CLASS, HouseRules
from games.inputs import classes_of
from games.tomlfile import Table, parse_toml, read_text
from workbench.drill.sandbox import Limits

MOVE = "{move}"
"""Where a move's name stands, in what is keyed in and in what is printed."""
OUTCOMES = ("machine-wins", "visitor-wins", "draw")
LINE_ENDS = {"newline": b"\n", "return": b"\r", "both": b"\r\n", "none": b""}

Texts = tuple[str, ...]


class Manner(NamedTuple):
    """How one program converses.

    waits: with what its output ends when it waits; waits_told: whether a file says so.  enter: what is keyed in for
    a move.  names: what it calls the moves, by number.  again: what is keyed in after the end for another game.
    moves: how it tells its move.  outcomes: how it tells each outcome, by name; outcomes_told: which of them a
    file gives.  answers, forgiven: how it answers wrong input, by class, where that is not what the house rules say.
    """

    waits: Texts
    waits_told: bool
    enter: str
    names: Texts
    line_end: bytes
    again: str
    moves: Texts
    outcomes: Mapping[str, Texts]
    outcomes_told: frozenset[str]
    answers: Mapping[str, Texts]
    forgiven: Mapping[str, Texts]
    terminal: bool
    limits: Limits

    def keyed(self, text: str) -> bytes:
        """An input that is no move, as it goes to the program."""
        return text.encode("utf-8") + self.line_end

    def keyed_move(self, move: int) -> bytes:
        """A move, as it goes to the program."""
        return self.keyed(self.enter.replace(MOVE, self.names[move]))

    def answers_to(self, input_class: str, text: str, *, mild: bool) -> Texts:
        """What may be said to wrong input of a class for which the house rules have `text`: none if that is empty."""
        told = self.forgiven if mild else self.answers
        return told.get(input_class) or ((text,) if text.strip() else ())


def load_manner(file: str | None, house: HouseRules, game: Game) -> Manner:
    """A conversation file, or the usual way to converse if there is none.  Raises BadInput with every mistake."""
    if file is None:
        return parse_manner('kind = "conversation"', "", house, game)
    return parse_manner(read_text(file), file, house, game)


def parse_manner(text: str, file: str, house: HouseRules, game: Game) -> Manner:
    """The same from text already at hand; `file` is what messages call it."""
    table = parse_toml(text, file, "conversation")
    by_key = house.form.kind == "key"
    outcomes = {name: _texts(table, name, (house.messages[name],)) for name in OUTCOMES}
    manner = Manner(
        waits=_texts(table, "waits", tuple(filter(str.strip, (house.messages["ask"],)))),
        waits_told="waits" in table,
        enter=_with_move(table, "enter", (MOVE,))[0],
        names=_names(table, game),
        line_end=LINE_ENDS[table.text("line-end", "none" if by_key else "newline", tuple(LINE_ENDS))],
        again=table.text("again", default=game.move_names[0] if by_key else ""),
        moves=_with_move(table, "machine-moves", (f"{house.messages['machine-moves']} {MOVE}",)),
        outcomes=outcomes,
        outcomes_told=frozenset(name for name in OUTCOMES if name in table),
        answers=_by_class(table.table("answers"), game),
        forgiven=_by_class(table.table("forgiven"), game),
        terminal=table.flag("terminal", default=True),
        limits=_limits(table.table("limits")),
    )
    table.finish()
    table.raise_problems()
    return manner


def _texts(table: Table, key: str, default: Texts) -> Texts:
    """A list of texts, none of them empty."""
    texts = table.texts(key, default=default)
    if key in table and not all(map(str.strip, texts)):
        table.wrong(key, f"'{key}' holds an empty text; expected what the program prints")
    return texts


def _with_move(table: Table, key: str, default: Texts) -> Texts:
    """Texts with the place of a move in each of them; `enter` is a single one."""
    texts = (table.text(key, default=default[0]),) if key == "enter" else table.texts(key, default=default)
    for text in texts:
        if text.count(MOVE) != 1:
            table.wrong(key, f"'{key}' should have {MOVE} once in each text, where the move's name stands")
    return texts or default


def _names(table: Table, game: Game) -> Texts:
    names = table.texts("names", default=game.move_names)
    if len(names) != len(game.move_names):
        table.wrong(
            "names", f"'names' has {len(names)} names; expected {len(game.move_names)}, in the game's order"
        )
    elif len({name.upper() for name in names}) < len(names) or not all(map(str.strip, names)):
        table.wrong("names", "'names' has a name twice, or an empty one; expected one for each move")
    return names


def _by_class(table: Table, game: Game) -> dict[str, Texts]:
    """For each class of wrong input that is named, or for all, what is said."""
    classes = classes_of(game)
    every = _texts(table, EVERY_CLASS, ())
    named = {name: _texts(table, name, every) for name in classes}
    table.finish()
    return {name: texts for name, texts in named.items() if texts}


def _limits(table: Table) -> Limits:
    usual = Limits()
    limits = Limits(
        table.whole("milliseconds", default=usual.milliseconds, least=10, most=600_000),
        table.whole("output-kb", default=usual.output_kb, least=1, most=10_000),
        table.whole("memory-mb", default=usual.memory_mb, least=16),
        table.whole("file-kb", default=usual.file_kb),
        table.whole("open-files", default=usual.open_files, least=8),
        table.whole("processes", default=usual.processes, least=1),
    )
    table.finish()
    return limits
