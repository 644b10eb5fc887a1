"""A game of the user's own, written in Python: a file with the functions and constants that `games.game.Game` names.

The file must define `bits`, `start`, `move_names`, `moves(codes)`, `mover(codes)` and `ending(codes)`; all else has a
default that is always right.  It is loaded only where the user names it; see `games.own.userfile`.
"""

import re
from pathlib import Path
from typing import Any

import numpy as np

from games.codes import TURN_BIT, UNFINISHED
from games.game import Game
from games.groups import why_no_group
from games.inputs import WORDS, InputForm
from games.own.game import Constants, PythonGame
from games.own.userfile import UserFile

LONGEST_NAME = InputForm().longest
"""Characters of a move's name: it can be keyed in under house rules that do not say how long a line may be."""
WHOLE = int | np.integer
MOST_MOVES = 10_000
MOST_SYMMETRIES = 256
MOST_REFUSALS = 200
WIDEST, HIGHEST = 26, 26
NO_SUCH_MOVE = "no-such-move"
REFUSALS = (NO_SUCH_MOVE, "taken-by-first", "taken-by-second")
"""Why a move that has a name cannot be played where the file does not say; the last two in games of marks and lines."""
MUST_HAVE = {
    "moves": "def moves(codes), which gives parent, move, child",
    "mover": "def mover(codes), which gives 0 or 1 for each code",
    "ending": "def ending(codes), which gives 0 to 3 for each code",
}
MAY_HAVE = ("turned", "turned_move", "why_not", "gains", "holdings", "code_of", "texts", "read", "drawing")
TOGETHER = (
    ("symmetries", "turned"),
    ("turned", "turned_move"),
    ("turned_move", "symmetries"),
    ("refusals", "why_not"),
    ("why_not", "refusals"),
    ("texts", "read"),
    ("read", "texts"),
    ("holdings", "columns"),
    ("columns", "rows"),
    ("rows", "holdings"),
    ("code_of", "holdings"),
    ("lines", "holdings"),
)
"""What makes no sense without something else."""


def load_python_game(path: str | Path) -> Game:
    """The game of a Python file.  Raises BadInput with every mistake that can be found without playing."""
    file = UserFile(path)
    _check_functions(file)
    said = _read_constants(file)
    file.raise_problems()
    game = PythonGame(file, said)
    _try_start(file, game)
    file.raise_problems()
    return game


def _check_functions(file: UserFile) -> None:
    for name, example in MUST_HAVE.items():
        if name not in file:
            file.missing(name, example)
    for name in (*MUST_HAVE, *MAY_HAVE):
        if name in file and not callable(file[name]):
            file.wrong(name, f"'{name}' should be a function")
    for name, other in TOGETHER:
        if name in file and other not in file:
            file.wrong(name, f"'{name}' is here, but '{other}' is not; expected both")


def _read_constants(file: UserFile) -> Constants:
    bits = _whole(file, "bits", TURN_BIT, 1, TURN_BIT, "how many bits a code takes, without the turn's")
    start = _code(file, "start", bits)
    other_start = _code(file, "other_start", bits) if "other_start" in file else None
    names = _move_names(file)
    columns, rows = _whole(file, "columns", 0, 1, WIDEST), _whole(file, "rows", 0, 1, HIGHEST)
    if columns * rows > TURN_BIT:
        file.wrong(
            "columns", f"a board of {columns} x {rows} is too large; expected at most {TURN_BIT} cells"
        )
    return Constants(
        bits=bits,
        start=start,
        other_start=other_start,
        move_names=names,
        symmetries=_whole(file, "symmetries", 1, 1, MOST_SYMMETRIES),
        can_repeat=_flag(file, "can_repeat", usual=True),
        refusals=_refusals(file),
        title=_text(file, "title", file.stem),
        origin=_text(file, "origin", ""),
        size=_text(file, "size", f"{columns} x {rows}" if columns else f"{len(names)} moves"),
        rules=_texts(file, "rules", _rules_on_top(file), "a list of sentences"),
        columns=columns,
        rows=rows,
        lines=_lines(file, columns * rows, len(names)),
    )


def _try_start(file: UserFile, game: PythonGame) -> None:
    """What can be told at once: the first position is no last one, and the symmetries are a group."""
    for name, start in (("start", game.start), ("other_start", game.other_start)):
        if start is not None and game.ending(np.array([start], dtype=np.uint64))[0] != UNFINISHED:
            file.wrong(name, f"'{name}' is a position that is over already; expected one with moves")
    every = np.arange(len(game.move_names), dtype=np.uint16)
    reason = why_no_group([game.turned_move(s, every).tolist() for s in range(game.symmetries)])
    if reason:
        file.wrong("turned_move", f"turned_move: {reason}")


# Constants ------------------------------------------------------------------------------------------------


def _given(file: UserFile, name: str, wanted: Any, what: str, *, is_needed: bool = False) -> Any:
    """What a name stands for if it has the wanted type; else None, and the mistake is noted if it is one."""
    if name not in file:
        if is_needed:
            file.missing(name, f"{name} = ... ({what})")
        return None
    value = file[name]
    if isinstance(value, wanted) and not (wanted is WHOLE and isinstance(value, bool)):
        return value
    file.wrong(name, f"'{name}' should be {what}, not {_cut(repr(value))}")
    return None


def _whole(file: UserFile, name: str, usual: int, least: int, most: int, what: str = "") -> int:
    """A whole number between two bounds, both included; it must be there if `what` says what it is."""
    form = f"a whole number from {least} to {most}"
    value = _given(file, name, WHOLE, f"{what}: {form}" if what else form, is_needed=bool(what))
    if value is None:
        return usual
    if not least <= value <= most:
        file.wrong(name, f"'{name}' should be {form}, not {value}")
        return usual
    return int(value)


def _code(file: UserFile, name: str, bits: int) -> int:
    value = _given(file, name, WHOLE, "the code of a first position", is_needed=True)
    if value is None:
        return 0
    if value < 0 or int(value) & ~((1 << bits) - 1 | 1 << TURN_BIT):
        file.wrong(name, f"'{name}' should be a code in bits 0 to {bits - 1}, and {TURN_BIT} for the turn")
        return 0
    return int(value)


def _flag(file: UserFile, name: str, *, usual: bool) -> bool:
    value = _given(file, name, bool | np.bool_, "True or False")
    return usual if value is None else bool(value)


def _text(file: UserFile, name: str, usual: str) -> str:
    value = _given(file, name, str, "a text in quotes")
    if value is not None and not value.isprintable():
        file.wrong(name, f"'{name}' should be one line of plain text")
    return usual if value is None else str(value)


def _texts(
    file: UserFile, name: str, usual: tuple[str, ...], what: str, *, is_needed: bool = False
) -> tuple[str, ...]:
    value = _given(file, name, list | tuple, what, is_needed=is_needed)
    if value is None:
        return usual
    if not all(isinstance(text, str) and text and text.isprintable() for text in value):
        file.wrong(name, f"'{name}' should be {what}, each of one line")
        return usual
    return tuple(value)


def _move_names(file: UserFile) -> tuple[str, ...]:
    """What people type.  Names are letters, digits and hyphens, since small machines have little else."""
    before = len(file.problems)
    names = _texts(file, "move_names", (), "a list of the moves' names in order", is_needed=True)
    if len(file.problems) > before:
        return names
    if not 1 <= len(names) <= MOST_MOVES:
        file.wrong("move_names", f"there are {len(names):,} moves; expected 1 to {MOST_MOVES:,}")
    if len({name.lower() for name in names}) != len(names):  # what is keyed in counts in either case
        file.wrong("move_names", "a name is given to two moves; expected each once, in capitals or not")
    for name in names:
        if not re.fullmatch(rf"[A-Za-z0-9-]{{1,{LONGEST_NAME}}}", name):
            form = f"letters, digits and hyphens, {LONGEST_NAME} at most"
            file.wrong("move_names", f"a move cannot be called '{_cut(name)}'; expected {form}")
            break
    return names


def _refusals(file: UserFile) -> tuple[str, ...]:
    usual = REFUSALS if "lines" in file else REFUSALS[:1]
    refusals = _texts(file, "refusals", usual, "a list of reasons why a move may not be played")
    if len(refusals) > MOST_REFUSALS or len(set(refusals)) != len(refusals):
        file.wrong("refusals", f"expected each reason once, and at most {MOST_REFUSALS}")
    for refusal in refusals:
        if refusal in WORDS or not re.fullmatch(r"[a-z]+(-[a-z]+)*", refusal):
            form = f"a name of its own in small letters and hyphens, such as {NO_SUCH_MOVE}"
            file.wrong("refusals", f"a reason cannot be called '{_cut(refusal)}'; expected {form}")
            break
    return refusals


def _lines(file: UserFile, cells: int, moves: int) -> tuple[int, ...]:
    """The lines as sets of cells."""
    lines = _given(file, "lines", list | tuple, "a list of lines, each a set of cells as bits")
    if not lines or not cells or not moves:
        return ()
    if moves != cells:
        form = f"a mark on one of {cells} cells; expected {cells} moves"
        file.wrong("lines", f"'lines' is for games in which each move is {form}")
    for line in lines:
        if not isinstance(line, WHOLE) or not 0 < line < 1 << cells or int(line).bit_count() < 2:
            form = f"a set of two cells or more, as bits 0 to {cells - 1}"
            file.wrong("lines", f"{_cut(repr(line))} is no line; expected {form}")
            return ()
    return tuple(int(line) for line in lines)


def _rules_on_top(file: UserFile) -> tuple[str, ...]:
    """The text on top of the file as rules in words: its paragraphs, each on one line."""
    paragraphs = (" ".join(paragraph.split()) for paragraph in re.split(r"\n\s*\n", file.doc))
    found = tuple(paragraph for paragraph in paragraphs if paragraph)
    return found or (f"The rules stand in {Path(file.path).name}.",)


def _cut(text: str) -> str:
    """A text, if it is short; else its beginning."""
    return text if len(text) <= 40 else f"{text[:40]} ..."
