"""A check-sum: a few orders that go over every word that never changes, and stop the machine if one is wrong.

The sum begins at 0, and for each word, in the order of addresses, it becomes three times what it was, plus the word,
modulo 2^w.  The last word, `balance`, is chosen so that the sum of all is 0.

*One wrong word is always found*: a word that is wrong by d, with k words after it, changes the sum by 3^k d.  Since 3
is odd, that is 0 modulo 2^w only if d is.  *Two words that have changed places*, j apart and different by d, change
it by 3^k (3^j - 1) d.  3^j - 1 is twice an odd number if j is odd, else 4j times one: so it is not found where 2d, or
4jd, is a multiple of 2^w.  For neighbours that is where they differ in their top bits alone.

The words of the check itself are among those that it goes over; but where they are wrong, it may do anything.
"""

from collections.abc import Callable
from typing import NamedTuple

from budget.card import ORDER_SHEET, CostCard
from budget.characters import CharacterCode
from budget.lowering.text import CONSTANTS, NotLowered, Row, Text, Written
from budget.lowering.units import codes_of
from budget.machine.orders import Operand
from budget.machine.program import Program
from budget.machine.simulator import Machine
from games.problems import bad

NO_CHECK, AT_START, BETWEEN_GAMES = "none", "at-start", "between-games"
"""When a check-sum is formed; the last also when the machine is started."""
FACTOR = 3
BALANCE, PASSED = "balance", "checked"
"""Labels: of the word that makes the sum 0, and of where the program goes on if it is."""
SIGN = "E"
"""What is printed before the machine halts, where its code has it."""
ROUNDS, MOST_PADDING = 8, 3
"""How often a program is written anew until its own length stands in it, and words that help it to come out."""


class CheckSum(NamedTuple):
    """A check-sum as it is written into a program.

    words: over how many it goes; balance: the last of them; padding: words of 0 before that; between_games: whether it
    is formed before every game, or only when the machine is started.
    """

    words: int
    balance: int = 0
    padding: int = 0
    between_games: bool = False


class CheckTime(NamedTuple):
    """What one check takes."""

    instructions: int
    cycles: int


def failure_sign(code: CharacterCode) -> str:
    """What a machine prints when its check-sum is wrong: E, or the first sign of a code that has no E."""
    return SIGN if SIGN in code.characters else min(code.characters)


def refuse_altered(card: CostCard) -> None:
    """Raise BadInput for a machine whose programs alter themselves: they have no sum."""
    if card.programs == ORDER_SHEET:
        raise bad(
            f"programs of '{card.name}' alter themselves, so that they have no check-sum; expected no option of it"
        )


def write_check(text: Text, check: CheckSum) -> None:
    """The orders that form the sum, print the sign and halt where it is not 0, and else go on."""
    text.rows[CONSTANTS].extend(Row((), "word", "0") for _ in range(check.padding))
    text.rows[CONSTANTS].append(Row((BALANCE,), "word", str(check.balance), "makes the check-sum 0"))
    text.remark("the check-sum: three times the sum, plus each word")
    if check.words <= 1 << text.word_bits - 1:
        _write_short(text, check.words)
    else:
        _write_long(text, check.words)
    text.ops("load check_sum", f"ifzero {PASSED}")
    for sign in codes_of(text.card.characters.code, failure_sign(text.card.characters.code)):
        text.number(sign)
        text.op("output")
    text.ops("halt", f"{PASSED}:")


def _write_short(text: Text, words: int) -> None:
    """The loop where one word counts all that are summed."""
    at, again = text.variable("check_at", remark="the word to be summed, less their end"), text.fresh("sum")
    text.number(-words)
    text.op("store", at)
    _write_sum(text, again)
    text.ops(f"by {at}", f"add {BALANCE}+1", "store check_sum", f"count {at}", f"ifnonzero {again}")


def _write_long(text: Text, words: int) -> None:
    """The loop where two words count them: `check_at` runs up through all that a word can hold, once for each pass."""
    size, half = 1 << text.word_bits, 1 << text.word_bits - 1
    passes = -(-words // size)
    text.needs(-passes, 0, f"a count of {passes} times {size} words")
    at, turn, again = text.variable("check_at"), text.variable("check_pass"), text.fresh("sum")
    text.number(-passes)
    text.op("store", turn)
    text.number(half - (words - (passes - 1) * size))
    text.op("store", at)
    _write_sum(text, again)
    beyond = half - text.card.program.layout.modulus(Operand.WORD)  # an address counts modulo the whole store
    text.ops(f"by {turn}", "high", f"by {at}", f"add {BALANCE}+1{beyond:+}", "store check_sum", f"count {at}")
    text.plus(half)
    text.ops(f"ifnonzero {again}", f"count {turn}", f"ifnonzero {again}")


def _write_sum(text: Text, again: str) -> None:
    """The sum set to 0; then, at a label, three times the sum."""
    total = text.variable("check_sum")
    text.number(0)
    text.ops(f"store {total}", f"{again}:", f"load {total}", *[f"add {total}"] * (FACTOR - 1))


def guarded(
    write: Callable[[CheckSum], Written], assemble: Callable[[Written], Program], *, between_games: bool
) -> tuple[Written, Program]:
    """A program with its check-sum: written again and again until the count of its words stands in it.

    Raises NotLowered where its words do not follow one another.
    """
    for padding in range(MOST_PADDING):
        check = CheckSum(1, 0, padding, between_games)
        for _ in range(ROUNDS):
            program = assemble(write(check))
            words = _run_of_words(program)
            if words == check.words:
                written = write(check._replace(balance=balance_of(program)))
                return written, assemble(written)
            check = check._replace(words=words)
    raise NotLowered("its check-sum cannot be made to fit its own length")


def _run_of_words(program: Program) -> int:
    """How many words are loaded, which must follow one another up to the balance."""
    first, last = min(program.image), max(program.image)
    per_word = program.card.program.layout.places_a_word
    if last - first + 1 != len(program.image) or program.labels[BALANCE] // per_word != last:
        raise NotLowered("its words do not follow one another, as a check-sum needs it")
    return len(program.image)


def sum_of(program: Program) -> int:
    """The check-sum of a program's words, in the order of addresses, modulo 2^w."""
    total = 0
    for _, word in sorted(program.image.items()):
        total = (FACTOR * total + word) % (1 << program.card.word_bits)
    return total


def balance_of(program: Program) -> int:
    """The last word that makes the sum 0, where it is 0 itself so far."""
    return -sum_of(program) % (1 << program.card.word_bits)


def time_of(program: Program, *, between_games: bool) -> CheckTime:
    """What one check takes, counted by running it.

    Between games it begins at the label `game`; else with the program.
    """
    machine = Machine.loaded(program)
    begin = program.labels.get("game", program.start) if between_games else program.start
    while machine.place != begin:
        machine.step()
    before = machine.instructions, machine.clock.cycles
    while machine.place != program.labels[PASSED]:
        if machine.step() is None:
            raise RuntimeError("the check-sum of a sound program stops it")
    return CheckTime(machine.instructions - before[0], machine.clock.cycles - before[1])
