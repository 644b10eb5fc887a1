"""House rules as files: read, completed, refused."""

import re
from pathlib import Path

import pytest

from games.house import (
    OUTCOME_MESSAGES,
    HouseRule,
    counter_bits,
    house_digest,
    house_text,
    load_house_rules,
    parse_house_rules,
    usual_names,
)
from games.load import catalogue_names, load_game
from games.problems import BadInput
from tests import twins

THREE = twins.twins_in_a_row(3, 3, 3).game
LONG = twins.twins_in_a_row(4, 3, 3).game
HEAD = 'kind = "house-rules"\n'


def test_every_game_and_every_house_rules_that_come_along_go_together():
    for game in map(load_game, catalogue_names()):
        for name in usual_names():
            assert load_house_rules(name, game).name == name


EVERYTHING = """\
kind = "house-rules"
input = "line"
longest = 12
print = "close"
next-game = "at-once"

[messages]
ask = "WELL"
draw = "NOBODY"
machine-moves = "MINE"
machine-wins = "ME"
visitor-wins = "YOU"

[[rule]]
when = ["empty", "too-long"]
say = "NOW OR NEVER"
cost = "turn"
forgive = 2
say-forgiven = "GO ON"

[[rule]]
when = ["any"]
say = "NO"
cost = "game"
forgive = 255
"""


def test_all_that_a_file_says_is_kept():
    house = parse_house_rules(EVERYTHING, "strict.toml", THREE)
    assert (house.name, tuple(house.form)) == ("strict", ("line", 12))
    assert (house.layout, house.next_game) == ("close", "at-once")
    assert house.messages == {
        "ask": "WELL",
        "draw": "NOBODY",
        "machine-moves": "MINE",
        "machine-wins": "ME",
        "visitor-wins": "YOU",
    }
    hasty, rest = house.rules
    assert hasty == HouseRule("rule 1", ("empty", "too-long"), "NOW OR NEVER", "turn", 2, "GO ON")
    assert rest == HouseRule("rule 2", tuple(twins.ORDER), "NO", "game", 255, "NO")
    assert (hasty.counts, rest.counts) == (True, True)
    assert counter_bits(house.rules) == 2 + 8 + 1


def test_what_a_file_leaves_out_is_the_usual():
    house = parse_house_rules(HEAD, "plain.toml", THREE)
    assert (house.name, tuple(house.form)) == ("plain", ("line", 8))
    assert (house.layout, house.next_game) == ("lines", "asked-for")
    assert house.messages == {
        "ask": "YOUR MOVE",
        "draw": "A DRAW",
        "machine-moves": "I PLAY",
        "machine-wins": "I WIN",
        "visitor-wins": "YOU WIN",
    }
    assert house.rules == (HouseRule("the usual rule", tuple(twins.ORDER), "AGAIN", "nothing", 0, ""),)
    assert counter_bits(house.rules) == 0
    same = parse_house_rules(f'{HEAD}print = "lines"\nnext-game = "asked-for"\n', "plain.toml", THREE)
    assert same == house
    by_key = parse_house_rules(f'{HEAD}input = "key"\n', "plain.toml", THREE)
    assert tuple(by_key.form) == ("key", 1)


def test_lines_may_be_of_1_to_80_characters():
    for longest in (1, 80):
        assert parse_house_rules(f"{HEAD}longest = {longest}\n", "f.toml", THREE).form.longest == longest
    assert parse_house_rules(f"{HEAD}longest = 2\n", "f.toml", LONG).form.longest == 2


def test_the_text_of_house_rules_is_their_file_and_a_digest_tells_texts_apart(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for name, text in (("strict.toml", EVERYTHING), ("LOUD.TOML", HEAD), ("no-ending", HEAD)):
        Path(name).write_text(text, encoding="utf-8")
        assert house_text(name) == text
        assert load_house_rules(name, THREE).name == Path(name).stem
    assert house_text("usual").startswith("#")
    names = ["strict.toml", "LOUD.TOML", *usual_names()]
    digests = [house_digest(name) for name in names]
    assert all(re.fullmatch("[0-9a-f]{64}", digest) for digest in digests)
    assert len(set(digests)) == len(names)
    assert house_digest("no-ending") == house_digest("LOUD.TOML")


def test_a_class_that_no_rule_names_is_asked_again_at_no_cost():
    house = parse_house_rules(
        HEAD + '[[rule]]\nwhen = ["empty"]\nsay = "WELL?"\ncost = "turn"\n', "f.toml", THREE
    )
    assert [rule.name for rule in house.rules] == ["rule 1", "the usual rule"]
    assert house.rules[house.rule_for("empty")].cost == "turn"
    rest = house.rules[house.rule_for("off-board")]
    assert (rest.name, rest.cost, rest.say, rest.forgive) == ("the usual rule", "nothing", "AGAIN", 0)
    assert set(rest.when) | {"empty"} == set(twins.ORDER)


def test_the_first_rule_that_names_a_class_answers_it():
    text = HEAD + '[[rule]]\nwhen = ["empty"]\nsay = "1"\n[[rule]]\nwhen = ["any"]\nsay = "2"\nforgive = 2\n'
    house = parse_house_rules(text, "f.toml", THREE)
    assert house.rule_for("empty") == 0
    assert house.rule_for("too-long") == 1
    with pytest.raises(KeyError):
        house.rule_for("legal")


def test_without_their_costs_house_rules_say_the_same_and_count_nothing():
    text = (
        HEAD + '[[rule]]\nwhen = ["empty"]\nsay = "OUT"\ncost = "game"\nforgive = 2\nsay-forgiven = "MIND"\n'
    )
    house = parse_house_rules(text + '[[rule]]\nwhen = ["too-long"]\nsay = "SHORT"\n', "f.toml", THREE)
    free = house.without_costs()
    assert free.rules == tuple(
        HouseRule(rule.name, rule.when, rule.say, "nothing", 0, "") for rule in house.rules
    )
    assert free._replace(rules=()) == house._replace(rules=())
    assert free.without_costs() is None


def test_messages_are_listed_outcomes_first_then_rules_in_order_milder_first():
    text = (
        HEAD
        + '[messages]\ndraw = "NOBODY WINS"\n[[rule]]\nwhen = ["any"]\nsay = "OUT"\nforgive = 1\ncost = "game"\n'
    )
    house = parse_house_rules(text, "f.toml", THREE)
    said = house.all_messages()
    assert list(said) == [*OUTCOME_MESSAGES, "rule 1 forgiven", "rule 1"]
    assert said["draw"] == "NOBODY WINS"
    assert said["ask"] == OUTCOME_MESSAGES["ask"]
    assert said["rule 1 forgiven"] == "OUT"  # the milder message is the same unless another is given


@pytest.mark.parametrize(
    ("game", "text", "line", "said"),
    [
        (
            THREE,
            '[[rule]]\nwhen = ["emty"]\nsay = "x"\n',
            3,
            (
                "'when' cannot hold \"emty\"; expected after-end, too-long, empty, not-understood, off-board, "
                "taken-by-machine, taken-by-visitor or any; did you mean 'empty'?"
            ),
        ),
        (
            THREE,
            '[[rule]]\nwhen = ["empty"]\n',
            2,
            "'say' is missing; expected say = a text in quotes, such as \"...\"",
        ),
        (
            THREE,
            '[[rule]]\nwhen = ["empty"]\nsay = "x"\ncost = "life"\n',
            5,
            '\'cost\' should be "nothing", "turn" or "game", not "life"',
        ),
        (
            THREE,
            '[[rule]]\nwhen = ["empty"]\nsay = "x"\nforgive = 256\n',
            5,
            "'forgive' should be a whole number from 0 to 255, not 256",
        ),
        (
            THREE,
            '[[rule]]\nwhen = ["after-end"]\nsay = "x"\ncost = "turn"\n',
            5,
            "after the end nothing is charged; expected cost = \"nothing\" and no 'forgive'",
        ),
        (
            THREE,
            '[[rule]]\nwhen = ["empty"]\nsay = "x"\nsay-forgiven = "y"\n',
            5,
            "'say-forgiven' is given but 'forgive' is not; expected forgive = 1 or more",
        ),
        (
            THREE,
            '[[rule]]\nwhen = []\nsay = "x"\n',
            3,
            (
                "'when' is empty; expected some of after-end, too-long, empty, not-understood, off-board, "
                "taken-by-machine or taken-by-visitor"
            ),
        ),
        (
            THREE,
            'input = "key"\nlongest = 3\n',
            3,
            "'longest' is for lines; by key every input is one character",
        ),
        (
            LONG,
            'input = "key"\n',
            2,
            "moves such as 'a1' have more than one character; expected input = \"line\"",
        ),
        (LONG, "longest = 1\n", 2, "'longest' is 1, but a move can have 2 characters; expected 2 or more"),
        (
            THREE,
            '[messages]\nwon = "x"\n',
            3,
            "'won' is not known here; expected ask, draw, machine-moves, machine-wins or visitor-wins",
        ),
        (
            THREE,
            "when = 1\n",
            2,
            "'when' is not known here; expected input, kind, longest, messages, next-game, print or rule",
        ),
    ],
)
def test_faulty_house_rules_are_told_at_their_line(game, text, line, said):
    with pytest.raises(BadInput) as caught:
        parse_house_rules(HEAD + text, "f.toml", game)
    [message] = [str(problem) for problem in caught.value.problems]
    assert message == f"f.toml:{line}: {said}"


def test_names_of_house_rules_and_games_that_there_are_not():
    with pytest.raises(BadInput, match="did you mean 'lost-turn'"):
        load_house_rules("lost-turns", THREE)
    with pytest.raises(BadInput, match="did you mean 'noughts-and-crosses'"):
        load_game("nought-and-crosses")
    with pytest.raises(BadInput, match="cannot be read"):
        load_house_rules("nowhere.toml", THREE)
    with pytest.raises(BadInput, match="cannot be read"):
        load_game("nowhere.toml")


def test_house_rules_and_games_are_read_from_files(tmp_path):
    (tmp_path / "mine.toml").write_text(HEAD + 'input = "key"\n', encoding="utf-8")
    house = load_house_rules(tmp_path / "mine.toml", THREE)
    assert (house.name, house.form.kind, house.form.longest) == ("mine", "key", 1)
    (tmp_path / "row.toml").write_text(
        'kind = "game"\nfamily = "marks"\ncolumns = 3\nrows = 1\nin-a-row = 2\n'
    )
    assert load_game(tmp_path / "row.toml").name == "row"
