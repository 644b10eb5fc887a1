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
from budget.lowering.lower import STAYS, Lowered, TooLong
from budget.plan.probing import Game, Pace, games_to_try, slowest_in
from solver.fixed import FixedPlay

Writing = Search[Lowered | TooLong]


class Rival(NamedTuple):
    """A way that fits.

    words: how many it takes; wait: only what never takes so long is quicker; thinking: how much of its own longest wait
    is spent in that.
    """

    words: int
    wait: float
    thinking: float


class Rough(NamedTuple):
    """A form as it is written roughly, and the search that makes it shorter."""

    form: Form
    search: Writing
    found: Lowered | TooLong

    @classmethod
    def of(cls, form: Form, card: CostCard) -> "Rough":
        """A form written roughly.  Raises NotLowered where there is no program."""
        search = search_of(form, card)
        return cls(form, search, search.roughly())

    @property
    def words(self) -> int:
        """All words so far."""
        return self.found.words.total


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
        patience = patience_for(STAYS * rough.words, STAYS, rivals, card)
        pace = pace_of(rough.found, talk, patience)
        if pace is not None and pace.is_beyond(patience):
            return Attempt(pace, None, None)
    found = rough.search.least()
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


def sent(play: FixedPlay, card: CostCard) -> bytes:
    """A play and its machine, to be sent to a process."""
    return pickle.dumps((play, card))


def attempt_there(name: str, title: str, play_and_card: bytes, rivals: Sequence[Rival]) -> Attempt:
    """The same in a process that was sent a play and a machine; what it has found out about them is remembered."""
    play, card, talk = _opened(play_and_card)
    return attempt(Rough.of(Form(name, title, play), card), card, talk, rivals)


@lru_cache(maxsize=8)
def _opened(play_and_card: bytes) -> tuple[FixedPlay, CostCard, Talk]:
    play, card = pickle.loads(play_and_card)  # noqa: S301 - it comes from the process that has started us
    return play, card, Talk.of(play, card)
