"""Check-sums in programs, held against the machine itself: every bit of an image in turn."""

from collections import Counter

import pytest

from budget.card import load_machine
from budget.closing import close
from budget.conversation import Conversation
from budget.lowering.answering.sheet import by_rules
from budget.lowering.checksum import (
    AT_START,
    BETWEEN_GAMES,
    CheckSum,
    balance_of,
    failure_sign,
    guarded,
    sum_of,
    time_of,
    write_check,
)
from budget.lowering.choices import Choices
from budget.lowering.lower import lower
from budget.lowering.text import NotLowered, Text, composed
from budget.lowering.tidying import tidied
from budget.lowering.units import codes_of
from budget.machine.assembler import assemble
from budget.machine.fleet import Fleet
from budget.machine.simulator import FAULT, HALTED, LIMIT, WAITING, Machine
from budget.machine.states import STATUSES
from solver.fixed import PLAIN, fix
from solver.load import load_strategy
from solver.proof import prove

SHEET = """game: two-by-two
seat: second
choice: plain
complete a line
take any free cell
"""
"""On the smallest board a program is run in every state at once, and yet has every part that others have."""
CARDS = ("twelve-bit", "home-1k", "transistor-39")


@pytest.fixture(scope="module")
def play(tmp_path_factory):
    file = tmp_path_factory.mktemp("checks") / "plain.rules"
    file.write_text(SHEET)
    written = load_strategy(file)
    return fix(prove(written.strategy(1), written.claim, written.house), PLAIN)


@pytest.fixture(scope="module")
def checked(play):
    """The program with a check-sum, made once for each card."""
    made = {}

    def of(name, check=AT_START):
        if (name, check) not in made:
            made[name, check] = lower(play, load_machine(name), by_rules, check=check).program
        return made[name, check]

    return of


# -- check-sums ------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [*CARDS, "delay-line", "flash-8k", "rom-4k"])
def test_a_program_with_a_check_sum_plays_as_it_should(play, checked, name):
    program = checked(name)
    assert sum_of(program) == 0
    for fill in (0, (1 << program.card.word_bits) - 1):
        assert close(program, Conversation(play, program.card, thorough=False), fill=fill).states > 10


@pytest.mark.parametrize("name", CARDS)
def test_between_games_the_sum_is_formed_again(play, checked, name):
    program = checked(name, BETWEEN_GAMES)
    assert close(program, Conversation(play, program.card, thorough=False)).states > 10
    took = time_of(program, between_games=True)
    assert took.instructions > 5 * len(program.image)
    machine = Machine.loaded(program)
    machine.run()
    spoilt = program.labels["messages"] // program.card.program.layout.places_a_word
    machine.store[spoilt] ^= 1
    assert plays_until_it_stops(machine, play, program.card)


def plays_until_it_stops(machine, play, card):
    """Type legal moves, and Return after the end; whether the sign of a wrong sum comes in the end."""
    talk = Conversation(play, card, thorough=False)
    state, _ = talk.begin()
    sign = sign_of(card)
    for _ in range(20):
        fed = [typed for typed in talk.inputs(state) if talk.enter(state, typed)[0] != state]
        machine.feed(fed[0])
        machine.run()
        if machine.status == HALTED:
            return machine.passed[-len(sign) :] == sign
        state, _ = talk.enter(state, fed[0])
    return False


def end_of(fleet, machine):
    """How a machine stands, and what it has printed."""
    return STATUSES[int(fleet.states.status[machine])], fleet.sent[machine]


def flipped(program, addresses, limit):
    """Machines with one bit wrong each, run to their first input: their words, bits and the fleet."""
    bits = program.card.word_bits
    flips = [(address, bit) for address in addresses for bit in range(bits)]
    fleet = Fleet.loaded(program, len(flips))
    rows = fleet.states.rows
    for number, (address, bit) in enumerate(flips):
        if not rows.has_row(address):
            rows.make_row(address)
        rows.write(address, slice(number, number + 1), program.image[address] ^ 1 << bit)
    fleet.run(limit=limit)
    return flips, fleet


def words_of_the_check(program):
    """Those that are obeyed or read, not as words to be summed, from the start until the sum is known."""
    machine, own = Machine.loaded(program), set()
    per_word = program.card.program.layout.places_a_word
    while machine.place != program.labels["checked"]:
        m, place = machine.m, machine.place
        step = machine.step()
        own.update(range(place // per_word, place // per_word + step.instruction.words))
        if step.word is not None and not m:
            own.add(step.effective)
        if step.instruction.order.name == "by":
            own.add(step.effective)
    return own


@pytest.mark.parametrize("name", CARDS)
def test_every_wrong_bit_is_caught(checked, name):
    """Each bit of the image in turn but those of the check's own words, which may do anything."""
    program = checked(name)
    own = words_of_the_check(program)
    others = [address for address in program.image if address not in own]
    assert len(others) > 0.8 * len(program.image)
    took = time_of(program, between_games=False).instructions
    sign = sign_of(program.card)
    flips, fleet = flipped(program, others, 4 * took)
    failing, sound = failing_words(program, own), sound_start(program)
    for number, (address, bit) in enumerate(flips):
        status, sent = end_of(fleet, number)
        if address in failing:
            assert (status, sent) != (WAITING, sound), (address, bit)
        else:
            assert (status, sent) == (HALTED, sign), (address, bit)


@pytest.mark.parametrize("name", ["twelve-bit", "transistor-39", "delay-line"])
def test_most_bits_of_the_check_itself_show_too(checked, name):
    """Each bit of the check's own words in turn; a machine that goes on has lost only its check."""
    program = checked(name)
    limit, sign = 2 * time_of(program, between_games=False).instructions, sign_of(program.card)
    told = Counter()
    for address in sorted(words_of_the_check(program) & set(program.image)):
        for bit in range(program.card.word_bits):
            machine = Machine.loaded(program)
            machine.store[address] ^= 1 << bit
            status = machine.run(limit)
            told["caught" if (status, machine.passed) == (HALTED, sign) else status] += 1
    assert set(told) <= {"caught", WAITING, HALTED, LIMIT, FAULT}
    assert told["caught"] > 0.5 * told.total()
    assert told[WAITING] < 0.25 * told.total()


def sign_of(card):
    return list(codes_of(card.characters.code, failure_sign(card.characters.code)))


def failing_words(program, own):
    """The words after the last jump of the check, which print the sign: where one is wrong, so is the sign."""
    per_word = program.card.program.layout.places_a_word
    machine = Machine.loaded(program)
    machine.store[program.labels["balance"] // per_word] ^= 1
    words = set()
    for step in machine.steps():
        first = step.place // per_word
        words.update(range(first, first + step.instruction.words))
        if step.instruction.order.operand == 1 or step.word is not None:
            words.add(step.effective)
    return words - own


def sound_start(program):
    machine = Machine.loaded(program)
    machine.run()
    return machine.passed


def test_words_that_changed_places_are_caught_but_for_those_the_text_names(checked):
    """All pairs of neighbours, and pairs further apart, against the rule that is told in the module."""
    program = checked("twelve-bit")
    words, bits = [program.image[address] for address in sorted(program.image)], 12
    for apart in (1, 2, 3, 8, 64):
        for at in range(len(words) - apart):
            other = list(words)
            other[at], other[at + apart] = other[at + apart], other[at]
            total = 0
            for word in other:
                total = (3 * total + word) % (1 << bits)
            d = words[at] - words[at + apart]
            escapes = (2 * d if apart % 2 else 4 * apart * d) % (1 << bits) == 0
            assert (total == 0) == escapes, (at, apart)


# -- the loop, on words of every length ---------------------------------------------------------------


def check_alone(card, words):
    """A program that is nothing but a check-sum over a list of words."""

    def written(check):
        text = Text(card)
        text.label("start")
        write_check(text, check)
        text.op("input")
        text.table("listed", words)
        return composed(card, tidied(text, Choices()))

    _, program = guarded(written, lambda each: assemble(each.text, card), between_games=False)
    return program


LISTS = [
    *(("kit-96", count) for count in (1, 7, 8, 9, 24)),
    *(("relay-256", count) for count in (1, 90, 91, 92, 93, 94, 95, 96, 97, 98, 99, 100, 180)),
    *(("home-1k", count) for count in (60, 200, 201, 202, 256, 700)),
    ("delay-line", 400),
    ("drum-desk", 300),
    ("rom-4k", 700),
]
"""So many words that one word just counts them, just does not, and that they take one pass, two and three."""


@pytest.mark.parametrize(("name", "count"), LISTS)
def test_the_loop_goes_over_any_number_of_words(name, count):
    program = check_alone(load_machine(name), [word % 7 for word in range(count)])
    machine = Machine.loaded(program)
    assert machine.run() == WAITING
    assert machine.passed == []
    listed = program.labels["listed"] // program.card.program.layout.places_a_word
    for address in range(listed, listed + count, max(1, count // 40)):
        machine = Machine.loaded(program)
        machine.store[address] ^= 1
        assert machine.run(100_000) == HALTED
        assert machine.passed != []


def test_words_with_a_gap_are_refused():
    card = load_machine("delay-line")

    def written(check):
        text = Text(card)
        text.label("start")
        write_check(text, check)
        text.op("input")
        return composed(card, tidied(text, Choices()))

    def apart(each):
        return assemble(each.text.replace("# The last", "at 300\n# The last"), card)

    with pytest.raises(NotLowered, match="do not follow one another"):
        guarded(written, apart, between_games=False)


def test_the_balance_is_worked_out_from_the_words():
    program = check_alone(load_machine("delay-line"), [1, 2, 3])
    last = max(program.image)
    without = program._replace(image={**program.image, last: 0})
    assert balance_of(without) == program.image[last]
    assert CheckSum(3).balance == 0
