"""The reply tree: the machine's answers along the lines of play, without boards and without pointers.

No head.  All lines are gone through branch by branch, the least move first, and each time the machine has to move
its answer follows in the stream of bits: the place of its move among the legal ones, in as few bits as tell those
apart, and in none where there is only one.  The program keeps its place in the stream; when the visitor moves it
passes over the branches of the lesser moves by playing them through.  A turn lost by wrong input is a branch too,
after the fair moves; input that is forgiven, or that ends the game, needs no answer and is none.  Only where the game
counts plies is forgiven input a branch as well, the last ones, for it makes another ply of the same board.

Turned, the lines run through least images: each position is turned to its least image, and of the visitor's
moves that lead to the same image only the first has a branch.

Workspace: the address of a word of the stream and the place of a bit in it; a word for each ply of the longest line,
for the moves that are to be taken back when branches are played through.  Turned, the move with which another is
compared, too.
"""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from budget.boards import looked_up, stored_answers, stored_boards, turning_words
from budget.packed import NO_MOVE, Column, Layout, NotApplicable, Table, Workspace
from budget.packing import BitReader, Unreadable, Words, bits_for, bits_of
from games.codes import UNFINISHED, Codes, MoveIds, by_parent
from games.game import Game, counting_plies, least_images
from games.housed import HousedGame
from solver.counts import rounds
from solver.fixed import TURNED, FixedPlay

NAME = "reply-tree"
TITLE = "reply tree along the lines of play"

MOST_POSITIONS = 1_000_000
"""Along all lines, counted once for every line that comes through."""

Choose = Callable[[int, tuple[int, ...]], int]
"""Given a board with the machine to move and its legal moves, the place of the answer among these."""


def lay_out(play: FixedPlay) -> Table:
    """Write the answers down in the order in which the lines are gone through, as one row of bits."""
    if rounds(play.graph) is None:
        raise NotApplicable("play can come back to a position, and lines that go round are not written down")
    codes, moves = stored_answers(play)
    answers = dict(zip(codes.tolist(), moves.tolist(), strict=True))
    places: list[int] = []
    widths: list[int] = []

    def choose(board: int, legal: tuple[int, ...]) -> int:
        place = legal.index(answers[board])
        places.append(place)
        widths.append(bits_for(len(legal)))
        return place

    try:
        longest = _go_through(_Rules(play.game, play.reading, codes), choose)
    except Unreadable as problem:
        raise NotApplicable(str(problem)) from None
    stream = bits_of(np.array(places, dtype=np.uint64), np.array(widths, dtype=np.intp))
    return Table(
        NAME,
        play.reading,
        len(answers),
        (
            Layout(
                f"{len(places):,} answers along the lines, {widths.count(0):,} of them forced",
                (Column(1, stream),),
            ),
        ),
        Workspace((), 1, 1 + longest + turning_words(play.reading) + (play.reading == TURNED)),
    )


def decode(words: Words, word_bits: int, reading: str, game: HousedGame, codes: Codes) -> MoveIds:
    """Read all lines, and give each board the move that they have on it; NO_MOVE where two lines differ."""
    stream = BitReader(words, word_bits)
    answers: dict[int, int] = {}

    def choose(board: int, legal: tuple[int, ...]) -> int:
        place = stream.read(bits_for(len(legal)))
        if place >= len(legal):
            raise Unreadable(f"answer {place} where there are {len(legal)} moves")
        if answers.setdefault(board, legal[place]) != legal[place]:
            answers[board] = NO_MOVE
        return place

    _go_through(_Rules(game, reading, stored_boards(game.fair, reading, codes)), choose)

    def look_up(boards: Codes) -> MoveIds:
        return np.array([answers.get(board, NO_MOVE) for board in boards.tolist()], dtype=np.uint16)

    return looked_up(game.fair, reading, codes, look_up)


def _go_through(rules: "_Rules", choose: Choose) -> int:
    """Go through all lines in order, asking `choose` for each answer of the machine's; the plies of the longest.

    Raises Unreadable when there are more than MOST_POSITIONS along them.
    """
    waiting = [(rules.start, 0)]
    count = longest = 0
    while waiting:
        code, ply = waiting.pop()
        count, longest = count + 1, max(longest, ply)
        if count > MOST_POSITIONS:
            raise Unreadable(f"its lines have more than {MOST_POSITIONS:,} positions")
        position = rules.at(code)
        if position.machine:
            answer = position.after[choose(position.board, position.moves)]
            waiting.append((answer, ply + 1))
        else:
            waiting.extend((after, ply + 1) for after in reversed(position.after))
    return longest


class _Position(NamedTuple):
    """What the rules say of a position: whether the machine has to move, the moves, and what each leads to.

    board: what the table looks at.  The visitor's `moves` are left empty: only where they lead matters, each once.
    """

    board: int
    machine: bool
    moves: tuple[int, ...]
    after: tuple[int, ...]


_END_OF_LINE = _Position(board=0, machine=False, moves=(), after=())


class _Rules:
    """The positions of a game, least images if they are to be turned; the same position is worked out once.

    What house rules have counted is left out, since the board does not show it, unless the game counts plies: how
    many plies a board can have then depends on how often something has been forgiven.

    Rules work on arrays, lines come one position at a time: so `likely` boards with the machine to move, and all
    that its moves can lead to, are worked out ahead and together.
    """

    def __init__(self, game: HousedGame, reading: str, likely: Codes) -> None:
        self._game = game
        self._counts = counting_plies(game.fair) is not None and any(rule.counts for rule in game.house.rules)
        self._walked: Game = game if self._counts else game.fair
        self._turned = reading == TURNED
        self._known: dict[int, _Position] = {}
        self.start = int(self._images(np.array([game.start], dtype=np.uint64))[0])
        self._work_out(likely)
        led_to = [self._known[board].after for board in likely.tolist()]
        self._work_out(np.array(sorted(set().union(*led_to)), dtype=np.uint64))

    def at(self, code: int) -> _Position:
        """What the rules say of this position."""
        if code not in self._known:
            self._work_out(np.array([code], dtype=np.uint64))
        return self._known[code]

    def _work_out(self, codes: Codes) -> None:
        """Enter what the rules say of these positions, and of those that end the game one move later."""
        codes = self._without_ended(codes)
        parent, moves, after = by_parent(self._walked.moves(codes))
        after = self._images(after)
        self._without_ended(after)
        begins = np.searchsorted(parent, np.arange(len(codes) + 1)).tolist()
        moves_, after_ = moves.tolist(), after.tolist()
        machines = (self._walked.mover(codes) == self._game.seat).tolist()
        boards = self._game.fair_codes(codes).tolist()
        turn_lost = {} if self._counts else self._after_lost_turns(codes)
        for place, code in enumerate(codes.tolist()):
            own = slice(begins[place], begins[place + 1])
            if machines[place]:
                position = _Position(
                    boards[place], own.start < own.stop, tuple(moves_[own]), tuple(after_[own])
                )
            else:
                branches = dict.fromkeys([*after_[own], *turn_lost.get(code, ())])
                position = _Position(boards[place], machine=False, moves=(), after=tuple(branches))
            self._known[code] = position

    def _without_ended(self, codes: Codes) -> Codes:
        """Those of these positions that are unfinished; the others are entered as ends of lines."""
        unfinished = self._walked.ending(codes) == UNFINISHED
        ended = codes[np.nonzero(~unfinished)[0]].tolist()
        self._known.update(dict.fromkeys(ended, _END_OF_LINE))
        return codes[np.nonzero(unfinished)[0]]

    def _after_lost_turns(self, codes: Codes) -> dict[int, tuple[int]]:
        """What a lost turn leads to, for those of these positions in which some wrong input costs the turn.

        It may do so at once or when it has been forgiven often enough: on the board both are one.
        """
        house = self._game.house
        costs = np.zeros(len(codes), dtype=bool)
        if any(rule.cost == "turn" for rule in house.rules):
            for name, where in self._game.possible(codes).items():
                if house.rules[house.rule_for(name)].cost == "turn":
                    costs |= where
        passed = self._images(self._game.after_lost_turn(codes[costs])).tolist()
        return dict(zip(codes[costs].tolist(), ((code,) for code in passed), strict=True))

    def _images(self, codes: Codes) -> Codes:
        if not self._turned:
            return codes
        return least_images(self._walked, codes)[0]
