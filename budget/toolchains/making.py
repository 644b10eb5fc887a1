"""The smallest program that a compiler makes of a form: several wordings are compiled, and the fewest bytes win."""

from typing import NamedTuple

from budget.c90.program import CProgram, written
from budget.card import CostCard
from budget.conversation import Conversation
from budget.lowering.choices import Choices, Search
from budget.lowering.lower import Words
from budget.lowering.text import NotLowered
from budget.toolchains import toolchains
from budget.toolchains.drill import Drilled, drill
from budget.toolchains.toolchain import Image, Missing, Toolchain, check_tools
from games.problems import bad
from solver.fixed import FixedPlay


class Made(NamedTuple):
    """A program as a compiler made it: its text, the linked image, and which wordings were chosen."""

    program: CProgram
    image: Image
    choices: dict[str, str]

    @property
    def words(self) -> Words:
        """Its bytes by what they are for; what the toolchain adds to every program counts as program."""
        tables, messages = self.program.bytes.tables, self.program.bytes.messages
        return Words(self.image.loaded - tables - messages, tables, 0, messages, self.image.written)


def toolchain_of(card: CostCard) -> Toolchain:
    """The toolchain that a card names.  Raises BadInput, in one line, where a tool of it is not installed."""
    assert card.toolchain is not None
    toolchain = toolchains()[card.toolchain]
    try:
        check_tools(toolchain)
    except Missing as missing:
        raise bad(str(missing)) from None
    return toolchain


def made(play: FixedPlay, form: str, card: CostCard) -> Made:
    """The program of a play in a form that takes the fewest bytes of all wordings that were tried.

    Raises NotLowered, with the reason, where there is none.
    """
    toolchain = toolchain_of(card)

    def compiled(choices: Choices) -> Made:
        program = written(play, form, card, choices)
        return Made(program, toolchain.link(program.text), choices.picked)

    return Search(compiled, lambda each: each.words.total).least()


def room_lacking(made_: Made, card: CostCard) -> int:
    """How many bytes a program has too many for a machine; 0 or less where it fits.

    Where part of the store cannot be written, what is loaded lies in that part, and what is written in the other.
    """
    image = made_.image
    if not card.fixed_words:
        return image.loaded + image.written - card.store_words
    return max(image.loaded - card.fixed_words, image.written - card.first_fixed)


def drilled(made_: Made, play: FixedPlay, card: CostCard, *, thorough: bool = False) -> Drilled:
    """What is found when a program is played through everything.  Raises Differs: a fault of ours."""
    talk = Conversation(play, card, thorough=thorough)
    return drill(toolchain_of(card), made_.image, talk, card)


__all__ = ["Made", "NotLowered", "drilled", "made", "room_lacking", "toolchain_of"]
