"""What a program prints, unit by unit: messages and names of moves, as the codes that go out.

A printer may have been left in any case (a visitor's keys print too), so each unit says its case before its first
character that is not the same in all of them.  Printed in *lines*, every message begins on a new line; *close*, only
what the house rules say goes out.
"""

from budget.characters import Case, CharacterCode
from games.house import LINES, HouseRules

ASKED, MOVED = "ask", "machine-moves"
"""The messages that something is to be typed or printed behind."""


def codes_of(code: CharacterCode, text: str) -> tuple[int, ...]:
    """The codes of a unit, whatever case the printer is in.  Raises BadInput as `encode` does."""
    code.encode(text)  # tells what the code lacks
    codes: list[int] = []
    case: Case | None = None
    for sign in text:
        if sign == "\n":
            codes.extend(code.line_end)
            continue
        held = [each for each in code.cases if _code_in(each, sign) is not None]
        if case not in held and not _alike_in_all(code, sign):
            case = held[0]
            if case.shift is not None:
                codes.append(case.shift)
        found = _code_in(case if case in held and case is not None else held[0], sign)
        assert found is not None
        codes.append(found)
    return tuple(codes)


def _code_in(case: Case, sign: str) -> int | None:
    return case.codes.get(sign, case.codes.get(sign.upper()))


def _alike_in_all(code: CharacterCode, sign: str) -> bool:
    """Whether a character has the same code in every case, so that no case need be known."""
    return len({_code_in(case, sign) for case in code.cases}) == 1


def message_unit(house: HouseRules, code: CharacterCode, name: str, text: str) -> tuple[int, ...]:
    """The codes of a message by its name (as in ``house.all_messages``) and text."""
    if house.layout != LINES:
        return codes_of(code, text)
    if not text and name != MOVED:
        return ()
    space = " " if text and name in (ASKED, MOVED) and any(" " in case.codes for case in code.cases) else ""
    line_end = "\n" if code.line_end else ""
    return codes_of(code, f"{line_end}{text}{space}")
