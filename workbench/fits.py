"""Which games of the catalogue a machine could play perfectly: the words that best play takes as a table.

What a table's words follow from is stored (`workbench.stored`): best play was walked, proved, packed in every encoding
and read back when the catalogue was made.  How long a machine's words are, what it says and what its program keeps then
give the figures, by the same rules as for any strategy (`budget.size`).
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from budget.card import CostCard
from budget.messages import words_of_messages
from budget.size import Row, row_of, workspace_words
from games.codes import PLAYERS
from games.game import Game
from games.house import HouseRules, load_house_rules
from games.inputs import InputForm
from games.load import load_game
from games.problems import BadInput, listed
from workbench.stored import Entry

FITS, TOO_MANY_WORDS, LOST, NO_TABLE = "fits", "does not fit as a table", "seat is lost", "no table"
HOUSE_RULES = "usual"
ANY_GAME = "noughts-and-crosses"


class Fit(NamedTuple):
    """What is known of one game on a machine that sits in `seat` (``first`` or ``second``).

    answers: up to symmetry; least_words: in the encoding and the reading that take fewest, program not included.
    verdict: one of the four above.  reason: why there is no table on this machine.
    """

    game: str
    seat: str
    positions: int
    answers: int | None
    answers_fixed_board: int | None
    least_words: int | None
    encoding: str | None
    reading: str | None
    verdict: str
    reason: str | None


class _NoTable(Exception):
    """No table can be made; the message is the reason, in words."""


def fits(entries: Mapping[str, Entry], card: CostCard, seats: Sequence[int]) -> Iterator[Fit]:
    """Every game in every one of the seats (FIRST, SECOND)."""
    for name, entry in entries.items():
        game = load_game(name)
        for seat in seats:
            if entry.is_lost(seat):
                yield _fit(name, entry, seat, None, LOST, None)
                continue
            try:
                row = least_words(game, entry, seat, card)
            except _NoTable as missing:
                yield _fit(name, entry, seat, None, NO_TABLE, str(missing))
            else:
                yield _fit(name, entry, seat, row, FITS if row.fits else TOO_MANY_WORDS, None)


def _fit(name: str, entry: Entry, seat: int, row: Row | None, verdict: str, reason: str | None) -> Fit:
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


def least_words(game: Game, entry: Entry, seat: int, card: CostCard) -> Row:
    """The encoding and the reading in which best play takes the fewest words; of equal ones the first by name.

    Raises _NoTable where the machine can have none.
    """
    shapes = entry.tables[PLAYERS[seat]]
    assert shapes is not None, "the seat is not lost"
    house = _usual_house(game, card)
    messages = words_of_messages(house, card) if can_say(house, card) else 0
    workspace = workspace_words(game, house, card)
    rows = [row_of(shape, card, messages, workspace) for shape in shapes]
    possible = [row for row in rows if row.total_words is not None]
    if not possible:
        reasons = dict.fromkeys(str(row.reason) for row in rows)
        raise _NoTable(f"no encoding is possible: {listed(list(reasons), 'and')}")
    return min(possible, key=lambda row: (row.total_words, row.encoding, row.reading))


def can_say(house: HouseRules, card: CostCard) -> bool:
    """Whether a machine has the characters of all messages; else whoever uses it has to think of others."""
    try:
        words_of_messages(house, card)
    except BadInput:
        return False
    return True


def says_the_usual(card: CostCard) -> bool:
    """Whether a machine can say what the usual house rules have it say, whatever the game."""
    return can_say(load_house_rules(HOUSE_RULES, load_game(ANY_GAME)), card)


def _usual_house(game: Game, card: CostCard) -> HouseRules:
    """The usual house rules, read in a way that the machine can."""
    house = load_house_rules(HOUSE_RULES, game)
    if house.form.kind in card.reads:
        return house
    longest = max(game.move_names, key=len)
    if len(longest) > 1:
        raise _NoTable(f"the machine reads single keys, and moves such as '{longest}' are longer")
    return house._replace(form=InputForm("key", 1))
