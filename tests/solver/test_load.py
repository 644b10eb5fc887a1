"""Strategy files: headers, sheets and tables, and what is told when they cannot be used."""

from pathlib import Path

import pytest

from games.house import load_house_rules
from games.problems import BadInput
from solver.load import load_strategy
from solver.meanings import LooksUp
from solver.proof import prove
from solver.strategy import OPEN, PLAIN, TURNED

HEAD = "game: noughts-and-crosses\nseat: second\n"


@pytest.fixture
def written(tmp_path):
    def write(text, name="my.rules", **options):
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return load_strategy(path, **options)

    return write


def mistakes(written, text, **options):
    """Each mistake as it is told, the file by its bare name."""
    with pytest.raises(BadInput) as caught:
        written(text, **options)
    return [str(each).replace(each.file, Path(each.file).name) for each in caught.value.problems]


def test_a_header_says_all_that_a_sheet_needs(written):
    header = "# mine\nGAME: noughts-and-crosses # the usual\nseat: both\nclaim: best-value\n"
    sheet = written(
        header + "house-rules: lost-turn\nchoice: turned\n\nTake The Centre  # first\ntake any free cell\n"
    )
    assert sheet.game.name == "noughts-and-crosses"
    assert (sheet.seats, sheet.claim, sheet.house_rules, sheet.choice) == (
        (0, 1),
        "best-value",
        "lost-turn",
        TURNED,
    )
    assert [(rule.line, rule.text) for rule in sheet.rules] == [
        (8, "Take The Centre"),
        (9, "take any free cell"),
    ]
    assert sheet.strategy(1).name == "my"


def test_options_stand_in_for_header_lines_that_are_missing(written):
    sheet = written(
        "take a corner\n", game="noughts-and-crosses", seat="first", claim="quickest", house_rules="lost-turn"
    )
    assert (sheet.seats, sheet.claim, sheet.house_rules, sheet.choice) == (
        (0,),
        "quickest",
        "lost-turn",
        OPEN,
    )
    plain = written(HEAD + "take a corner\n")
    assert (plain.seats, plain.claim, plain.house_rules) == ((1,), "never-loses", "usual")


@pytest.mark.parametrize(
    ("options", "place", "written_there", "asked"),
    [
        ({"game": "two-by-two"}, "1:7", "game: noughts-and-crosses", "--game two-by-two"),
        ({"seat": "first"}, "2:7", "seat: second", "--seat first"),
        ({"claim": "quickest"}, "3:8", "claim: best-value", "--claim quickest"),
        ({"house_rules": "usual"}, "4:14", "house-rules: lost-turn", "--house-rules usual"),
    ],
)
def test_an_option_that_contradicts_the_header_is_a_mistake(written, options, place, written_there, asked):
    text = HEAD + "claim: best-value\nhouse-rules: lost-turn\ntake a corner\n"
    assert mistakes(written, text, **options) == [
        f"my.rules:{place}: the file says '{written_there}', but {asked} was asked for; expected the same"
    ]


def test_a_sheet_for_both_seats_is_for_the_one_that_is_asked_for(written):
    assert written("game: noughts-and-crosses\nseat: both\ntake a corner\n", seat="second").seats == (1,)


def test_the_same_option_is_none(written):
    text = HEAD + "claim: best-value\nhouse-rules: lost-turn\ntake a corner\n"
    written(text, game="noughts-and-crosses", seat="second", claim="best-value", house_rules="lost-turn")


def test_all_mistakes_of_header_and_rules_are_told_at_once(written):
    found = mistakes(
        written, "game: noughts-and-crosses\nseat: thrid\nclaims: x\ntake a side\nlook ahead 0 plies\n"
    )
    assert [message.split(":")[1] for message in found] == ["2", "3", "4", "5"]


KEYS = "game, seat, claim, house-rules or choice"
NO_FILE = "none.toml: cannot be read: there is no such file"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (
            "take a corner\n",
            [
                "1: expected a header line such as 'game: noughts-and-crosses' (or the option --game)",
                "1: expected a header line such as 'seat: second' (or the option --seat)",
            ],
        ),
        (
            "game: chequers\nseat: first\ntake a corner\n",
            [
                (
                    "1:7: there is no game called 'chequers'; expected a .toml or .py file, or one of the catalogue "
                    "(wordtight games)"
                )
            ],
        ),
        (HEAD + "seat: first\ntake a corner\n", ["3:1: 'seat' is given twice; the first time on line 2"]),
        (
            "game:\nseat: first\ntake a corner\n",
            ["1:6: expected a value behind 'game:', such as 'game: noughts-and-crosses'"],
        ),
        (
            "game: noughts-and-crosses\n Seats : thrid\ntake a corner\n",
            [f"2:2: 'Seats' is no key of a header; expected {KEYS}; did you mean 'seat'?"],
        ),
        (HEAD + "zzz: 1\ntake a corner\n", [f"3:1: 'zzz' is no key of a header; expected {KEYS}"]),
        (
            HEAD + "claims: quickest\nClaim: quickest\ntake a corner\n",
            [
                f"3:1: 'claims' is no key of a header; expected {KEYS}; did you mean 'claim'?",
                "4:1: 'claim' is given twice; the first time on line 3",
            ],
        ),
        (
            HEAD + "claim quickest\ntake a corner\n",
            ["3:1: expected 'claim:' with a colon, such as 'claim: never-loses'"],
        ),
        (
            HEAD + "Choice = plain\ntake a corner\n",
            ["3:1: expected 'choice:' with a colon, such as 'choice: plain'"],
        ),
        (HEAD, ["2: expected at least one rule, such as 'take any free cell'"]),
        (
            HEAD + "choice: Best\ntake a corner\n",
            ["3:9: 'choice' should be open, plain or turned, not 'Best'"],
        ),
        (
            HEAD + "claim: quick\ntake a corner\n",
            [
                "3:8: 'claim' should be never-loses, best-value or quickest, not 'quick'; did you mean 'quickest'?"
            ],
        ),
        (
            "game: noughts-and-crosses\nseat: furst\ntake a corner\n",
            ["2:7: 'seat' should be first, second or both, not 'furst'; did you mean 'first'?"],
        ),
        ("game: none.toml\nseat: first\ntake a corner\n", [f"1:7: {NO_FILE}"]),
        (HEAD + "house-rules: none.toml\ntake a corner\n", [f"3:14: {NO_FILE}"]),
        (
            "game: mine.py\nseat: first\ntake a corner\n",
            [
                (
                    "1:7: mine.py is a program, and is run only where you name it yourself; "
                    "expected the option --game mine.py"
                )
            ],
        ),
        ("# nothing\n\n", [" is empty; expected a rule sheet"]),
    ],
    ids=map(str, range(17)),
)
def test_a_faulty_header_is_told_word_for_word(written, text, told):
    assert mistakes(written, text) == [f"my.rules:{each}" for each in told]


def test_below_a_faulty_key_stands_its_line_with_a_caret(written):
    for line in ("seat: first", " Seats: first", "claim quickest", "claim:"):
        with pytest.raises(BadInput) as caught:
            written(f"{HEAD}{line}\ntake a corner\n")
        assert [each.shown for each in caught.value.problems] == [line] * len(caught.value.problems)


def test_what_an_option_names_wrongly_stands_in_no_line(written, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)  # files that lie about and are called nearly so are named as well
    corner = "take a corner\n"
    assert mistakes(written, f"seat: first\n{corner}", game="none.toml") == [NO_FILE]
    assert mistakes(written, f"game: two-by-two\n{corner}", seat="third") == [
        "'third' is no seat; expected first, second or both"
    ]


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("two-by-two", "is a game; expected a rule sheet or a table (wordtight new rules writes one)"),
        ("two.TOML", "is no strategy; expected a rule sheet, or a table in a .csv file"),
        ("none.rules", "cannot be read: there is no such file"),
    ],
)
def test_what_is_no_strategy_is_told_by_its_name(name, said, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(BadInput) as caught:
        load_strategy(name)
    assert str(caught.value) == f"{name}: {said}"


def test_a_game_and_house_rules_are_looked_for_beside_the_sheet(written, tmp_path):
    (tmp_path / "row.toml").write_text(
        'kind = "game"\nfamily = "marks"\ncolumns = 3\nrows = 1\nin-a-row = 3\n'
    )
    (tmp_path / "h.toml").write_text('kind = "house-rules"\n')
    sheet = written("game: row.toml\nseat: first\nhouse-rules: h.toml\ntake any free cell\n")
    assert sheet.game.name == "row"
    assert load_house_rules(sheet.house_rules, sheet.game).name == "h"
    (tmp_path / "row.toml").write_text(
        'kind = "game"\nfamily = "marks"\ncolumns = 3\nrows = 1\nin-a-row = 9\n'
    )
    [message] = mistakes(written, "game: row.toml\nseat: first\ntake any free cell\n")
    assert message == "row.toml:5: 'in-a-row' should be a whole number from 2 to 3, not 9"


TABLE = "game: two-by-two\nseat: first\n"


ROWS = "position,move\n__/__,a1\nM_/V_,b1\nM_/_V,b1\n"


def test_a_table_is_a_strategy_of_its_own_and_one_row_serves_all_turned_boards(written):
    table = written(TABLE + ROWS, "t.csv")
    assert table.choice == OPEN
    assert [(rule.text, rule.line, rule.stores_answers) for rule in table.rules] == [
        ("the table t.csv", 3, True)
    ]
    proof = prove(table.strategy(0), "quickest", load_house_rules("usual", table.game))
    assert proof.verdict == "proved"
    assert proof.positions == 4
    assert (proof.walk.answers(), proof.walk.answers_fixed_board()) == (3, 4)


def test_a_plain_table_serves_the_boards_that_it_names(written):
    def proof_of(rows):
        table = written(TABLE + "turning: plain\n" + rows, "t.csv")
        assert table.choice == PLAIN
        return prove(table.strategy(0), "never-loses", load_house_rules("usual", table.game))

    proof = proof_of(ROWS)
    assert proof.verdict == "no-answer"
    unanswered = proof.walk.graph.codes[proof.walk.unanswered]
    assert proof.walk.game.texts(unanswered, 0) == ["MV/__"]
    assert proof_of(ROWS + "MV/__,a2\n").verdict == "proved"


def test_a_table_typed_in_a_spreadsheet_is_read(written):
    text = '\ufeffgame: two-by-two;;\nseat: first;\n;;\nPosition;Move;\n"__/__";"A1";\n;;\n# a note;\nM_/V_ ; b1\n'
    assert len(written(text, "t.csv").rules) == 1


TWO = "expected a position and a move divided by"


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ("__/__,a1\n", "3: expected the line 'position,move' above the rows"),
        ("\n\n", "2: expected the line 'position,move' above the rows"),
        ("position,move\n,;\n# none\n", "3: expected at least one row below 'position,move'"),
        ("position,move\n__/__\n", f"4: this row has 1 field; {TWO} ','"),
        ("position,move\n,a1,b1\n", f"4: this row has 2 fields; {TWO} ','"),
        ("position;move\n__/__;a1;b1\n", f"4: this row has 3 fields; {TWO} ';'"),
        (
            "position,move\n___/__,a1\n",
            "4: expected 2 rows of 2 signs divided by '/', such as M_/__, not '___/__'",
        ),
        (
            "position,move\n__/__,c3\n",
            "4: 'c3' is no move of two-by-two; expected one of a1, b1, a2, b2",
        ),
        (
            "position,move\nM_/V_,b1\n_M/_V,a1\n",
            "5: this position, turned or mirrored, has a move already, on line 4; expected each once",
        ),
        (
            "turning: plain\nposition,move\nM_/V_,b1\nM_/V_,b2\n",
            "6: this position has a move already, on line 5; expected each once",
        ),
        ("turning: no\nposition,move\n__/__,a1\n", "3:10: 'turning' should be plain or turned, not 'no'"),
    ],
    ids=map(str, range(11)),
)
def test_a_faulty_table_is_told_word_for_word_at_its_line(written, rows, told):
    assert mistakes(written, TABLE + rows, name="t.csv") == [f"t.csv:{told}"]


@pytest.mark.parametrize("text", ["", "\n # none\n"])
def test_an_empty_table_is_told(written, text):
    assert mistakes(written, text, name="t.CSV") == ["t.CSV: is empty; expected a table"]


def test_all_faulty_rows_of_a_table_are_told_at_once(written):
    rows = "position,move\n__/__,a9\n__/__,A1\n\n__/__,b1\nM_\n"
    told = mistakes(written, TABLE + rows, name="t.csv")
    assert [each.split(":")[1] for each in told] == ["4", "7", "8"]


def test_a_sheet_can_use_a_table(written, tmp_path):
    (tmp_path / "open.csv").write_text("position,move\n__/__,b2\n")
    sheet = written(TABLE + 'use table "open.csv"\ntake any free cell\n')
    proof = prove(sheet.strategy(0), "quickest", load_house_rules("usual", sheet.game))
    assert proof.verdict == "proved"
    assert proof.walk.times_used() == [1, 3]
    assert proof.walk.answers() == 1
    (tmp_path / "open.csv").write_text("position,move\n__/__,b9\n")
    [message] = mistakes(written, TABLE + 'use table "open.csv"\ntake any free cell\n')
    assert message == "open.csv:2: 'b9' is no move of two-by-two; expected one of a1, b1, a2, b2"
    (tmp_path / "open.csv").write_text("game: hexapawn\n\nposition,move\n__/__,a1\n")
    [message] = mistakes(written, TABLE + 'use table "open.csv"\n')
    assert message == "open.csv:1:7: this table is for hexapawn; expected one for two-by-two"


@pytest.mark.parametrize("turning", ["turned", "plain"])
def test_rows_of_a_table_that_a_sheet_uses_count_as_alike_where_boards_are_turned(written, tmp_path, turning):
    rows = "M_/V_,b1\n_M/_V,a1\n"
    (tmp_path / "t.csv").write_text(f"turning: {turning}\nposition,move\n{rows}")
    sheet = TABLE + 'use table "t.csv"\n'
    if turning == "plain":
        assert written(sheet).rules[0].meaning == LooksUp(is_turned=False)
        return
    assert mistakes(written, sheet) == [
        "t.csv:4: this position, turned or mirrored, has a move already, on line 3; expected each once"
    ]


def test_a_table_is_known_by_its_titles_whatever_its_name(tmp_path):
    text = "game: noughts-and-crosses\nseat: first\n\nposition,move\n___/___/___,5\n"
    for name in ("table.csv", "table.txt", "table"):
        (tmp_path / name).write_text(text, encoding="utf-8")
        written = load_strategy(tmp_path / name)
        assert written.is_table
        assert len(written.rules) == 1
