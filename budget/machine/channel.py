"""Between text and the codes that pass a machine's input and output, one word or less at a time."""

from collections.abc import Iterable, Sequence

from budget.card import Characters, CostCard
from budget.characters import CharacterCode
from games.problems import bad


def code_of(code: CharacterCode, sign: str) -> int | None:
    """The code of one character, in whichever case it is; None where there is none.

    Small letters stand for capitals where the code has none.
    """
    for letter in (sign, sign.upper()):
        for case in code.cases:
            if letter in case.codes:
                return case.codes[letter]
    return None


def return_code(code: CharacterCode) -> int:
    """What the Return key sends: the first character of a line end; the end mark where the code has none."""
    return code.line_end[0] if code.line_end else code.end


def named_codes(code: CharacterCode) -> dict[str, int]:
    """The codes without a sign that programs may name: shifts, the Return key, line feed, the end of a message."""
    named = {f"{case.name}_shift": case.shift for case in code.cases if case.shift is not None}
    if code.line_end:
        named["line_feed"] = code.line_end[-1]
    return {**named, "return_key": return_code(code), "end_mark": code.end}


def keyed(card: CostCard, text: str) -> list[int]:
    """What `input` gets, in turn, when someone types a text: shifts as needed, and Return for each line end.

    Raises BadInput for the first character that the machine's keyboard lacks.
    """
    code = card.characters.code
    codes: list[int] = []
    case = code.cases[0]
    for sign in text:
        if sign == "\n":
            codes.append(return_code(code))
            continue
        wanted = next((each for each in (case, *code.cases) if _in_case(each.codes, sign) is not None), None)
        if wanted is None:
            raise bad(f"{code.title} has no {sign!r}, so nobody can type it on '{card.name}'")
        if wanted is not case and wanted.shift is not None:
            codes.append(wanted.shift)
        case = wanted
        codes.append(_in_case(case.codes, sign) or 0)
    return [part for code_ in codes for part in parts(card.characters, card.word_bits, code_)]


def _in_case(codes: dict[str, int], sign: str) -> int | None:
    return codes.get(sign, codes.get(sign.upper()))


def parts(characters: Characters, word_bits: int, code: int) -> list[int]:
    """A character's code as `input` and `output` pass it: whole, or cut into words, the low bits first."""
    mask = (1 << word_bits) - 1
    return [code >> number * word_bits & mask for number in range(characters.words_each)]


def printed(card: CostCard, passed: Sequence[int]) -> str:
    """What the printer shows of the codes that `output` has passed; ``<7>`` for a code that prints nothing.

    A printer with letters and figures begins in the first of them; the first half of a line end is not shown.
    """
    code = card.characters.code
    text = ""
    case = code.cases[0]
    signs = {each.name: {number: sign for sign, number in each.codes.items()} for each in code.cases}
    shifts = {each.shift: each for each in code.cases if each.shift is not None}
    for number in _joined(card, passed):
        if number in shifts:
            case = shifts[number]
        elif number in code.line_end:
            text += "\n" if number == code.line_end[-1] else ""
        else:
            text += signs[case.name].get(number, f"<{number}>")
    return text


def typed_text(card: CostCard, codes: Sequence[int]) -> str:
    """An input as people type it, without the Return at its end."""
    ends = bool(codes) and codes[-1] == return_code(card.characters.code)
    return printed(card, codes[:-1] if ends else codes)


def _joined(card: CostCard, passed: Sequence[int]) -> Iterable[int]:
    """Whole characters out of the words that have passed; what lacks a part at the end is left out."""
    each = card.characters.words_each
    for at in range(0, len(passed) - each + 1, each):
        yield sum(part << number * card.word_bits for number, part in enumerate(passed[at : at + each]))
