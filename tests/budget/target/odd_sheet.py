"""A sheet that nobody would build: conditions before other statements, words that lead to words, numbers of 80 bits."""

from budget.card import load_machine
from budget.target.effect import read_effect
from budget.target.sheet import Pattern, Sheet, TargetOrder

REGISTERS = {"A": 40, "B": 17, "C": 1}
WORD_BITS, ADDRESS_BITS, STORE_WORDS = 40, 8, 200
CODE_AT = 30
FIELDS = {"a": (0, 8), "i": (8, 1), "n": (9, 6)}
EFFECTS = (
    "A = S[e]; C = 0",
    "C.A = C.A + S[e]",
    "S[e] = A; A = B",
    "A = n; B = B + 1",
    "if A > n: A = A - n; if A = 0: skip",
    "if B = n: print A; if C = 1: halt",
    "if A < B: forget printed; if printed: A = not A",
    "S[A + 1] = B; B = S[S[e]]",
    "C.B.A = ((A << 40) - (B << 3)) >> 20",
    "P = A + n",
    "if A <> 1: P = S[e]; stay; if B > A: skip; if A > B: stay",
    "A = key; forget typed; if typed: B = key",
    "S[e] = P; P = e + 1",
    "S[e] = S[e] + 1; if S[e] = 0: skip; if S[e] > B: S[B] = A",
    "print key; if printed: skip",
    "if typed: A = A xor key; if A = n: forget typed",
    "if A = B: P = e",
    "B = A and P or (n << 4)",
    "if printed: B = n",
    "P = e",
)


def odd_card():
    """A machine with these orders; the code of an order lies at CODE_AT, from 1 on."""
    orders = tuple(
        TargetOrder(
            f"O{code}",
            Pattern(code << CODE_AT, 31 << CODE_AT, FIELDS),
            "",
            read_effect(effect, REGISTERS),
            cycles=code % 3 + 1,
        )
        for code, effect in enumerate(EFFECTS, 1)
    )
    sheet = Sheet(
        "odd", "Odd", "made for a test", WORD_BITS, ADDRESS_BITS, 0, 0, (4, 6), 3, REGISTERS, "A", orders, (), (),
        (), {},
    )  # fmt: skip
    return load_machine("twelve-bit-orders")._replace(
        sheet=sheet, word_bits=WORD_BITS, store_words=STORE_WORDS
    )
