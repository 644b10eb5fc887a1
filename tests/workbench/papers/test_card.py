"""The operator's card, read as it is printed; and its morning games, from a drill of faults or from a self-test."""

import json
from itertools import combinations

import pytest

from budget.building import Wish
from budget.card import load_machine
from budget.conversation import Conversation
from budget.drilling.lines import START, Texts, lines_of
from budget.lowering.checksum import AT_START
from budget.machine.channel import printed
from games.problems import BadInput
from tests.workbench.papers.strategies import asked_for, page_of
from workbench.papers import card

MACHINE = load_machine("twelve-bit")


def table_of(what, shown, machine=MACHINE):
    """A table of made-up faults, each with the steps at which it shows, over the lines of play that there are."""
    [play] = what.plays
    talk = Conversation(play, machine)
    lines = lines_of(Texts(play, machine, talk), talk)
    before = {step.leads: number for number, step in enumerate(lines.steps) if step.leads is not None}
    steps = [
        {"after": before.get(step.wait, START), "typed": step.text, "printed": printed(machine, step.said)}
        for step in lines.steps
    ]
    faults = [
        {
            "kind": "a bit before the start",
            "where": [0, 0],
            "addresses": [0],
            "found": "differs",
            "shown": [{"step": step, "printed": "x", "then": "waiting"} for step in each],
        }
        for each in shown
    ]
    begins = printed(machine, lines.begins)
    table = {
        "kind": "fault-table",
        "machine": machine.name,
        "words": {"0": "0"},
        "begins": begins,
        "steps": steps,
        "faults": faults,
    }
    return table, lines


def written(table, folder):
    path = folder / "faults.json"
    path.write_text(json.dumps(table))
    return str(path)


def games_in(page):
    """Of each morning game what is typed and printed, the start apart."""
    tables = page.all("table", having="typed")
    games = []
    for table in tables:
        rows = [[cell.text() for cell in row.all("td")] for row in table.all("tr")]
        assert rows[0] == []
        assert rows[1][0] == "(start)"
        games.append([tuple(row[:2]) for row in rows[2:]])
    return games


def test_morning_games_of_a_table_show_every_fault_and_are_as_few_as_can_be(tmp_path):
    what = asked_for("gate-of-two", card=MACHINE)
    _, lines = table_of(what, [])
    ends = [number for number, step in enumerate(lines.steps) if step.leads is None]
    ways = [set(lines.way_to(number)) for number in ends]
    picked = [ends[0], ends[3], ends[-1]]
    shown = [[each] for each in picked] + [ends[:4], [lines.way_to(ends[-1])[0]], [START]]
    table, _ = table_of(what, shown)
    paper, page = page_of(card, asked_for("gate-of-two", card=MACHINE, drill=written(table, tmp_path)))
    games = games_in(page)
    texts = {
        tuple(lines.steps[each].text for each in lines.way_to(number)): way
        for number, way in zip(ends, ways, strict=True)
    }
    played = [texts[tuple(typed for typed, _ in game)] for game in games]
    faults = [set(each) for each in shown if START not in each]
    assert all(any(fault & way for way in played) for fault in faults)
    fewer = combinations(ways, len(games) - 1)
    assert not any(all(any(fault & way for way in some) for fault in faults) for some in fewer)
    assert paper.record["games"] == len(games) == 3
    assert "(no fewer will do) that show each of the 6 faults" in page.text()


def test_what_must_be_printed_is_what_the_rules_of_the_game_have_it_print(tmp_path):
    what = asked_for("gate-of-two", card=MACHINE)
    table, lines = table_of(what, [[number] for number in range(0, 12, 3)])
    _, page = page_of(card, what._replace(wanted=what.wanted._replace(drill=written(table, tmp_path))))
    due = {
        tuple(lines.steps[each].text for each in lines.way_to(number)): printed(MACHINE, step.said)
        for number, step in enumerate(lines.steps)
    }
    for game in games_in(page):
        typed = [text for text, _ in game]
        assert [said for _, said in game] == [
            due[tuple(typed[: number + 1])].strip("\n") or "(nothing)" for number in range(len(typed))
        ]


def test_a_table_of_another_machine_or_of_another_program_is_refused(tmp_path):
    what = asked_for("gate-of-two", card=MACHINE)
    table, lines = table_of(what, [[0]])
    way = lines.way_to(0)
    other = {**table, "steps": [{**step, "printed": "9"} for step in table["steps"]]}
    for wrong, said in (
        (
            {**table, "machine": "kit-96"},
            "is a table of faults for the machine 'kit-96'; expected one for 'twelve-bit'",
        ),
        ({**table, "begins": "HELLO"}, "is of another program: at the start '' is due, and not 'HELLO'"),
        (other, f"is of another program: after {lines.steps[way[0]].text!r} "),
    ):
        drilled = what._replace(wanted=what.wanted._replace(drill=written(wrong, tmp_path)))
        with pytest.raises(BadInput, match=r"faults\.json: ") as refused:
            card.paper(drilled)
        assert said in str(refused.value)


def test_what_stands_on_a_card(tmp_path):
    what = asked_for("gate-of-two", card=MACHINE)
    table, _ = table_of(what, [[0]])
    _, page = page_of(card, what._replace(wanted=what.wanted._replace(drill=written(table, tmp_path))))
    titles = [each.text() for each in page.all("h2")]
    assert titles == [
        "Take care",
        "In the morning",
        "A game",
        "Wrong input",
        "At the end",
        "When something is wrong",
        "1 morning game",
    ]
    [caution] = page.all(having="caution")
    assert all(word in caution.text() for word in ("mains", "high voltages", "hot", "move", "qualified"))
    meanings = [[cell.text() for cell in row.all("td")] for row in next(page.all("table")).all("tr")][1:]
    assert meanings == [["W", "the machine has won"], ["D", "the game is a draw"]]  # L is never said
    wrong = [[cell.text() for cell in row.all("td")] for row in list(page.all("table"))[1].all("tr")][1:]
    [[typed, said, cost]] = wrong
    assert (said, cost) == ("?", "nothing")
    assert "too many characters" not in typed, "by key there is no such input"
    assert "suspect" in page.text()


@pytest.mark.parametrize(("name", "runs_on"), [("twelve-bit", True), ("home-1k", False)])
def test_where_the_code_has_no_line_ends_it_is_said_that_print_runs_on(name, runs_on, tmp_path):
    machine = load_machine(name)
    what = asked_for("gate-of-two", card=machine)
    table, _ = table_of(what, [[0]], machine)
    _, page = page_of(card, what._replace(wanted=what.wanted._replace(drill=written(table, tmp_path))))
    assert (card.RUNS_ON in page.text()) == runs_on


@pytest.mark.long
def test_a_card_without_a_table_has_the_games_of_the_self_test_and_what_the_program_takes():
    what = asked_for("warned", card=MACHINE, wish=Wish(None, AT_START))
    paper, page = page_of(card, what)
    assert paper.record["drill"] is None
    assert paper.said[0].startswith("Morning games: ")
    assert paper.said[0].endswith("each tried at least once.")
    text = page.text()
    assert "It first sums its words, which takes" in text
    assert "If it prints E and stops, one is wrong" in text
    assert "An answer never takes more than" in text
    assert "CAREFUL. AGAIN (the first 3 times of a game), then YOU LOSE" in text
    assert "nothing (the first 3 times of a game), then the game" in text
    assert "suspect" not in text


def test_a_compiled_program_has_no_card():
    with pytest.raises(
        BadInput, match="programs of 'host' are compiled; expected a machine that takes orders"
    ):
        card.paper(asked_for("gate-of-two", card=load_machine("host")))
