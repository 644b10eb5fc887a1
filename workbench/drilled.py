"""An image drilled on the simulated machine: what is asked for, and what is found."""

from typing import NamedTuple

from budget.building import Product
from budget.card import OWN, CostCard
from budget.closing import Closed
from budget.conversation import Conversation
from budget.drilling.drill import Outcome, drill
from budget.drilling.faults import Fault, faults_of
from budget.drilling.judging import Judge
from budget.drilling.lines import START, Lines, Texts, lines_of
from budget.drilling.mornings import Morning, morning_of
from budget.drilling.power_up import PowerUp, power_up
from budget.drilling.sound import Sound, play_sound
from budget.drilling.verdicts import NotAsked, Verdicts, ask_verdicts
from budget.lowering.units import codes_of
from budget.machine.program import Program
from games.problems import bad
from solver.fixed import FixedPlay
from solver.progress import Progress, Stage
from workbench.progress import ProgressLine

DRILLING = Stage("faults drilled")


class Faulted(NamedTuple):
    """What faults come to, each in its place, and the morning games that show them."""

    faults: tuple[Fault, ...]
    outcomes: tuple[Outcome, ...]
    morning: Morning


class Drilled(NamedTuple):
    """A drill of an image; verdicts: why they were not asked for, if so; faulted: None where that was not wanted."""

    play: FixedPlay
    program: Program
    closed: Closed
    sound: Sound
    power_up: PowerUp
    verdicts: Verdicts | str
    faulted: Faulted | None

    @property
    def lines(self) -> Lines:
        """All lines of play."""
        return self.sound.lines


def refuse_other_orders(card: CostCard) -> None:
    """Raise BadInput for a machine whose programs are not in our own orders."""
    if card.programs != OWN:
        message = "has other orders than Wordtight's own, and only these are drilled side by side"
        raise bad(f"{message}; expected another machine", card.name)


def drill_image(product: Product, progress: ProgressLine, *, kept: bool, with_faults: bool) -> Drilled:
    """Drill a program that is closed already: power-up and the next game, and its faults if they are asked for.

    kept: whether the program tells endings, too, to which the play never comes.
    Raises budget.closing.Differs for a fault of ours, and Unfinished where there are too many lines of play.
    """
    play, program = product.form.play, product.lowered.program
    talk = Conversation(play, program.card, thorough=False)
    texts = Texts(play, program.card, talk)
    sound = play_sound(program, lines_of(texts, talk))
    powered = power_up(sound)
    verdicts: Verdicts | str
    try:
        verdicts = ask_verdicts(sound, play, talk, kept=kept)
    except NotAsked as reason:
        verdicts = str(reason)
    faulted = None
    if with_faults:
        judge = Judge(talk, _sign(product, program.card))
        faulted = _faulted(sound, texts, judge, progress)
    return Drilled(play, program, product.closed, sound, powered, verdicts, faulted)


def _sign(product: Product, card: CostCard) -> tuple[int, ...] | None:
    """What the program's own check prints, if it has one."""
    return None if product.check is None else codes_of(card.characters.code, product.check_sign)


def _faulted(sound: Sound, texts: Texts, judge: Judge, progress: ProgressLine) -> Faulted:
    faults = tuple(faults_of(sound))

    def told(done: int) -> None:
        progress(Progress(DRILLING, done, len(faults), done))

    outcomes = tuple(drill(sound, faults, texts, judge, told))
    before = [outcome for fault, outcome in zip(faults, outcomes, strict=True) if fault.wait == START]
    return Faulted(faults, outcomes, morning_of(sound.lines, before))
