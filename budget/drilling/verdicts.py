"""Every final board put into the store, and the program's own verdict on it asked for.

How a program keeps its board is learned from the lines of play: at a wait for the visitor, each word that is carried on
is a sum of what each mark on the board adds to it.  That is checked after every input; and it then says what the
words are on boards that the play itself never comes to.  There the visitor's move is typed.  Where it ends the
game, just the right verdict has to be printed.  Where it does not, the machine answers with some move; if that is
legal, the verdict after it has to be right as well, and shows another final board.
"""

from collections import Counter
from collections.abc import Container, Sequence
from typing import NamedTuple

import numpy as np

from budget.card import CostCard
from budget.closing import LONGEST_REPLY, Differs
from budget.conversation import Conversation, Course, State
from budget.drilling.lines import Texts
from budget.drilling.sound import Sound
from budget.drilling.stores import MixedFleet
from budget.lowering.ground import DRAWN, FORGIVEN, LOST, LOST_TURN, VISITOR, WON
from budget.lowering.lower import endings_of
from budget.machine.channel import printed
from budget.machine.rows import Array
from games.codes import DRAW, UNFINISHED, win_of
from games.marks.marks import Marks
from solver.fixed import FixedPlay
from solver.graph import explore

TURN_LOST, GAME_LOST = 0, 1
"""Effects of wrong input, as `games.housed` numbers them; those above are inputs that were forgiven."""
MOST_CELLS = 9
TOGETHER = 4_000


class NotAsked(Exception):
    """Verdicts cannot be asked for in this way; the message says why."""


class Verdicts(NamedTuple):
    """What came of it.

    boards: all final positions that any play leads to under the house rules; shown: how many of them had the right
    verdict; left_out: those that the visitor brings about and for which the program has no verdict, because the play
    never comes there; moves: how many inputs of the visitor's were tried; unknown: how many were not, because the lines
    do not tell how the board before them is kept; unjudged: after how many of them the machine, on a board that it
    cannot meet, made no legal move.
    """

    boards: int
    shown: int
    left_out: int
    moves: int
    unknown: int
    unjudged: int


class Tried(NamedTuple):
    """An input of the visitor's that changes something: where the game stood and stands, and whether that ends it."""

    before: int
    after: int
    text: str
    ends: bool


def ask_verdicts(sound: Sound, play: FixedPlay, talk: Conversation, *, kept: bool) -> Verdicts:
    """Ask for every verdict; kept: whether the program also tells endings to which the play never comes.

    Raises Differs where a verdict is wrong, and NotAsked where the board cannot be put into the store.
    """
    fair = play.game.fair
    if not isinstance(fair, Marks) or fair.board.size > MOST_CELLS:
        raise NotAsked(f"that is done on boards of marks with at most {MOST_CELLS} cells")
    board = _Board(sound, play.game.bits)
    all_boards, moves, left_out = _moves(play, sound.program.card, talk, kept=kept)
    shown: set[int] = set()
    left, unjudged = moves, 0
    while left:
        known = board.knows([board.state(each.before) for each in left])
        part = [each for each, is_known in zip(left, known, strict=True) if is_known][:TOGETHER]
        if not part:
            break
        taken = set(part)
        left = [each for each in left if each not in taken]
        machines = _asked(sound, board, talk, part)
        sent = map(tuple, machines.sent)
        after = [_judged(sound, talk, board.case, *each) for each in zip(part, sent, strict=True)]
        unjudged += after.count(None)
        shown |= {course.final for course in after if course is not None and course.final is not None}
        board.learn(machines, [None if course is None else course.state for course in after])
    tried = len(moves) - len(left)
    return Verdicts(len(all_boards), len(shown), len(left_out - shown), tried, len(left), unjudged)


def _moves(
    play: FixedPlay, card: CostCard, talk: Conversation, *, kept: bool
) -> tuple[set[int], list[Tried], set[int]]:
    """All final positions, the visitor's inputs to be tried, and the positions whose verdict is left out."""
    game, seat = play.game, play.game.seat
    graph = explore(game)
    names = {win_of(seat): WON, win_of(game.visitor): LOST, DRAW: DRAWN}
    texts, happens = Texts(play, card, talk), endings_of(play)
    codes, ending = graph.codes.tolist(), graph.ending.tolist()
    edges = zip(graph.parent.tolist(), graph.move.tolist(), graph.child.tolist(), strict=True)
    leads = {(parent, move): child for parent, move, child in edges}
    tried, left_out = [], set()
    for number in np.flatnonzero((graph.mover != seat) & (graph.ending == UNFINISHED)).tolist():
        for text, move in texts.changes(codes[number]).items():
            child = leads[number, move]
            ended, after = ending[child], codes[child]
            if (
                ended != UNFINISHED
                and not kept
                and not _is_told(move - game.fair_moves, names[ended], happens)
            ):
                left_out.add(after)
            else:
                tried.append(Tried(codes[number], after, text, ended != UNFINISHED))
    return set(graph.codes[graph.ending != UNFINISHED].tolist()), tried, left_out


def _is_told(effect: int, ending: str, happens: Container[tuple[str, str]]) -> bool:
    """Whether a program has a verdict for an ending that the visitor brings about; effect: below 0 for a legal move."""
    if effect == GAME_LOST:
        return True
    what = VISITOR if effect < 0 else LOST_TURN if effect == TURN_LOST else FORGIVEN
    return (what, ending) in happens


class _Board:
    """How a program keeps its board: fitted to how it stands after every input of the lines, and checked there."""

    def __init__(self, sound: Sound, bits: int) -> None:
        states = sound.lines.waits
        waits = [wait for wait, state in enumerate(states) if not state.over]
        self.case = Counter(states[wait].case for wait in waits).most_common(1)[0][0]
        self.machine = next(wait for wait in waits if states[wait].case == self.case)
        self._bits = bits
        self._half = 1 << sound.program.card.word_bits - 1
        self.columns = np.flatnonzero(sound.carried & sound.matters)
        self.addresses = sound.interest[self.columns]
        after = [step.after for step in sound.lines.steps] + [states[0]]  # as the rows of `sound.words`
        some = [row for row, state in enumerate(after) if not state.over]
        self._fit(self._marks([after[row] for row in some]), sound.words[some][:, self.columns])

    def _fit(self, marks: Array, words: Array) -> None:
        """Find what each mark adds to the words, and check it on these boards."""
        self._known, self._held = marks, words
        self._span = (
            np.linalg.pinv(marks, rcond=1e-9) @ marks
        )  # takes marks to what is told by the known ones
        self._adds = np.linalg.lstsq(marks, self._signed(words), rcond=None)[0]
        if not (self._rounded(marks) == words).all():
            raise NotAsked("its words are no sum of what each mark adds to them")

    def learn(self, machines: MixedFleet, after: Sequence[State | None]) -> None:
        """Take in the boards on which machines wait for the visitor now, if there is anything new in them."""
        held = machines.rows.words(self.addresses)
        new = [
            (state, held[number])
            for number, state in enumerate(after)
            if state is not None and not state.over
        ]
        new = [
            each
            for each, is_known in zip(new, self.knows([state for state, _ in new]), strict=True)
            if not is_known
        ]
        if new:
            marks = self._marks([state for state, _ in new])
            self._fit(np.vstack([self._known, marks]), np.vstack([self._held, *(words for _, words in new)]))

    def _marks(self, states: Sequence[State]) -> Array:
        """A row for each state: 1, the keyboard's case, and for each cell and player whether it is theirs."""
        rows = [[1, state.case, *(state.code >> bit & 1 for bit in range(self._bits))] for state in states]
        return np.array(rows, dtype=np.float64).reshape(-1, 2 + self._bits)

    def _signed(self, words: Array) -> Array:
        return (words.astype(np.int64) ^ self._half) - self._half

    def _rounded(self, marks: Array) -> Array:
        return np.rint(marks @ self._adds).astype(np.int64) & 2 * self._half - 1

    def knows(self, states: Sequence[State]) -> list[bool]:
        """Of which boards the words can be told: those whose marks are sums and differences of known ones."""
        marks = self._marks(states)
        off = np.abs(marks @ self._span - marks).max(axis=1, initial=0.0)
        return [each < 1e-6 for each in off.tolist()]

    def words(self, states: Sequence[State]) -> Array:
        """The words of boards that it knows, (boards, words)."""
        return self._rounded(self._marks(states))

    def state(self, code: int) -> State:
        """A board as it is asked about."""
        return State(code, over=False, case=self.case)


def _asked(sound: Sound, board: _Board, talk: Conversation, tried: Sequence[Tried]) -> MixedFleet:
    """Machines on the boards before some moves, each of which has read its move."""
    first = 0
    for fleet in sound.fleets:
        if board.machine < first + len(fleet):
            break
        first += len(fleet)
    machines = fleet.chosen([board.machine - first] * len(tried))
    words = board.words([board.state(each.before) for each in tried])
    for column, address in enumerate(board.addresses.tolist()):
        numbers = np.arange(len(tried))
        machines.rows.set_words(np.full(len(tried), address), numbers, words[:, column])
    machines.rows.look_again()
    typed = [talk.keys(board.state(each.before), each.text) for each in tried]
    machines.run(typed, LONGEST_REPLY)
    return machines


def _judged(
    sound: Sound, talk: Conversation, case: int, tried: Tried, sent: tuple[int, ...]
) -> Course | None:
    """What has come of an input, the verdict being right; None where the machine made no legal move."""
    state = State(tried.before, over=False, case=case)
    courses = talk.any_enter(state, talk.keys(state, tried.text))
    taken = next((course for course in courses if course.said == sent), None)
    if tried.ends and taken is None:
        card = sound.program.card
        told = f"{printed(card, sent)!r} instead of {printed(card, courses[0].said)!r}"
        raise Differs(f"put on board {tried.before:#x}, after {tried.text!r}: it prints {told}")
    return taken
