"""An image drilled on the simulated machine: what is asked for, and what is found."""

from collections.abc import Sequence
from typing import NamedTuple

from budget.card import COMPILER, CostCard
from budget.closing import NOTHING, Closed, Differs, close
from budget.conversation import Conversation
from budget.drilling.drill import Outcome, drill
from budget.drilling.faults import Fault, faults_of
from budget.drilling.growing import growing, stopping
from budget.drilling.judging import Judge
from budget.drilling.lines import START, Lines, Texts, lines_of
from budget.drilling.mornings import Morning, morning_of
from budget.drilling.power_up import PowerUp, power_up
from budget.drilling.sound import Sound, play_sound
from budget.drilling.verdicts import NotAsked, Verdicts, ask_verdicts
from budget.harmless import Harmless, harmless
from budget.machine.program import Program
from games.problems import bad
from solver.fixed import FixedPlay
from solver.progress import Progress, Stage
from workbench.fault_mark import FaultMark
from workbench.progress import TRYING, ProgressLine

DRILLING = Stage("faults drilled")


class Faulted(NamedTuple):
    """What faults come to, each in its place, and the morning games that show them."""

    faults: tuple[Fault, ...]
    outcomes: tuple[Outcome, ...]
    morning: Morning


class Subject(NamedTuple):
    """A program that is closed over, with the play that it makes.

    sign: the codes that its own check prints, None where it has none; harmless: the words that were declared so;
    is_ours: whether it was built here, and has to be right also where no play comes.
    """

    play: FixedPlay
    program: Program
    closed: Closed
    sign: tuple[int, ...] | None = None
    harmless: Harmless = NOTHING
    is_ours: bool = True

    def parts(self) -> tuple[object, ...]:
        """All that decides what comes of its faults, but for the rules of the game and of the house."""
        play, program = self.play, self.program
        moves = list(zip(play.codes.tolist(), play.moves.tolist(), strict=True))
        lines = [
            (line.kind, line.place, line.length) for line in program.lines
        ]  # they tell which words are space
        image = (program.card.name, program.start, sorted(program.image.items()), lines)
        return (play.game.seat, moves, image, self.closed, self.sign, self.harmless.words)


class Drilled(NamedTuple):
    """A drill of an image; verdicts: why they were not asked for, if so; faulted: None where that was not wanted."""

    subject: Subject
    sound: Sound
    power_up: PowerUp
    verdicts: Verdicts | str
    faulted: Faulted | None

    @property
    def program(self) -> Program:
        """The program that was drilled."""
        return self.subject.program

    @property
    def lines(self) -> Lines:
        """All lines of play."""
        return self.sound.lines


def refuse_compilers(card: CostCard) -> None:
    """Raise BadInput for a machine between whose programs and store a compiler stands."""
    if card.programs == COMPILER:
        message = "has a compiler between the program and its store, and such programs are not drilled here"
        raise bad(f"{message}; expected another machine", card.name)


def closed_over(
    play: FixedPlay, program: Program, words: Sequence[int], progress: ProgressLine
) -> tuple[Closed, Harmless]:
    """Hold a program against a play in every state, some words being declared harmless, by their addresses.

    Raises budget.closing.Differs where it plays otherwise, and Grows where there is no end because of other words.
    """
    card = program.card
    talk = Conversation(play, card, thorough=False)
    declared = harmless(words, card)

    def grows() -> tuple[int, ...]:
        found = growing(program, lines_of(Texts(play, card, talk), talk), talk)
        return tuple(address for address in found if address not in declared.words)

    def told(states: int) -> None:
        progress(Progress(TRYING, 0, 0, states))

    closed = close(program, Conversation(play, card), told=stopping(told, grows), harmless=declared)
    return closed, declared


def drill_image(
    subject: Subject,
    progress: ProgressLine,
    *,
    kept: bool,
    with_faults: bool,
    mark: FaultMark | None = None,
) -> Drilled:
    """Drill a program that is closed already: power-up and the next game, and its faults if they are asked for.

    kept: whether the program tells endings, too, to which the play never comes.  mark: where the drill of faults is to
    go on from, and is kept.
    Raises BadInput where that is the mark of another drill, budget.closing.Differs for a fault of ours, and Unfinished
    where there are too many lines of play.
    """
    play, program = subject.play, subject.program
    talk = Conversation(play, program.card, thorough=False)
    texts = Texts(play, program.card, talk)
    sound = play_sound(program, lines_of(texts, talk), harmless=subject.harmless.words)
    powered = power_up(sound)
    verdicts: Verdicts | str
    try:
        verdicts = ask_verdicts(sound, play, talk, kept=kept)
    except NotAsked as reason:
        verdicts = str(reason)
    except Differs as difference:
        if subject.is_ours:
            raise
        verdicts = f"the program is not made for them: {difference}"
    faulted = None
    if with_faults:
        judge = Judge(talk, subject.sign)
        faulted = _faulted(sound, texts, judge, progress, mark)
    return Drilled(subject, sound, powered, verdicts, faulted)


def _faulted(
    sound: Sound, texts: Texts, judge: Judge, progress: ProgressLine, mark: FaultMark | None
) -> Faulted:
    faults = tuple(faults_of(sound))
    known = [] if mark is None else mark.taken_up(len(faults))

    def told(outcomes: Sequence[Outcome]) -> None:
        if mark is not None:
            mark.keep(outcomes)
        progress(Progress(DRILLING, len(outcomes), len(faults), len(outcomes)))

    told(known)  # a file that cannot be written is told of before the work, not after it
    outcomes = tuple(drill(sound, faults, texts, judge, told, known))
    before = [outcome for fault, outcome in zip(faults, outcomes, strict=True) if fault.wait == START]
    return Faulted(faults, outcomes, morning_of(sound.lines, before))
