"""What comes of slips in an image: the store that has them is played through, against the strategy of the image."""

from collections.abc import Mapping

from budget.card import CostCard
from budget.closing import Closed, Differs, close
from budget.conversation import Conversation
from budget.faulty import Fate, fate_of
from budget.images.image import Image
from budget.images.load import program_of_image
from budget.machine.program import Program
from games.problems import bad
from solver.fixed import FixedPlay, fixed_plays
from workbench.asked import Asked, proof_of


def fate_of_slips(file: str, image: Image, stored: Mapping[int, int], card: CostCard, asked: Asked) -> Fate:
    """What a machine plays that holds `stored` in place of an image that plays a strategy.

    Raises BadInput where the image does not say where it begins, or does not play as the strategy does.
    """
    sound = program_of_image(image, card, file)
    written = asked.written()
    proof = proof_of(written)
    play, closed = _played(file, asked.file, sound, fixed_plays(proof))
    slipped = sound._replace(image=dict(stored))
    return fate_of(slipped, Conversation(play, card, thorough=False), closed)


def _played(file: str, strategy: str, program: Program, plays: list[FixedPlay]) -> tuple[FixedPlay, Closed]:
    """The reading of a strategy that a program plays, and what was found when it was held against that."""
    told = "the strategy has no answer in some position"
    for play in plays:
        try:
            return play, close(program, Conversation(play, program.card, thorough=False))
        except Differs as difference:
            told = str(difference)
    raise bad(f"does not play as {strategy} does, even without slips: {told}", file)
