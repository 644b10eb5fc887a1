"""Order sheets as files: every mistake has its line, and words become orders and back."""

import pytest

from budget.card import load_machine, parse_machine
from budget.machine.layout import Fault
from budget.programs import machine_for, program_for
from budget.target.effect import Unclear, read_effect
from budget.target.reading import load_sheet, parse_sheet, sheet_names
from budget.target.sheet import Orders
from games.problems import BadInput
from workbench.new import template

SHEET = load_sheet("twelve-bit-operate")
ORDERS = Orders(SHEET)
GOOD = template("order-sheet")
HEAD = """\
kind = "machine"
from = "made for a test"
word-bits = 12
store-words = 4096
programs = "order-sheet"
"""
CHARACTERS = '[characters]\ncode = "six-bit"\n'


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("word-bits = 16", "word-bits = 3", "'word-bits' should be a whole number from 4 to 40"),
        ('bits = "0001 i aaaaaaaaaaa"', 'bits = "0001 i aaaaaaaaaa"', "'bits' has 15 bits; expected 16"),
        ('bits = "0001 i aaaaaaaaaaa"', 'bits = "0001 x aaaaaaaaaaa"', "'x' is no bit of a pattern"),
        ('bits = "0001 i aaaaaaaaaaa"', 'bits = "0001 iaaaaaaaaaa1"', "expected 11 bits 'a' and no 'p'"),
        ('does = "A = S[e]"', 'does = "A = S[e"', "'does' of LOD: expected ']', not the end"),
        ('does = "A = S[e]"', 'does = "B = S[e]"', "'does' of LOD: expected a register, not 'B'"),
        ('does = "A = A << 1"', 'does = "A = A << e"', "expected to shift by a number"),
        ('group = "registers"', 'group = "register"', '\'group\' should be "" or "registers"'),
        ('name = "STO"', 'name = "LOD"', "there is an order 'LOD' already"),
        ('words = ["LOD n"]', 'words = ["LOAD n"]', "'LOAD n': expected an order of the sheet"),
        ('words = ["LOD n"]', 'words = ["LOD m"]', "'LOD m': there is no 'm' here; expected n"),
        ('words = ["LOD n"]', 'words = ["LOD"]', "'LOD': 'LOD' needs an operand"),
        ('words = ["INV INC"]', 'words = ["INV STOP"]', "'INV STOP': these orders do not go together"),
        ('words = ["INV INC"]', 'words = ["INV INC n"]', "there is no 'n' here"),
        ('order = "negate"', 'order = "negat"', "did you mean 'negate'?"),
        (
            'order = "input"\nwords = ["KEY"]',
            'order = "halt"\nwords = ["STOP"]',
            "nothing stands for 'input' in every case",
        ),
        ('accumulator = "A"', 'accumulator = "AC"', '\'accumulator\' should be "A" or "C"'),
        ("cycles = 2", "cycle = 2", "'cycle' is not known here; expected"),
    ],
)
def test_mistakes_of_a_sheet(old, new, told):
    assert old in GOOD
    text = GOOD.replace(old, new, 1)
    with pytest.raises(BadInput) as caught:
        parse_sheet(text, "mine.toml")
    first = caught.value.problems[0]
    assert told in first.message
    assert first.file == "mine.toml"
    assert first.line > 0


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("A", "expected '='"),
        ("A = ", "expected a register, not the end"),
        ("A = 1 2", "'2' is too much here"),
        ("if A: A = 1", "expected '=', '<>', '<' or '>'"),
        ("if A = 0: if A = 1: skip", "an 'if' within an 'if'"),
        ("forget A", "expected 'typed' or 'printed'"),
        ("A = 1 ? 2", "'?' means nothing here"),
        ("A = " + "(" * 30 + "1" + ")" * 30, "nested too deeply"),
    ],
)
def test_mistakes_of_an_effect(text, told):
    with pytest.raises(Unclear, match=told.replace("?", r"\?").replace("(", r"\(")):
        read_effect(text, {"A": 12})


def test_every_sheet_of_the_house_is_named_by_a_card():
    sheets = {card.sheet.name for card in map(load_machine, ["twelve-bit-orders"]) if card.sheet}
    assert sheets == set(sheet_names())


@pytest.mark.parametrize(
    ("names", "word"),
    [
        (("CLA",), 0o7200),
        (("CLA", "CLL", "CML", "RTL"), 0o7326),
        (("SZA", "CLA"), 0o7640),
        (("SPA", "SNA"), 0o7550),
        (("SKP",), 0o7410),
        (("NOP",), 0o7000),
        (("HLT",), 0o7402),
        (("KRB",), 0o6036),
        (("CLA", "SZA", "IAC"), None),
        (("RAL", "RAR"), None),
        (("SZA", "SNA"), None),
    ],
)
def test_orders_in_one_word(names, word):
    assert ORDERS.combined(names) == word


def test_every_word_is_one_order_or_none():
    for word in range(1 << 12):
        try:
            decoded = ORDERS.decode(word, 0o200)
        except Fault:
            continue
        if decoded.has_address:
            again = ORDERS.addressed(
                decoded.names[0], decoded.address, 0o200, is_indirect=decoded.is_indirect
            )
            assert again in (word, word & ~0o200) or decoded.address < 0o200
        elif set(decoded.names) <= set(ORDERS.named):
            assert ORDERS.combined(decoded.names) in (word, 0o7200), "clearing alone is in two groups"


CARD = load_machine("twelve-bit-orders")


def refused(text):
    with pytest.raises(BadInput) as caught:
        program_for(text, CARD, "p.orders")
    return [(problem.line, problem.message) for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("text", "line", "told"),
    [
        ("a: load a\nhalt\n", 1, "'load' works on an instruction here"),
        ("a: set a+1\nhalt\n", 1, "depends on how long instructions are"),
        ("a: jump a+1\n", 1, "'jump' needs the label of an instruction here"),
        ("call s\nhalt\ns: call s\nback\n", 3, "'s' calls itself"),
        ("call s\ncall t\nhalt\ns: jump u\nt: halt\nu: back\n", 0, ""),
        ("call s\ncall t\nhalt\ns: jump u\nt: jump u\nu: back\n", 6, "this 'back' ends both"),
        ("back\n", 1, "can be reached without a 'call'"),
        ("set 1\nx: word 1\n", 1, "the program runs into what is no instruction"),
        ("at 128\nhalt\n", 1, "expected no 'at'"),
        ("by x\ny: load 0\nhalt\nx: word 1\n", 1, "needs its order right after it"),
        ("by x\njump y\ny: halt\nx: word 1\n", 2, "needs a list of jumps"),
        ("store =5\nhalt\n", 1, "'store' of a constant cannot be expanded"),
    ],
)
def test_what_cannot_be_expanded(text, line, told):
    if told:
        assert told in dict(refused(text))[line]
    else:
        program_for(text, CARD)


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ("", "'order-sheet' is missing"),
        ('order-sheet = "twelve-bit-operat"\n', "did you mean 'twelve-bit-operate'?"),
        (
            'order-sheet = "twelve-bit-operate"\nfixed-words = 10\n',
            "expected no 'fixed-words' with an order sheet",
        ),
    ],
)
def test_mistakes_of_a_card_with_a_sheet(more, told):
    with pytest.raises(BadInput) as caught:
        parse_machine(HEAD + more + CHARACTERS, "card.toml")
    assert told in caught.value.problems[0].message


def test_words_and_addresses_that_do_not_agree():
    text = HEAD.replace("12", "18").replace("4096", "8192") + 'order-sheet = "twelve-bit-operate"\n'
    with pytest.raises(BadInput) as caught:
        parse_machine(text + CHARACTERS, "card.toml")
    word, address = (problem.message for problem in caught.value.problems)
    assert "words have 18 bits here, and 12" in word
    assert "too few for 8192" in address


def test_a_printer_that_is_not_waited_for():
    program = program_for("halt\n", CARD)
    image = {0o20: 0o6046, 0o21: 0o6046}
    machine = machine_for(program._replace(image=image, start=0o20))
    assert (machine.run(), machine.fault, machine.passed) == ("fault", "printer not ready", [0])


def test_cycles_and_times():
    machine = machine_for(program_for("start: load x\nstore y\nhalt\nx: word 5\ny: space 1\n", CARD))
    machine.run()
    assert (machine.instructions, machine.clock.cycles) == (4, 1 + 2 + 2 + 1)
    assert float(machine.times().thinking) == 6 * 1.5e-6


def test_constants_that_page_zero_cannot_hold():
    lines = [f"add ={1000 + 7 * number}" for number in range(130)]
    told = refused("\n".join(["input", *lines, "output", "halt"]))
    assert told == [(0, f"page zero is {130 - 112} words too short for the constants of this program")]
