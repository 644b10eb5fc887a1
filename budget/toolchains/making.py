"""The smallest program that a compiler makes of a form: several wordings are compiled, and the fewest bytes win."""

from typing import NamedTuple

from budget.c90.program import CProgram, written
from budget.card import CostCard
from budget.closing import Differs
from budget.conversation import Conversation
from budget.lowering.choices import Choices, Search
from budget.lowering.lower import Words
from budget.toolchains import toolchains
from budget.toolchains.drill import Drilled, drill, everything
from budget.toolchains.toolchain import Failed, Image, Missing, Toolchain, check_tools
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
        raise bad(f"the machine '{card.name}' needs tools: {missing}") from None
    return toolchain


class Kept(NamedTuple):
    """The program that is kept, and what was found when it was played through everything.

    refused: how many wordings have fewer bytes, and as compiled say something else than they should.
    """

    made: Made
    drilled: Drilled
    refused: int


def kept(play: FixedPlay, form: str, card: CostCard, *, thorough: bool = False) -> Kept:
    """The program of a play in a form: of all wordings tried that with the fewest bytes that plays as it should.

    Compilers have faults of their own: a wording that one gets wrong is passed over.  thorough: with many inputs of
    each class.
    Raises NotLowered, with the reason, where there is none; Differs or Failed, a fault of ours, where none says what
    it should.
    """
    toolchain = toolchain_of(card)
    wrong: list[Differs | Failed] = []
    tried = sorted(_made(play, form, card, toolchain), key=lambda each: each.words.total)
    due = everything(Conversation(play, card, thorough=thorough))
    for each in tried:
        try:
            return Kept(each, drill(toolchain, each.image, due, card), len(wrong))
        except (Differs, Failed) as fault:
            wrong.append(fault)
    raise wrong[0]


def _made(play: FixedPlay, form: str, card: CostCard, toolchain: Toolchain) -> list[Made]:
    """What the compiler makes of every wording that the search for the smallest comes by."""
    tried: list[Made] = []

    def compiled(choices: Choices) -> Made:
        program = written(play, form, card, choices)
        tried.append(Made(program, toolchain.link(program.text), choices.picked))
        return tried[-1]

    Search(compiled, lambda each: each.words.total).least()
    return tried


def room_lacking(made: Made, card: CostCard) -> int:
    """How many bytes a program has too many for a machine; 0 or less where it fits.

    Where part of the store cannot be written, what is loaded lies in that part, and what is written in the other.
    """
    image = made.image
    if not card.fixed_words:
        return image.loaded + image.written - card.store_words
    return max(image.loaded - card.fixed_words, image.written - card.first_fixed)
