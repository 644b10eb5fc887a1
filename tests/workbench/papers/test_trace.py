"""Trace tables of a line, as they are printed."""

from functools import cache

import pytest

from budget.card import load_machine
from budget.conversation import Conversation
from budget.machine.channel import printed
from budget.machine.simulator import Machine
from games.problems import BadInput
from tests.workbench.papers.strategies import asked_for, page_of
from workbench.built_strategy import build_plays
from workbench.papers import trace
from workbench.papers.request import Request
from workbench.tell_program import any_trace

MACHINE = load_machine("twelve-bit")
LINE = "3 9 4"


@pytest.fixture(autouse=True)
def built_once(monkeypatch):
    monkeypatch.setattr(Request, "product", lambda self, card: product())


@cache
def product():
    what = asked_for("gate-of-two", card=MACHINE)
    return build_plays(what.plays, what.proof.verdict, MACHINE, what.wanted.wish, what.progress)


def rows_in(page):
    return [
        [[cell.text() for cell in row.all("td")] for row in table.all("tr")][1:]
        for table in page.all("table")
    ]


def test_the_tables_of_a_line_are_one_run_of_the_program():
    what = asked_for("gate-of-two", card=MACHINE, line=LINE)
    paper, page = page_of(trace, what)
    program = product().lowered.program
    talk = Conversation(product().form.play, MACHINE)
    state, said = talk.begin()
    due, machine, steps = [said], Machine.loaded(program), []
    steps.append(list(machine.steps()))
    for text in LINE.split():
        keys = talk.keys(state, text)
        state, said = talk.enter(state, keys)
        due.append(said)
        machine.feed(keys)
        steps.append(list(machine.steps()))
    tables = paper.record["tables"]
    assert [table["typed"] for table in tables] == [None, "3", "9", "4"]
    assert [table["printed"] for table in tables] == [printed(MACHINE, said) for said in due]
    assert [table["steps"] for table in tables] == list(map(len, steps))
    for rows, each in zip(rows_in(page), steps, strict=True):
        wide = any_trace(program, each)
        told = wide if len(wide.titles) <= 10 else any_trace(program, each, wide=False)
        assert rows == [list(row) for row in told.rows]


def test_the_last_table_says_what_stood_in_the_store_before_it():
    whole, last = (
        page_of(trace, asked_for("gate-of-two", card=MACHINE, line=LINE, last=last))[1]
        for last in (False, True)
    )
    assert rows_in(last) == rows_in(whole)[-1:]
    [section] = last.all("section")
    before = next(section.all("p")).text()
    machine = Machine.loaded(product().lowered.program)
    machine.run()
    for key in LINE.split()[:-1]:
        machine.feed(
            Conversation(product().form.play, MACHINE).keys(
                Conversation(product().form.play, MACHINE).begin()[0], key
            )
        )
        machine.run()
    values = {machine.store[word] for word in machine.written}
    told = [
        int(each.rpartition(" = ")[2]) % 4096
        for each in before.removeprefix("Before it: ").rstrip(".").split(", ")
    ]
    assert set(told) == values
    assert len(told) == len(machine.written)


def test_a_blank_table_has_as_many_rows_and_nothing_but_their_numbers():
    filled, blank = (
        page_of(trace, asked_for("gate-of-two", card=MACHINE, line=LINE, blank=blank))[1]
        for blank in (False, True)
    )
    for rows, empty in zip(rows_in(filled), rows_in(blank), strict=True):
        assert [row[0] for row in rows] == [row[0] for row in empty]
        assert not any("".join(row[1:]) for row in empty)
        assert [len(row) for row in rows] == [len(row) for row in empty]
    assert "It prints" not in blank.text()


def test_a_long_table_is_cut_and_says_so(monkeypatch):
    monkeypatch.setattr(trace, "MOST_STEPS", 5)
    paper, page = page_of(trace, asked_for("gate-of-two", card=MACHINE, line="3"))
    assert [len(rows) for rows in rows_in(page)] == [3, 5]
    assert "After 3 the table is cut after 5 of " in page.text()
    assert len(paper.said) == 2


def test_what_nobody_can_type_is_refused():
    with pytest.raises(
        BadInput, match="nobody can type '~' on 'twelve-bit'; expected moves with spaces between"
    ):
        trace.paper(asked_for("gate-of-two", card=MACHINE, line="3 ~"))
