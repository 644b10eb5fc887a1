"""What a program should say, told from the rules of the game alone: the model that programs are held against.

It knows nothing of stores and instructions.  A state is a position under house rules, or that a game is over, with
the case in which the keyboard stands; an input is a row of codes as they come in.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple

import numpy as np

from budget.card import CostCard
from budget.lowering.units import codes_of, message_unit
from budget.machine.channel import keyed, return_code
from games.codes import DRAW, UNFINISHED, win_of
from games.house import AT_ONCE
from games.inputs import AFTER_END, LEGAL, classify
from solver.fixed import FixedPlay


class State(NamedTuple):
    """Where a conversation stands whenever the visitor is to type.

    code: the position; over: whether the game has ended; case: in which the keyboard is, by its number.
    """

    code: int
    over: bool
    case: int


class Course(NamedTuple):
    """What comes of an input: the state after it, and what is printed.

    lost_at: how much of that is printed before the visitor has won a game; None where no game is lost.  final: the
    position in which a game has ended, also where the next has begun at once; None where none has.
    """

    state: State
    said: tuple[int, ...]
    lost_at: int | None
    final: int | None = None


class Read(NamedTuple):
    """What an input is taken for: its class, and the move that it makes, if it makes one."""

    found: str
    move: int | None


MovesIn = Callable[[int], Iterable[int]]
"""The machine's moves to follow in a position."""


class Conversation:
    """All games between visitors and a fixed play on one machine."""

    def __init__(self, play: FixedPlay, card: CostCard, *, thorough: bool = True) -> None:
        """`thorough` tries many wordings of each class of input; else there is one for each class and move."""
        self._thorough = thorough
        self._game = play.game
        self._house = play.game.house
        self._characters = card.characters.code
        self._card = card
        self._moves = dict(zip(play.codes.tolist(), play.moves.tolist(), strict=True))
        graph = play.graph
        stands = zip(graph.ending.tolist(), graph.mover.tolist(), strict=True)
        self._met: dict[int, tuple[int, int]] = dict(zip(graph.codes.tolist(), stands, strict=True))
        self._known: dict[tuple[int, bool, Read], Course] = {}
        self._read: dict[tuple[int, bytes], Read] = {}
        self._came: dict[tuple[int, tuple[int, ...]], tuple[int, bytes | None]] = {}
        self._children: dict[int, dict[int, int]] = {}
        self._said = {
            name: message_unit(self._house, self._characters, name, text)
            for name, text in self._house.all_messages().items()
        }
        self._said_of: dict[tuple[int, str], tuple[int, ...]] = {}
        self._names = [codes_of(self._characters, name.upper()) for name in self._game.fair.move_names]

    # -- what is said -------------------------------------------------------------------------

    def begin(self) -> tuple[State, tuple[int, ...]]:
        """The start of the first game: the state, and what is printed."""
        course = next(self._courses(self._game.start, (), self._own_move))
        return course.state, course.said

    def enter(self, state: State, typed: Sequence[int]) -> tuple[State, tuple[int, ...]]:
        """The state after one input, and what is printed.  `typed` is an input of `inputs`."""
        course = self.course(state, typed)
        return course.state, course.said

    def course(self, state: State, typed: Sequence[int]) -> Course:
        """All that comes of one input."""
        case, text = self._decoded(state.case, typed)
        if text is None:
            return Course(state._replace(case=case), (), None)
        read = self._read_as(state, text)
        known = (state.code, state.over, read)
        if known not in self._known:
            self._known[known] = next(self._answered(state, read, self._own_move))
        course = self._known[known]
        return course._replace(state=course.state._replace(case=case))

    def moves_on(self, state: State, typed: Sequence[int]) -> bool:
        """Whether an input changes the position: a legal move, or wrong input that is charged or counted."""
        _, text = self._decoded(state.case, typed)
        if state.over or text is None:
            return False
        return self._read_as(state, text).move is not None

    def any_begin(self) -> list[Course]:
        """What may come at the start of the first game, whatever legal moves the machine makes."""
        return list(self._courses(self._game.start, (), self._legal_moves))

    def any_enter(self, state: State, typed: Sequence[int]) -> list[Course]:
        """The same after one input, in a state that the play itself need not know."""
        case, text = self._decoded(state.case, typed)
        if text is None:
            return [Course(state._replace(case=case), (), None)]
        courses = self._answered(state, self._read_as(state, text), self._legal_moves)
        return [course._replace(state=course.state._replace(case=case)) for course in courses]

    def _read_as(self, state: State, text: bytes) -> Read:
        """What an input is taken for; after the end whatever is typed is the same."""
        if state.over:
            return Read(AFTER_END, None)
        known = (state.code, text)
        if known not in self._read:
            found, move = classify(self._game, self._game.shape, state.code, self._game.seat, text)
            self._read[known] = Read(found, move if found == LEGAL else self._game.answer(state.code, found))
        return self._read[known]

    def _answered(self, state: State, read: Read, moves_in: MovesIn) -> Iterator[Course]:
        """What comes of an input of the visitor's, with each move of the machine's that `moves_in` gives."""
        if state.over:
            yield from self._courses(self._game.start, self._after_end(), moves_in)
            return
        said: tuple[int, ...] = ()
        if read.found != LEGAL:
            number, message = self._game.message(state.code, read.found)
            said = self._said_by_rule(number, message)
        if read.move is None:
            yield Course(state, (*said, *self._said["ask"]), None)
        else:
            yield from self._courses(self._after(state.code, read.move), said, moves_in)

    def _said_by_rule(self, number: int, message: str) -> tuple[int, ...]:
        rule = (number, message)
        if rule not in self._said_of:
            name = self._house.rules[number].name
            self._said_of[rule] = message_unit(self._house, self._characters, name, message)
        return self._said_of[rule]

    def _after_end(self) -> tuple[int, ...]:
        return self._said[self._house.rules[self._house.rule_for(AFTER_END)].name]

    def _courses(
        self,
        code: int,
        said: tuple[int, ...],
        moves_in: MovesIn,
        lost_at: int | None = None,
        final: int | None = None,
    ) -> Iterator[Course]:
        """What the machine does and says until the visitor is to type: from a position, or from an ending."""
        ending, mover = self._stand(code)
        if ending != UNFINISHED:
            if ending == win_of(self._game.visitor) and lost_at is None:
                lost_at = len(said)
            said = (*said, *self._said[self._outcome(ending)])
            if self._house.next_game != AT_ONCE:
                yield Course(State(code, over=True, case=0), said, lost_at, code)
            else:
                yield from self._courses(self._game.start, said, moves_in, lost_at, code)
        elif mover != self._game.seat:
            yield Course(State(code, over=False, case=0), (*said, *self._said["ask"]), lost_at, final)
        else:
            for move in moves_in(code):
                moved = (*said, *self._said["machine-moves"], *self._names[move])
                yield from self._courses(self._after(code, move), moved, moves_in, lost_at, final)

    def _stand(self, code: int) -> tuple[int, int]:
        """The ending of a position, and who is to move; of those that the play can meet both are known."""
        if code in self._met:
            return self._met[code]
        codes = np.array([code], dtype=np.uint64)
        return int(self._game.ending(codes)[0]), int(self._game.mover(codes)[0])

    def _own_move(self, code: int) -> tuple[int, ...]:
        """The move of the play in a position."""
        return (self._moves[int(self._game.fair_codes(np.array([code], dtype=np.uint64))[0])],)

    def _legal_moves(self, code: int) -> tuple[int, ...]:
        """Every move that there is in a position."""
        return tuple(self._moves_from(code))

    def _outcome(self, ending: int) -> str:
        names = {win_of(self._game.seat): "machine-wins", win_of(self._game.visitor): "visitor-wins"}
        return "draw" if ending == DRAW else names[ending]

    def _after(self, code: int, move: int) -> int:
        return self._moves_from(code)[move]

    def _moves_from(self, code: int) -> dict[int, int]:
        """Every move of a position, and where it leads."""
        if code not in self._children:
            _, moves, children = self._game.moves(np.array([code], dtype=np.uint64))
            self._children[code] = dict(zip(moves.tolist(), children.tolist(), strict=True))
        return self._children[code]

    # -- what can be typed --------------------------------------------------------------------

    def inputs(self, state: State) -> Iterator[tuple[int, ...]]:
        """Inputs to try in a state: by key every code that there is, by line every class with its extremes."""
        if self._house.form.kind == "key":
            yield from ((code,) for code in range(1 << self._card.characters.bits))
            return
        for text in self._lines():
            yield self._typed(state.case, text)
        if self._thorough:
            yield from ((code, return_code(self._characters)) for code in self._without_signs(state.case))

    def keys(self, state: State, text: str) -> tuple[int, ...]:
        """The codes of an input that people type in a state: a key, or a line and Return."""
        if self._house.form.kind == "key":
            return tuple(keyed(self._card, text))
        return self._typed(state.case, text)

    def _lines(self) -> list[str]:
        """Lines of every class that a keyboard can type."""
        longest = self._house.form.longest
        names = [*self._game.fair.move_names]
        off_board = self._game.shape.off_board_example()
        examples = ["?", "", "1" * (longest + 1), *([] if off_board is None else [off_board.decode("ascii")])]
        tried = [
            *names,
            *examples,
        ]
        if self._thorough:
            tried += self._other_wordings(names, longest)
        return [text for text in dict.fromkeys(tried) if self.can_be_typed(text)]

    def _without_signs(self, case: int) -> list[int]:
        """Codes that print nothing in a case, change nothing and end no line."""
        code = self._characters
        taken = (
            {each.shift for each in code.cases} | {return_code(code)} | set(code.cases[case].codes.values())
        )
        return [each for each in range(1 << self._card.characters.bits) if each not in taken]

    def _other_wordings(self, names: Sequence[str], longest: int) -> list[str]:
        """Lines that are like names and are none, and lines as long as they can be."""
        return [
            *(name.upper() for name in names),
            *(name[:-1] for name in names),
            *(f"{name}1" for name in names),
            *(f"0{name}" for name in names),
            *_crossed([name for name in names if "-" in name]),
            "0",
            "A",
            "-",
            " 1",
            "1 ",
            "1" * longest,
            "0" * (longest + 1),
            "A" * (2 * longest + 3),
        ]

    def can_be_typed(self, text: str) -> bool:
        """Whether the keyboard has every character of a text."""
        signs = self._characters.characters
        return all(sign in signs or sign.upper() in signs for sign in text)

    def _typed(self, case: int, text: str) -> tuple[int, ...]:
        """The codes of a line, typed on a keyboard that stands in a case."""
        codes = keyed(self._card, f"{text}\n")
        cases = self._characters.cases
        if case == 0 or not text:
            return tuple(codes)
        shifts = [each.shift for each in cases]
        if codes[0] in shifts:
            return tuple(codes[1:] if codes[0] == shifts[case] else codes)
        first = cases[0].shift
        assert first is not None
        return (first, *codes)

    def _decoded(self, case: int, typed: Sequence[int]) -> tuple[int, bytes | None]:
        """The keyboard's case after an input, and what it says; None if that is no input yet."""
        known = (case, tuple(typed))
        if known not in self._came:
            self._came[known] = self._decoded_anew(*known)
        return self._came[known]

    def _decoded_anew(self, case: int, typed: Sequence[int]) -> tuple[int, bytes | None]:
        cases = self._characters.cases
        shifts = {each.shift: number for number, each in enumerate(cases) if each.shift is not None}
        by_key = self._house.form.kind == "key"
        text = b""
        for code in typed:
            if code in shifts:
                case = shifts[code]
                continue
            if not by_key and code == return_code(self._characters):
                return case, text
            sign = next((sign for sign, each in cases[case].codes.items() if each == code), "\0")
            text += sign.encode("ascii", "replace") if sign.isascii() else b"\0"
            if by_key:
                return case, text
        return case, None


def _crossed(names: Sequence[str]) -> Iterator[str]:
    """Names of two parts with the parts exchanged, with one of them twice, and with the second of another name."""
    parts = [name.split("-", 1) for name in names]
    for (first, second), (_, other) in zip(parts, [*parts[len(parts) // 2 :], *parts], strict=False):
        yield from (f"{second}-{first}", f"{first}-{first}", f"{first}-{other}", first, f"{first}-")
