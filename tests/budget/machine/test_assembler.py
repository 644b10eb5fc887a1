"""The assembler: the words that it writes, the places that it finds, and every mistake that it tells."""

import pytest

from budget.card import load_machine, parse_machine
from budget.machine.assembler import assemble
from budget.machine.layout import DoesNotFit, Fault
from budget.machine.orders import ORDERS, Operand
from budget.machine.program import CONSTANT, DATA, INSTRUCTION, SPACE
from budget.machine.simulator import HALTED, Machine
from games.problems import BadInput
from tests.budget.machine.machines import CARD

CARDS = {
    name: load_machine(name)
    for name in ("twelve-bit", "delay-line", "transistor-39", "home-1k", "relay-256", "kit-96", "rom-4k")
}


def words(text, machine="twelve-bit"):
    """The image from its first word to its last."""
    image = assemble(text, CARDS[machine]).image
    return [image[address] for address in sorted(image)]


def mistakes(text, machine="twelve-bit"):
    with pytest.raises(BadInput) as caught:
        assemble(text, CARDS[machine], "x.orders")
    assert all(str(problem).isprintable() for problem in caught.value.problems)
    return [(problem.line, problem.column, problem.message) for problem in caught.value.problems]


def small_card(word_bits, store_words, shape, addresses="full"):
    figures = {"word_bits": word_bits, "store_words": store_words, "shape": shape, "addresses": addresses}
    return parse_machine(CARD.format(fixed=0, links=2, cycles=1, **figures), "small.toml")


# -- how instructions lie in words, by hand after docs/programs.md


@pytest.mark.parametrize(
    ("text", "machine", "expected"),
    [
        ("load 5", "twelve-bit", [0b0001_0_0000101]),
        ("at 128\nload 133", "twelve-bit", [0b0001_1_0000101]),
        ("set -2", "twelve-bit", [0b1110_11111110]),
        ("back", "twelve-bit", [0b0000_0000_0001]),
        ("right 3", "twelve-bit", [0b0000_0011_1000]),
        ("load 5", "delay-line", [0b0001_00000000000101]),
        ("plus -1", "delay-line", [0b1111_11111111111111]),
        ("load 5\njump 3", "transistor-39", [0b1001_000000000000011_0001_000000000000101]),
        ("halt\nnext: jump next", "transistor-39", [0b1001_000000000000001_0000_000000000000000]),
        ("load 5", "home-1k", [0b0001_0000, 5]),
        ("load 517", "home-1k", [0b0001_0010, 0b00000101, 0b10]),
        ("at 512\nload 517", "home-1k", [0b0001_0001, 5]),
        ("load !5", "home-1k", [0b0001_0010, 5, 0]),
        ("left 2\nset -1\noutput", "home-1k", [0b0000_0111, 2, 0b1110_0000, 255, 0b0000_0011]),
        ("load 5", "relay-256", [0b0001_0000, 5]),
        ("load 0x25\nset 3\ninput\nright 1", "kit-96", [1, 5, 2, 14, 3, 0, 2, 0, 8, 1]),
        ("at fixed\nload 5", "rom-4k", [0b0001_0000, 5]),
    ],
)
def test_words_of_an_instruction(text, machine, expected):
    assert words(text, machine) == expected


@pytest.mark.parametrize("machine", CARDS)
def test_every_instruction_is_read_as_it_was_written(machine):
    layout = CARDS[machine].program.layout
    for order in ORDERS:
        for operand in {Operand.NUMBER: (-7, 0, 3), Operand.AMOUNT: (0, 3), Operand.NONE: (0,)}.get(
            order.operand, (0, 17, 90)
        ):
            for form in layout.forms(order, operand, 20):
                part = layout.encode(order, operand, 20, form)
                store = dict(enumerate(part, 20))
                got = layout.decode(
                    20 * layout.places_a_word, lambda address, store=store: store.get(address, 0)
                )
                assert (got.order, got.operand) == (order, operand)
                assert got.next_place == 20 * layout.places_a_word + layout.length(order, form)


def test_what_no_instruction_can_hold():
    layout = CARDS["twelve-bit"].program.layout
    for name, operand in (("set", 128), ("set", -129), ("left", 16), ("load", 4096), ("jump", -1)):
        order = next(order for order in ORDERS if order.name == name)
        with pytest.raises(DoesNotFit, match=f"'{name}'"):
            layout.encode(order, operand, 0, 0)
    with pytest.raises(Fault, match="not an order: code 0 with 9"):
        layout.decode(0, lambda address: 9)


# -- text


def test_expressions_and_bases():
    text = "a = 2*(b+1)-1\nb = 0x10\nword a, -b, 0o17+0b11, 'A'*2, b-a*2, -(-3)"
    assert words(text) == [33, 4080, 18, 2, 4046, 3]


def test_remarks_labels_and_empty_lines():
    text = "# nothing\n\none: two: # both stand here\n  load two#close\n"
    program = assemble(text, CARDS["twelve-bit"])
    assert program.labels == {"one": 0, "two": 0}
    assert program.lines[0].number == 4


def test_characters_have_the_codes_of_the_machine():
    assert words("word '1', 'a', return_key, end_mark", "twelve-bit") == [49, 1, 0, 0]
    assert words("word '1', 'A', figures_shift, letters_shift, return_key, line_feed", "delay-line") == [
        23,
        3,
        27,
        31,
        8,
        2,
    ]
    assert words('text "ABCD"', "delay-line") == [3 | 25 << 5 | 14 << 10, 9]


def test_where_a_program_begins():
    assert assemble("word 1, 2\nload 0", CARDS["twelve-bit"]).start == 2
    assert assemble("load 0\nstart: load 1", CARDS["twelve-bit"]).start == 1
    assert assemble("word 1", CARDS["twelve-bit"]).start == 0
    assert assemble("", CARDS["twelve-bit"]).image == {}


def test_labels_of_words_and_places_with_two_instructions_a_word():
    program = assemble("load x\nhere: jump here\nload =5\nx: word x, here\nload here", CARDS["transistor-39"])
    assert program.labels == {"here": 1, "x": 4}
    assert program.image[2] == 2  # the address of a word ...
    assert program.image[3] == 1  # ... and the place of an instruction
    low, high = program.image[0] & (1 << 19) - 1, program.image[0] >> 19
    assert (low, high) == (1 << 15 | 2, 9 << 15 | 1)
    assert program.image[4] == 1 << 15 | 0  # the word in which `here` lies


def test_kinds_of_words():
    program = assemble(
        "load =7\nadd =7\nadd =3+4\nword 1, 2\nspace 3\nload =x\nload = x\nx: halt", CARDS["twelve-bit"]
    )
    assert [program.words(kind) for kind in (INSTRUCTION, CONSTANT, DATA, SPACE)] == [6, 2, 2, 3]
    assert program.words() == 13
    assert [(line.text, program.image[line.place]) for line in program.lines if line.kind == CONSTANT] == [
        ("= 7", 7),
        ("= x", 10),
    ]
    assert 5 not in program.image
    assert program.store(fill=9)[5:8] == [9, 9, 9]


# -- far and near


def test_an_instruction_that_leads_to_another_page_goes_by_a_pointer():
    program = assemble(
        "load far\nstore far\njump next\npool\nat 300\nnext: load far\nhalt\nat 600\nfar: word 5",
        CARDS["twelve-bit"],
    )
    machine = Machine.loaded(program)
    assert machine.run() == HALTED
    assert (machine.a, machine.store[600], machine.instructions) == (5, 5, 9)
    pool = [program.image[line.place] for line in program.lines if line.kind == CONSTANT]
    assert sorted(pool) == [300, 600]


def test_addresses_get_longer_only_where_they_must():
    text = "jump end\nx: space {}\nload x\nend: load end\nhalt"
    for size in range(245, 260):
        program = assemble(text.format(size), CARDS["home-1k"])
        machine = Machine.loaded(program)
        assert machine.run() == HALTED
        first = next(line for line in program.lines if line.kind == INSTRUCTION)
        assert first.length == (2 if program.labels["end"] < 256 else 3)


@pytest.mark.parametrize("machine", CARDS)
def test_a_whole_address_can_be_altered(machine):
    """A program that walks along a list by counting up the address of its own instruction."""
    card = CARDS[machine]
    if card.fixed_words:
        return
    in_words = card.program.layout.shape == "words"
    part, whole = ("it+1", "!") if in_words else ("it", "")
    text = f"count {part}\nset 0\nit: load {whole}list\nhalt\nlist: word 3, 4"
    machine = Machine.loaded(assemble(text, card))
    assert machine.run() == HALTED
    assert machine.a == 4


# -- mistakes


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("laod 5", [(1, 1, "there is no order 'laod'; did you mean 'load'?")]),
        ("x load 5", [(1, 1, "there is no order 'x'; a label ends with ':'")]),
        ("  load", [(1, 7, "'load' needs a word after it")]),
        ("jump", [(1, 5, "'jump' needs a place after it")]),
        ("set", [(1, 4, "'set' needs a number after it")]),
        ("halt 3", [(1, 6, "'3' is too much here; expected the end of the line")]),
        ("set =3", [(1, 5, "'set' takes no '='")]),
        ("jump =3", [(1, 6, "'jump' takes no '='")]),
        ("left !3", [(1, 6, "'left' takes no '!'")]),
        ("load 5 5", [(1, 8, "'5' is too much here; expected the end of the line")]),
        ("load (5", [(1, 8, "expected ')'")]),
        ("load 5+", [(1, 8, "expected a number, a name or a character in quotes")]),
        ("load 5$", [(1, 7, "'$' means nothing here; a remark begins with '#'")]),
        (
            "load 5x",
            [(1, 6, "a number is made of digits: 12, 0x1F (base 16), 0o17 (base 8) or 0b101 (base 2)")],
        ),
        ("set 'ab'", [(1, 5, "expected one character between two quotes, such as 'A'")]),
        ('text "AB', [(1, 6, "a text must end with its quote on the same line")]),
        ("text AB", [(1, 6, 'expected a text in quotes, such as "YOUR MOVE"')]),
        ("load: halt", [(1, 1, "'load' is an order; expected another name for a label")]),
        ("set " + "9" * 30, [(1, 5, "this number is far too long")]),
        ("set " + "-" * 30 + "1", [(1, 25, "this is nested too deeply")]),
        (": halt", [(1, 1, "expected a label, an order or a name")]),
        ("load x", [(1, 6, "there is no 'x' in this program")]),
        ("boat: halt\nload bota", [(2, 6, "there is no 'bota' in this program; did you mean 'boat'?")]),
        ("x: halt\nx: halt", [(2, 1, "'x' is here already; expected it once")]),
        ("fixed = 3", [(1, 1, "'fixed' has a meaning already; expected another name")]),
        ("a = b\nb = a", [(1, 1, "'a' is worked out from itself"), (2, 1, "'b' is worked out from itself")]),
        ("x: space y\ny = x", [(1, 10, "'space' cannot depend on a label")]),
        ("at x\nx: halt", [(1, 4, "'at' cannot depend on a label")]),
        ("space -1", [(1, 7, "'space' needs a number from 0 to 4096, not -1")]),
        ("at 4096\nhalt", [(2, 1, "this does not fit: the store ends with word 4095")]),
        ("halt\nat 0\nhalt", [(3, 1, "word 0 is taken already by line 1")]),
        ("pool\nload =3\npool", [(3, 1, "there is a pool already; expected it once")]),
        ("word 4096", [(1, 6, "a word of 12 bits holds -2048 to 4095, not 4096")]),
        ("set 200", [(1, 5, "'set' holds numbers from -128 to 127, not 200")]),
        ("left 16", [(1, 6, "'left' moves by 0 to 15 bits, not by 16")]),
        ("load 4096", [(1, 6, "'load' needs an address from 0 to 4095, not 4096")]),
        ("by 300", [(1, 4, "word 300 is too far away; expected page zero")]),
        ("at 200\nby 300", [(2, 4, "word 300 is too far away; expected page zero or in this page")]),
        ("load 300\nat 400\nhalt", [(1, 6, "word 401 is too far away; expected a line 'pool' in page zero")]),
        ("word '~'", [(1, 6, "six-bit code (columns 2 to 5 of ISO 646) has no '~'")]),
        ('text "A~"', [(1, 6, "six-bit code (columns 2 to 5 of ISO 646) has no '~'; say '-' instead")]),
        ("laod 5\nset\nhalt 1", [(1, 1, None), (2, 4, None), (3, 6, None)]),
    ],
)
def test_mistakes_are_told_with_line_and_column(text, expected):
    found = mistakes(text)
    assert [each[:2] for each in found] == [each[:2] for each in expected]
    assert all(said is None or got[2] == said for got, (_, _, said) in zip(found, expected, strict=True))


def test_a_program_for_a_fixed_store():
    assert mistakes("at fixed\nx: space 1", "rom-4k") == [
        (2, 10, "word 128 cannot be written; expected space before word 128")
    ]
    assert mistakes("halt", "rom-4k") == [
        (1, 1, "word 0 holds nothing at the start; expected 'at fixed' (word 128) before this")
    ]
    program = assemble("x: space 1\nat fixed\nload =5\nstore x\nhalt", CARDS["rom-4k"])
    machine = Machine.loaded(program)
    assert machine.run() == HALTED
    assert machine.store[0] == 5


def test_words_of_five_bits_have_their_detail_apart():
    card = small_card(5, 40, "words")
    program = assemble("input\nload 33\nright 1\nset -1", card)
    assert [program.image[address] for address in range(10)] == [0, 2, 1, 1, 1, 0, 8, 1, 14, 31]
