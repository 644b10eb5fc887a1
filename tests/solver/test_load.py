"""Strategy files: headers, sheets and tables, and what is told when they cannot be used."""

from pathlib import Path

import pytest

from games.house import load_house_rules
from games.problems import BadInput
from solver.load import load_strategy
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
    with pytest.raises(BadInput) as caught:
        written(text, **options)
    return [f"{Path(each.file).name}:{each.line}: {each.message}" for each in caught.value.problems]


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
    ("options", "line"),
    [
        ({"game": "two-by-two"}, 1),
        ({"seat": "first"}, 2),
        ({"claim": "quickest"}, 3),
        ({"house_rules": "usual"}, 4),
    ],
)
def test_an_option_that_contradicts_the_header_is_a_mistake(written, options, line):
    text = HEAD + "claim: best-value\nhouse-rules: lost-turn\ntake a corner\n"
    [message] = mistakes(written, text, **options)
    assert message.startswith(f"my.rules:{line}:")
    assert "was asked for; expected the same" in message


def test_the_same_option_is_none(written):
    text = HEAD + "claim: best-value\nhouse-rules: lost-turn\ntake a corner\n"
    written(text, game="noughts-and-crosses", seat="second", claim="best-value", house_rules="lost-turn")


def test_all_mistakes_of_header_and_rules_are_told_at_once(written):
    found = mistakes(
        written, "game: noughts-and-crosses\nseat: thrid\nclaims: x\ntake a side\nlook ahead 0 plies\n"
    )
    assert [message.split(":")[1] for message in found] == ["2", "3", "4", "5"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("take a corner\n", "expected a header line such as 'game: noughts-and-crosses'"),
        ("game: chequers\nseat: first\ntake a corner\n", "there is no game called 'chequers'"),
        (HEAD + "seat: first\ntake a corner\n", "'seat' is given twice; the first time on line 2"),
        ("game:\nseat: first\ntake a corner\n", "expected a value behind 'game:'"),
        (HEAD + "seats: first\ntake a corner\n", "did you mean 'seat'?"),
        (HEAD + "claim first\n", "expected 'claim:' with a colon"),
        (HEAD, "expected at least one rule"),
        (HEAD + "choice: best\ntake a corner\n", "'choice' should be open, plain or turned"),
    ],
)
def test_a_faulty_header_is_told(written, text, said):
    assert said in "\n".join(mistakes(written, text))


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
    assert message.startswith("row.toml:5: 'in-a-row'")


TABLE = "game: two-by-two\nseat: first\n"


ROWS = "position,move\n__/__,a1\nM_/V_,b1\nM_/_V,b1\n"


def test_a_table_is_a_strategy_of_its_own_and_one_row_serves_all_turned_boards(written):
    table = written(TABLE + ROWS, "t.csv")
    assert table.choice == OPEN
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


@pytest.mark.parametrize(
    ("rows", "line", "said"),
    [
        ("__/__,a1\n", 3, "expected the line 'position,move'"),
        ("position,move\n__/__\n", 4, "expected a position and a move"),
        ("position,move\n__/__,a1,b1\n", 4, "expected a position and a move"),
        ("position,move\n___/__,a1\n", 4, "expected 2 rows of 2 signs"),
        ("position,move\n__/__,c3\n", 4, "'c3' is no move of two-by-two"),
        ("position,move\nM_/V_,b1\n_M/_V,a1\n", 5, "turned or mirrored, has a move already, on line 4"),
        (
            "turning: plain\nposition,move\nM_/V_,b1\nM_/V_,b2\n",
            6,
            "this position has a move already, on line 5",
        ),
    ],
)
def test_a_faulty_table_is_told_at_its_line(written, rows, line, said):
    [message] = mistakes(written, TABLE + rows, name="t.csv")
    assert message.startswith(f"t.csv:{line}:")
    assert said in message


def test_a_sheet_can_use_a_table(written, tmp_path):
    (tmp_path / "open.csv").write_text("position,move\n__/__,b2\n")
    sheet = written(TABLE + 'use table "open.csv"\ntake any free cell\n')
    proof = prove(sheet.strategy(0), "quickest", load_house_rules("usual", sheet.game))
    assert proof.verdict == "proved"
    assert proof.walk.times_used() == [1, 3]
    assert proof.walk.answers() == 1
    (tmp_path / "open.csv").write_text("position,move\n__/__,b9\n")
    [message] = mistakes(written, TABLE + 'use table "open.csv"\ntake any free cell\n')
    assert message.startswith("open.csv:2:")


def test_a_table_is_known_by_its_titles_whatever_its_name(tmp_path):
    text = "game: noughts-and-crosses\nseat: first\n\nposition,move\n___/___/___,5\n"
    for name in ("table.csv", "table.txt", "table"):
        (tmp_path / name).write_text(text, encoding="utf-8")
        written = load_strategy(tmp_path / name)
        assert written.is_table
        assert len(written.rules) == 1
