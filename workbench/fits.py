"""Which games of the catalogue a machine could play perfectly: the words that best play takes as a table.

What does not depend on the machine is stored (`workbench.stored`).  The words are worked out when they are asked
for: best play is walked, proved and packed in every encoding, and each table is read back before it is counted.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import NamedTuple

from budget.card import CostCard
from budget.size import Row, size_play
from games.codes import PLAYERS
from games.game import Game
from games.house import HouseRules, load_house_rules
from games.inputs import InputForm
from games.load import load_game
from games.problems import listed
from solver.best import prove_best
from solver.fixed import fixed_plays
from solver.scores import SolvedScores
from solver.solve import solve
from solver.solved import Solved
from solver.strategy import OPEN
from workbench.stored import Entry

FITS, TOO_MANY_WORDS, LOST, TOO_LARGE = (
    "fits",
    "does not fit as a table",
    "seat is lost",
    "too large to say",
)
HOUSE_RULES = "usual"
MOST_POSITIONS, MOST_ANSWERS = 200_000, 2_000
"""Of larger games the words are not worked out: all the others together take some seconds."""


class Fit(NamedTuple):
    """What is known of one game on a machine that sits in `seat` (``first`` or ``second``).

    answers: up to symmetry; least_words: in the encoding and the reading that take fewest, program not included.
    verdict: one of the four above; None where it is not worked out yet.  reason: why words or verdict are missing.
    """

    game: str
    seat: str
    positions: int
    answers: int | None
    answers_fixed_board: int | None
    least_words: int | None
    encoding: str | None
    reading: str | None
    verdict: str | None
    reason: str | None


class _NoTable(Exception):
    """No table can be made; the message is the reason, in words."""


def fits(
    entries: Mapping[str, Entry], card: CostCard, seats: Sequence[int], tell: Callable[[str], None]
) -> Iterator[Fit]:
    """Every game in every one of the seats (FIRST, SECOND); `tell` is told which game comes next."""
    for name, entry in entries.items():
        tell(name)
        game = load_game(name)
        solved: Solved | SolvedScores | None = None
        for seat in seats:
            known = _without_work(entry, seat)
            if known is not None:
                yield _fit(name, entry, seat, None, *known)
                continue
            solved = solve(game).solved if solved is None else solved
            try:
                row = least_words(solved, seat, card)
            except _NoTable as missing:
                yield _fit(name, entry, seat, None, None, str(missing))
            else:
                yield _fit(name, entry, seat, row, FITS if row.fits else TOO_MANY_WORDS, None)


def _without_work(entry: Entry, seat: int) -> tuple[str, str | None] | None:
    """The verdict and the reason that the stored results give; None where there is a table to be made."""
    if entry.is_lost(seat):
        return LOST, None
    answers = entry.answers[PLAYERS[seat]]
    assert answers is not None, "the seat is not lost"
    if entry.positions > MOST_POSITIONS or answers.up_to_symmetry > MOST_ANSWERS:
        return (
            TOO_LARGE,
            f"words are worked out up to {MOST_POSITIONS:,} positions and {MOST_ANSWERS:,} answers",
        )
    return None


def _fit(name: str, entry: Entry, seat: int, row: Row | None, verdict: str | None, reason: str | None) -> Fit:
    answers = entry.answers[PLAYERS[seat]]
    return Fit(
        name,
        PLAYERS[seat],
        entry.positions,
        None if answers is None else answers.up_to_symmetry,
        None if answers is None else answers.fixed_board,
        None if row is None else row.total_words,
        None if row is None else row.encoding,
        None if row is None else row.reading,
        verdict,
        reason,
    )


def least_words(solved: Solved | SolvedScores, seat: int, card: CostCard) -> Row:
    """The encoding and the reading in which best play takes the fewest words; of equal ones the first by name.

    Raises _NoTable where no encoding is applicable.
    """
    house = _usual_house(solved.game, card)
    rows = size_play(fixed_plays(prove_best(solved, seat, OPEN, house)), house, card).encodings
    possible = [row for row in rows if row.total_words is not None]
    if not possible:
        reasons = dict.fromkeys(str(row.reason) for row in rows)
        raise _NoTable(f"no encoding is possible: {listed(list(reasons), 'and')}")
    return min(possible, key=lambda row: (row.total_words, row.encoding, row.reading))


def _usual_house(game: Game, card: CostCard) -> HouseRules:
    """The usual house rules, read in a way that the machine can."""
    house = load_house_rules(HOUSE_RULES, game)
    if house.form.kind in card.reads:
        return house
    longest = max(game.move_names, key=len)
    if len(longest) > 1:
        raise _NoTable(f"the machine reads single keys, and moves such as '{longest}' are longer")
    return house._replace(form=InputForm("key", 1))
