"""Character codes: shifts, capitals, what is said where a code lacks a character, and back again."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from budget.card import load_machine
from budget.characters import (
    INSTEAD,
    NO_CHARACTER,
    character_code_names,
    load_characters,
    parse_characters,
)
from games.problems import BadInput

CODES = [load_characters(name) for name in character_code_names()]
ITA2 = load_characters("ita2")


def sayable(code):
    signs = code.characters + code.characters.lower() + ("\n" if code.line_end else "")
    return st.text(alphabet=sorted({sign for sign in signs if code.printed(sign) in code.characters + "\n"}))


texts = st.sampled_from(CODES).flatmap(lambda code: st.tuples(st.just(code), sayable(code)))


@given(texts)
def test_what_was_encoded_is_printed(case):
    code, text = case
    codes = code.encode(text)
    assert all(0 <= each < 1 << code.bits and each != code.end for each in codes)
    assert code.decode(codes) == code.printed(text)
    assert code.decode((*codes, code.end, *codes)) == code.printed(text)
    assert code.printed(text) in {text, text.upper()}


@given(texts)
def test_small_letters_are_kept_exactly_where_the_code_has_them(case):
    code, text = case
    assert (code.printed(text) == text) == all(sign in code.characters + "\n" for sign in text)


@given(sayable(ITA2))
def test_shifts_cost_a_character_and_only_where_the_case_changes(text):
    """Letters and figures one by one: a space or line end leaves the case as it is."""
    cost, case = 0, "letters"
    for sign in text:
        if sign in " \n":
            cost += 1 if sign == " " else 2
            continue
        wanted = "letters" if sign.isalpha() else "figures"
        cost += 1 + (wanted != case)
        case = wanted
    assert len(ITA2.encode(text)) == cost


def test_a_message_begins_in_letters():
    assert ITA2.encode("A") == (3,)
    assert ITA2.encode("5A") == (27, 16, 31, 3)


def advice(code, text):
    with pytest.raises(BadInput) as caught:
        load_characters(code).encode(text)
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("code", "text", "expected"),
    [
        ("ita2", "WELL DONE!", "has no '!'; say '.' instead"),
        ("ita2", "A;B", "has no ';'; say ',' instead"),
        ("ita2", "ROCK & ROLL", "has no '&'; say 'AND' instead"),
        ("six-bit", "A\nB", "has no line end; say space instead"),
        ("six-bit", "A\tB", "has no tab; say space instead"),
        ("iso646", "No. #5", "has no '#'; say 'NO.' instead"),
        ("iso646", "caf\N{LATIN SMALL LETTER E WITH ACUTE}", "say 'e' instead"),
        ("six-bit", "\N{LATIN CAPITAL LETTER A WITH DIAERESIS}", "say 'A' instead"),
        ("ita2", "\N{SNOWMAN}", "expected letters, figures, spaces or some of -'"),
        ("iso646", "\a", "has no character number 0007; expected letters"),
    ],
)
def test_what_to_say_instead(code, text, expected):
    (told,) = advice(code, text)
    assert expected in told
    assert told.isprintable()


def test_each_lacking_character_is_told_once():
    assert len(advice("ita2", "NO! NO! @ & @")) == 3


@given(st.text(min_size=1), st.sampled_from(CODES))
def test_every_text_is_encoded_or_answered_in_one_plain_line_for_each_character(text, code):
    lacking = {sign for sign in text if code.printed(sign) not in set(code.characters)}
    if code.line_end:
        lacking -= {"\n"}
    if not lacking:
        assert code.decode(code.encode(text)) == code.printed(text)
        return
    told = advice(code.name, text)
    assert len(told) == len(lacking)
    assert all(len(line) < 200 and "\n" not in line for line in told)


@pytest.mark.parametrize("code", CODES, ids=lambda code: code.name)
@pytest.mark.parametrize("sign", [*INSTEAD, "\N{LATIN SMALL LETTER E WITH ACUTE}"])
def test_what_is_advised_can_be_said(code, sign):
    try:
        code.encode(sign)
    except BadInput as caught:
        _, _, instead = str(caught).partition("; say ")
        if not instead:  # a code of a few signs names them all
            instead = str(caught).partition("; expected some of ")[2][:1]
        assert instead, "every code of ours can say something for these"
        code.encode(" " if instead == "space instead" else instead.removesuffix(" instead").strip("'") or "'")


def test_no_code_has_the_sign_for_nothing():
    assert all(NO_CHARACTER not in code.characters for code in CODES)


def test_codes_that_end_messages_and_shift_are_no_characters():
    for code in CODES:
        controls = [code.end, *code.line_end, *(case.shift for case in code.cases if case.shift is not None)]
        assert len(set(controls)) == len(controls)
        for case in code.cases:
            assert not set(controls) & set(case.codes.values())
        assert (len(code.cases) > 1) == any(case.shift is not None for case in code.cases)


def test_unknown_code():
    with pytest.raises(BadInput, match=r"no character code called 'ita-2'.*did you mean 'ita2'"):
        load_characters("ita-2")


FAULTY = """\
kind = "characters"
title = "Two bits too few"
from = "Our own"
bits = 5
end = 32
colour = "red"

[[case]]
name = "all"
shift = true
table = ["ABC"]
"""


def test_faulty_code_is_told_line_by_line():
    with pytest.raises(BadInput) as caught:
        parse_characters(FAULTY, "faulty.toml")
    assert [(problem.line, str(problem).split(": ")[1][:12]) for problem in caught.value.problems] == [
        (5, "'end' should"),
        (6, "'colour' is "),
        (10, "'shift' shou"),
        (11, "the table ha"),
    ]
    with pytest.raises(BadInput, match="one \\[\\[case\\]\\] or more"):
        parse_characters(FAULTY[: FAULTY.index("[[case]]")], "faulty.toml")


OWN = """\
kind = "characters"
title = "Lamps"
from = "Our own"
bits = 4
end = 0
{more}
[[case]]
name = "{name}"
table = ["{table}"]
"""


@pytest.mark.parametrize(
    ("change", "line", "said"),
    [
        ({"table": "A123456789MVWD?~"}, 9, "code 0 is 'end' and 'A'; expected ~ there"),
        ({"table": "~11234567890MVW~"}, 9, "'1' is in the table twice; expected it once"),
        ({"name": "two words"}, 8, "'name' should be one word of letters"),
        ({"more": "line-feed = 0"}, 1, "code 0 is both 'end' and a line end; expected different codes"),
        ({"more": "line-feed = 1"}, 9, "code 1 is a line end and '1'; expected ~ there"),
    ],
)
def test_a_code_that_means_two_things(change, line, said):
    figures = {"more": "", "name": "lamps", "table": "~123456789MVWD?~", **change}
    with pytest.raises(BadInput) as caught:
        parse_characters(OWN.format(**figures), "lamps.toml")
    assert [problem.line for problem in caught.value.problems] == [line]
    assert said in str(caught.value)


def test_several_cases_need_shifts():
    text = OWN.format(more="", name="lamps", table="~123456789MVWD?~")
    with pytest.raises(BadInput) as caught:
        parse_characters(
            text + "[[case]]\nname = 'b'\nshift = 15\ntable = ['~~~~~~~~~~~~~~~~']\n", "lamps.toml"
        )
    assert [problem.line for problem in caught.value.problems] == [7]
    assert "the case 'lamps' has no 'shift'" in str(caught.value)


def test_a_code_of_ones_own_beside_the_card(tmp_path):
    card = 'kind = "machine"\nfrom = "ours"\nword-bits = 4\nstore-words = 96\n[characters]\ncode = "{}"\n'
    (tmp_path / "lamps.toml").write_text(OWN.format(more="", name="lamps", table="~123456789MVWD?~"))
    (tmp_path / "card.toml").write_text(card.format("lamps.toml"))
    code = load_machine(tmp_path / "card.toml").characters.code
    assert (code.name, code.bits, code.encode("MV1")) == ("lamps", 4, (10, 11, 1))
    (tmp_path / "card.toml").write_text(card.format("none.toml"))
    with pytest.raises(BadInput, match=r"none\.toml: cannot be read: there is no such file"):
        load_machine(tmp_path / "card.toml")
