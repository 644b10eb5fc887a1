"""The program of a fixed strategy: its parts put together, in the ways that take the fewest words."""

from collections.abc import Callable, Collection, Mapping
from itertools import product
from typing import NamedTuple

import numpy as np

from budget.card import COMPILER, ORDER_SHEET, CostCard
from budget.lowering.answering import Answering, Endings, Telling
from budget.lowering.checksum import BETWEEN_GAMES, NO_CHECK, CheckSum, guarded, refuse_altered
from budget.lowering.choices import Choices, Search
from budget.lowering.ground import (
    DRAWN,
    FORGIVEN,
    LOST,
    LOST_TURN,
    MACHINE,
    VISITOR,
    WON,
    Ground,
    Setting,
    ground_for,
)
from budget.lowering.keyboard import Keyboard
from budget.lowering.naming import naming_for
from budget.lowering.reading import Reading
from budget.lowering.saying import Saying
from budget.lowering.skeleton import Parts, write
from budget.lowering.text import (
    MESSAGES,
    PROGRAM,
    TABLE,
    WORKSPACE,
    Astray,
    NotLowered,
    Text,
    Written,
    WrongWay,
    composed,
)
from budget.lowering.tidying import tidied
from budget.machine.assembler import room_for
from budget.machine.program import CONSTANT, Program
from budget.programs import program_for
from games.codes import DRAW, UNFINISHED, win_of
from games.problems import BadInput, bad
from solver.fixed import FixedPlay

STAYS = 0.8
"""Of the words of a program as it is written roughly at least so much is taken to stay when it is made shorter."""
Answerer = Callable[[Setting, Ground], Answering]
"""Gives the way in which a program finds its moves."""


class Words(NamedTuple):
    """The words of a program by what they are for; a word that two share counts for the first."""

    program: int
    table: int
    constants: int
    messages: int
    workspace: int

    @property
    def total(self) -> int:
        """All of them."""
        return sum(self)


class TooLong(NotLowered):
    """A program that takes more words than the store has."""

    def __init__(self, words: Words, store_words: int) -> None:
        super().__init__(f"it takes {words.total:,} words, and the store has {store_words:,}")
        self.words = words


class FarBehind(NotLowered):
    """A program that, as it is written roughly, takes far more words than would do."""


class Lowered(NamedTuple):
    """A complete program: its text, the words of its image, and how many there are of which kind."""

    text: str
    program: Program
    words: Words
    choices: dict[str, str]


def lower(
    play: FixedPlay,
    card: CostCard,
    answerer: Answerer,
    *,
    keep_verdicts: bool = False,
    check: str = NO_CHECK,
    most: int | None = None,
) -> Lowered:
    """The program with the fewest words that we can write for a play.

    keep_verdicts: write what finds every ending, also those that the play shows cannot happen; check: NO_CHECK, or when
    its check-sum is formed, AT_START or BETWEEN_GAMES; most: so many words would do, so that one which cannot be
    thought to come down to them is not made as short as it gets.
    Raises NotLowered, with the reason, where there is none; TooLong where it does not fit; FarBehind; BadInput for a
    machine that a compiler reaches, and for a check-sum of one with an order sheet.
    """
    if check != NO_CHECK:
        refuse_altered(card)
    plan = _Plan(play, card, answerer, every_ending() if keep_verdicts else endings_of(play))
    search = _search(plan)
    if most is not None and STAYS * search.roughly().words.total > most:
        raise FarBehind(f"it takes far more than {most:,} words")
    best = search.least()
    if isinstance(best, TooLong):
        raise best
    return best if check == NO_CHECK else plan.guarded(best.choices, between_games=check == BETWEEN_GAMES)


def search_for(play: FixedPlay, card: CostCard, answerer: Answerer) -> "Search[Lowered | TooLong]":
    """The search of `lower` itself: for who wants to know first what a program takes roughly."""
    return _search(_Plan(play, card, answerer, endings_of(play)))


def _search(plan: "_Plan") -> "Search[Lowered | TooLong]":
    if plan.card.programs == COMPILER:
        raise bad(
            f"the machine '{plan.card.name}' is programmed through a compiler; expected one that takes orders"
        )
    return Search(plan.lowered_or_too_long, lambda found: found.words.total)


class _Plan(NamedTuple):
    """What a program is to be written for; happens: as in `Setting`."""

    play: FixedPlay
    card: CostCard
    answerer: Answerer
    happens: frozenset[tuple[str, str]]

    def lowered(self, choices: Choices) -> Lowered:
        """The program with its parts written in these ways."""
        written = self.written(choices, None)
        return _lowered(written, self.assembled(written), choices)

    def lowered_or_too_long(self, choices: Choices) -> "Lowered | TooLong":
        """The same, or what there would be if there were more store."""
        try:
            return self.lowered(choices)
        except TooLong as too_long:
            return too_long

    def guarded(self, picked: dict[str, str], *, between_games: bool) -> Lowered:
        """The same with a check-sum."""
        written, program = guarded(
            lambda check: self.written(Choices(picked), check), self.assembled, between_games=between_games
        )
        return _lowered(written, program, Choices(picked))

    def written(self, choices: Choices, check: CheckSum | None) -> Written:
        """The text of the program."""
        parts = self._parts(choices, check, frozenset())
        if isinstance(parts.answering, Telling) and parts.answering.told():
            parts = self._parts(choices, check, parts.answering.told())
        write(parts)
        return composed(self.card, tidied(parts.setting.text, choices), parts.setting.text.astray)

    def _parts(self, choices: Choices, check: CheckSum | None, told: Endings) -> Parts:
        """All that the program is put together from; `told`: the endings for which the board is not looked at."""
        text = Text(self.card)
        setting = Setting(text, choices, self.play, self.happens)
        keyboard = Keyboard(text, setting.game.move_names)
        saying = Saying(text, choices)
        naming = naming_for(setting, keyboard, saying)
        reading = Reading(text, keyboard, naming, self.play.game.shape, choices)
        ground = ground_for(setting._replace(happens=self.happens - told))
        answering = self.answerer(setting, ground)
        return Parts(setting, saying, keyboard, naming, reading, ground, answering, check, told)

    def assembled(self, written: Written) -> Program:
        """Its words.  Raises WrongWay where a key would find 0 that names no move."""
        program = _assembled(written, self.card)
        if written.astray is not None and not leads_to_no_zero(program, written.astray):
            raise WrongWay("a key that names no move leads to a word that may be 0")
        return program


def _lowered(written: Written, program: Program, choices: Choices) -> Lowered:
    return Lowered(written.text, program, words_of(program, written), choices.picked)


def _assembled(written: Written, card: CostCard) -> Program:
    file = f"program for {card.name}"
    try:
        return program_for(written.text, card, file)
    except BadInput as bad:
        if card.programs == ORDER_SHEET:
            raise NotLowered(str(bad.problems[0].message)) from bad
        words = _words_by_section(room_for(written.text, card, file), written)
        if words.total > card.store_words:
            raise TooLong(words, card.store_words) from None
        raise NotLowered(str(bad.problems[0].message)) from bad


def words_of(program: Program, written: Written) -> Words:
    """The words of a program by section."""
    room: dict[int, frozenset[int]] = {}
    for line in program.lines:
        room[line.number] = room.get(line.number, frozenset()) | frozenset(program.addresses(line))
    return _words_by_section(room, written)


def _words_by_section(room: Mapping[int, Collection[int]], written: Written) -> Words:
    """Words by what they are for, told from those that each line of the text takes; line 0 is the pool."""
    taken: set[int] = set()
    counts = dict.fromkeys((PROGRAM, TABLE, CONSTANT, MESSAGES, WORKSPACE), 0)
    for line in sorted(room, key=lambda line: (line == 0, line)):
        new = set(room[line]) - taken
        counts[written.sections.get(line, CONSTANT) if line else CONSTANT] += len(new)
        taken |= new
    return Words(*counts.values())


def leads_to_no_zero(program: Program, astray: Astray) -> bool:
    """Whether every key that names no word of a table leads to a word of the image that is not 0."""
    layout = program.card.program.layout
    first = program.labels[astray.table] // layout.places_a_word - astray.first
    named = range(astray.first, astray.first + astray.words)
    strays = (first + key for key in range(astray.keys) if key not in named)
    return all(program.image.get(address % (1 << layout.address_bits)) for address in strays)


def endings_of(play: FixedPlay) -> frozenset[tuple[str, str]]:
    """After what a play can end how; a game lost by wrong input is left out, for that has a label of its own."""
    graph, game = play.graph, play.game
    ended = np.flatnonzero(graph.ending[graph.child] != UNFINISHED)
    kinds = [MACHINE, VISITOR, LOST_TURN, "", FORGIVEN]
    wrong = np.clip(graph.move[ended].astype(np.intp) - game.fair_moves, -1, 2)
    by_visitor = graph.mover[graph.parent[ended]] != game.seat
    after = np.where(wrong < 0, by_visitor, 2 + wrong).tolist()
    names = {win_of(game.seat): WON, win_of(game.visitor): LOST, DRAW: DRAWN}
    endings = graph.ending[graph.child[ended]].tolist()
    found = {(kinds[what], names[ending]) for what, ending in zip(after, endings, strict=True)}
    return frozenset(each for each in found if each[0])


def every_ending() -> frozenset[tuple[str, str]]:
    """Every ending, after anything."""
    return frozenset(product((MACHINE, VISITOR, LOST_TURN, FORGIVEN), (WON, LOST, DRAWN)))
