"""A form built all the way: what comes of it hangs on nothing but the form and the ways that are known to beat it.

So it may be built in another process, ahead of its turn, when fewer ways are known than there will be: what is left
behind then would be left behind later, and the rest is judged again when all that come before it are known.
"""

import pickle  # both ends are ours: a form is sent to processes that we have started
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from budget.card import CostCard
from budget.closing import ENDLESS, LONGEST_REPLY, Closed, Patience, TooSlow, Unfinished, close
from budget.conversation import Conversation
from budget.forms import Form, search_of
from budget.lowering.choices import Search
from budget.lowering.lower import STAYS, Lowered, TooLong, Words
from budget.plan.probing import Game, Pace, games_to_try, slowest_in
from solver.fixed import FixedPlay

Writing = Search[Lowered | TooLong]
REMEMBERED = 16
"""Of so many plays, and of so many forms, a process remembers what it has found out."""


class Rival(NamedTuple):
    """A way that fits.

    words: how many it takes; wait: only what never takes so long is quicker; thinking: how much of its own longest wait
    is spent in that.
    """

    words: int
    wait: float
    thinking: float


class Rough(NamedTuple):
    """A form as it is written roughly.

    search: what makes it shorter, None where it was written in another process; stays: as in `Candidate`.
    """

    form: Form
    search: Writing | None
    found: Lowered | TooLong
    stays: float = STAYS

    @classmethod
    def of(cls, form: Form, card: CostCard) -> "Rough":
        """A form written roughly.  Raises NotLowered where there is no program."""
        search = search_of(form, card)
        return cls(form, search, search.roughly())

    @property
    def words(self) -> int:
        """All words so far."""
        return self.found.words.total

    @property
    def least_words(self) -> float:
        """So many words are taken to stay."""
        return self.stays * self.words


class Talk(NamedTuple):
    """What every program of a play should say, and the games in which it is seen first whether one is slow."""

    talk: Conversation
    games: list[Game]

    @classmethod
    def of(cls, play: FixedPlay, card: CostCard) -> "Talk":
        """All that is said about a play."""
        talk = Conversation(play, card, thorough=False)
        return cls(talk, games_to_try(talk))


class Attempt(NamedTuple):
    """What came of a form.

    pace: of the program as it is written roughly, None where nobody had to know; found: the program, None where the
    form was left behind as it was rough; closed: what was found in every state, None where that was left, too.
    """

    pace: Pace | None
    found: Lowered | TooLong | None
    closed: Closed | None


def attempt(rough: Rough, card: CostCard, talk: Talk, rivals: Sequence[Rival]) -> Attempt:
    """A form built as short as can be, and run in every state; left as soon as a rival is as short and as quick."""
    pace = None
    if isinstance(rough.found, Lowered):
        patience = patience_for(rough.least_words, rough.stays, rivals, card)
        pace = pace_of(rough.found, talk, patience)
        if pace is not None and pace.is_beyond(patience):
            return Attempt(pace, None, None)
    found = (rough.search or search_of(rough.form, card)).least()
    if isinstance(found, TooLong):
        return Attempt(pace, found, None)
    return Attempt(pace, found, _closed(found, talk, patience_for(found.words.total, 1.0, rivals, card)))


def pace_of(lowered: Lowered, talk: Talk, patience: Patience) -> Pace | None:
    """The slowest reply in a few games, as far as it matters; None where every reply is quick enough."""
    if patience == ENDLESS:
        return None
    return slowest_in(lowered.program, talk.talk, talk.games, patience)


def _closed(lowered: Lowered, talk: Talk, patience: Patience) -> Closed | None:
    """What is found in every state; None as soon as a reply takes longer than `patience` has it."""
    pace = pace_of(lowered, talk, patience)
    if pace is not None and pace.is_beyond(patience):
        return None
    try:
        return close(lowered.program, talk.talk, patience=patience)
    except (TooSlow, Unfinished):
        return None


def patience_for(words: float, stays: float, rivals: Sequence[Rival], card: CostCard) -> Patience:
    """The patience for replies of a program with so many words, which no rival with at most as many may beat.

    stays: of its thinking so much is taken to stay when it is made shorter.  More rivals leave no more patience.
    """
    few = [rival for rival in rivals if rival.words <= words]
    if not few:
        return ENDLESS
    if card.program.pace is None:
        return Patience(int(min(rival.wait for rival in few) / stays), None)
    return Patience(LONGEST_REPLY, min(rival.wait + rival.thinking * (1 / stays - 1) for rival in few))


def pace_of_closed(closed: Closed) -> Pace:
    """The slowest reply in all states."""
    return Pace(closed.worst.instructions, Fraction(closed.slowest.seconds))


# In another process ---------------------------------------------------------------------------------------


class Sent:
    """Plays with their machine as they are sent to a process, each packed once."""

    def __init__(self, card: CostCard) -> None:
        self._card = card
        self._packed: dict[int, tuple[FixedPlay, bytes]] = {}

    def of(self, play: FixedPlay) -> bytes:
        """A play and its machine."""
        if id(play) not in self._packed:
            self._packed[id(play)] = play, pickle.dumps((play, self._card))
        return self._packed[id(play)][1]


class Stated(NamedTuple):
    """A program, or the words of one that is too long: a refusal with figures of its own cannot be sent."""

    program: Lowered | Words

    @classmethod
    def of(cls, found: Lowered | TooLong) -> "Stated":
        """As it is sent."""
        return cls(found.words if isinstance(found, TooLong) else found)

    def found(self, card: CostCard) -> Lowered | TooLong:
        """As it was found."""
        return TooLong(self.program, card.store_words) if isinstance(self.program, Words) else self.program


def rough_there(name: str, title: str, play_and_card: bytes) -> Stated:
    """A form written roughly in a process that was sent its play and machine.  Raises NotLowered."""
    return Stated.of(_rough(name, title, play_and_card).found)


def attempt_there(
    name: str, title: str, play_and_card: bytes, rivals: Sequence[Rival], stays: float
) -> tuple[Attempt, Stated | None]:
    """An attempt in a process that was sent a play and a machine; what it has found out about them is remembered.

    What was found is stated beside it.
    """
    _, card = _opened(play_and_card)
    rough = _rough(name, title, play_and_card)._replace(stays=stays)
    made = attempt(rough, card, _talk(play_and_card), rivals)
    return made._replace(found=None), None if made.found is None else Stated.of(made.found)


@lru_cache(maxsize=REMEMBERED)
def _opened(play_and_card: bytes) -> tuple[FixedPlay, CostCard]:
    play, card = pickle.loads(play_and_card)  # noqa: S301 - it comes from the process that has started us
    return play, card


@lru_cache(maxsize=REMEMBERED)
def _talk(play_and_card: bytes) -> Talk:
    return Talk.of(*_opened(play_and_card))


@lru_cache(maxsize=REMEMBERED)
def _rough(name: str, title: str, play_and_card: bytes) -> Rough:
    play, card = _opened(play_and_card)
    return Rough.of(Form(name, title, play), card)
