"""What is to be drilled, a program of ours or an image that people bring, with the words that are declared harmless."""

from collections.abc import Sequence

from budget.building import Product
from budget.card import CostCard
from budget.closing import Differs, Unfinished
from budget.conversation import Conversation
from budget.drilling.blame import Blame, blame_for
from budget.drilling.growing import Grows
from budget.drilling.lines import Texts, lines_of
from budget.drilling.sound import play_sound
from budget.drilling.tally import word_text
from budget.images.load import load_program, with_space
from budget.lowering.units import codes_of
from budget.machine.listing import address_digits, in_base
from budget.machine.program import Program
from games.problems import bad
from solver.fixed import FixedPlay
from workbench.asked import Asked, proof_of
from workbench.built_strategy import plays_to_build
from workbench.drilled import Subject, closed_over
from workbench.progress import ProgressLine


class PlaysOtherwise(Differs):
    """A program that plays otherwise than its strategy, and what makes it do so, where a line shows that."""

    def __init__(self, message: str, blame: Blame | None) -> None:
        super().__init__(message)
        self.blame = blame


def built_subject(product: Product, names: Sequence[str], progress: ProgressLine) -> Subject:
    """A program that was built, and is closed over already; anew if words are declared harmless."""
    play, program = product.form.play, product.lowered.program
    code = program.card.characters.code
    sign = None if product.check is None else codes_of(code, product.check_sign)
    if not names:
        return Subject(play, program, product.closed, sign)
    return _closed([play], program, names, progress)._replace(sign=sign)


def image_subject(
    file: str, card: CostCard, asked: Asked, names: Sequence[str], progress: ProgressLine
) -> Subject:
    """An image in any format, closed over against the strategy that it plays, in whichever reading that is.

    Raises BadInput for files with mistakes, Refused where the strategy does not hold, Differs where the program plays
    otherwise, and Unfinished where there is no end of states.
    """
    program = load_program(file, card)
    written = asked.written()
    proof = proof_of(written, progress)
    subject = _closed(plays_to_build(proof, anyway=False), program, names, progress)
    subject = subject._replace(is_ours=False)
    return subject if program.labels else subject._replace(program=_without_unused(subject))


def _closed(
    plays: Sequence[FixedPlay], program: Program, names: Sequence[str], progress: ProgressLine
) -> Subject:
    words = [_address(name, program) for name in names]
    otherwise = []
    for play in plays:
        try:
            closed, harmless = closed_over(play, program, words, progress)
        except Differs as difference:
            otherwise.append((play, str(difference)))
        except Grows as growth:
            raise Unfinished(_told(program, growth.words)) from None
        else:
            return Subject(play, program, closed, None, harmless)
    play, told = otherwise[0]
    raise PlaysOtherwise(told, None if words else _blame(play, program))


def _blame(play: FixedPlay, program: Program) -> Blame | None:
    """What makes a program play otherwise."""
    talk = Conversation(play, program.card, thorough=False)
    return blame_for(program, talk, Texts(play, program.card, talk))


def _address(name: str, program: Program) -> int:
    """The word that a label or an address names."""
    card = program.card
    if name in program.labels:
        return program.labels[name] // card.program.layout.places_a_word
    base, last = card.program.base, card.store_words - 1
    try:
        address = int(name, base)
    except ValueError:
        address = -1
    if 0 <= address <= last:
        return address
    most = in_base(last, base, address_digits(program))
    raise bad(f"'{name}' is no label of the program; expected one, or an address up to {most}", program.file)


def _told(program: Program, words: Sequence[int]) -> str:
    """That there is no end of states, and because of which words."""
    told = ", ".join(word_text(program, each) for each in words)
    base, digits = program.card.program.base, address_digits(program)
    options = " ".join(f"--harmless {in_base(each, base, digits)}" for each in words)
    return (
        f"takes new values from game to game, without end: {told}. "
        f"If what stands there makes no difference, say so, and it is checked: {options}"
    )


def _without_unused(subject: Subject) -> Program:
    """The program of an image whose workspace is only what some line of play uses."""
    play, program = subject.play, subject.program
    talk = Conversation(play, program.card, thorough=False)
    sound = play_sound(program, lines_of(Texts(play, program.card, talk), talk))
    return with_space(program, sound.interest[sound.used.any(axis=0)].tolist())
