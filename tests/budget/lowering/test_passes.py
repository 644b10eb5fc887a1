"""Passes over a program's rows change its length and nothing else: by hand on small pieces, and on random programs."""

from random import Random

import pytest

from budget.card import load_machine
from budget.lowering.choices import Choices, Search
from budget.lowering.passes import copies, dead, folded, jumps, order, shared, tails, values, workspace
from budget.lowering.passes.flow import READS, WRITES, Flow, single_words
from budget.lowering.text import PROGRAM, TABLE, WORKSPACE, NotLowered, Row, Text, composed
from budget.lowering.tidying import OURS, PASSES, STARTS, tidied
from budget.machine.assembler import assemble
from budget.machine.simulator import HALTED, Machine


def rows_of(text):
    """Rows from lines such as ``again: load x``."""
    rows = []
    for line in text.strip().splitlines():
        *labels, order_ = [part.strip() for part in line.split(":")]
        name, _, operand = order_.partition(" ")
        rows.append(Row(tuple(labels), name, operand.strip()))
    return rows


def text_of(rows):
    return "\n".join(
        " ".join([*(f"{label}:" for label in row.labels), row.order, row.operand]).strip() for row in rows
    )


def shown(text):
    return text_of(rows_of(text))


@pytest.mark.parametrize(
    ("apply", "before", "after"),
    [
        (jumps.threaded, "ifzero a\nback\na: jump b\nb: halt", "ifzero b\nback\na: halt\nb: halt"),
        (jumps.reached, "jump b\nload x\na: load y\nb: halt", "jump b\nb: halt"),
        (jumps.without_idle_jumps, "load x\njump a\na: halt", "load x\na: halt"),
        (jumps.without_idle_jumps, "by x\njump a\na: halt", "by x\njump a\na: halt"),
        (jumps.turned_round, "ifzero a\njump b\na: load x\nb: halt", "ifnonzero b\na: load x\nb: halt"),
        (
            jumps.turned_round,
            "ifminus a\njump b\na: load x\nb: halt",
            "ifminus a\njump b\na: load x\nb: halt",
        ),
        (jumps.calls_at_the_end, "call a\nback", "jump a\nback"),
        (values.without_idle_loads, "store x\nload x\nhalt", "store x\nhalt"),
        (values.without_idle_loads, "store x\na: load x\nhalt", "store x\na: halt"),
        (values.without_idle_loads, "store x\na: load x\nset 1\njump a", "store x\na: load x\nset 1\njump a"),
        (values.without_idle_loads, "load x\na: load x\ncount x\njump a", "load x\na: count x\njump a"),
        (values.without_idle_loads, "load x\ncall p\nhalt\np: load x\nback", "load x\ncall p\nhalt\np: back"),
        (values.without_idle_loads, "ifnonzero a\na: set 0\nhalt", "ifnonzero a\na: set 0\nhalt"),
        (values.without_idle_loads_nearby, "store x\nload x\nhalt", "store x\nhalt"),
        (values.without_idle_loads_nearby, "store x\na: load x\nhalt", "store x\na: load x\nhalt"),
        (values.without_idle_loads_nearby, "count x\nload x\nhalt", "count x\nload x\nhalt"),
        (
            values.without_idle_loads_nearby,
            "load x\ncall p\nload x\nhalt\np: set 1\nback",
            "load x\ncall p\nload x\nhalt\np: set 1\nback",
        ),
        (values.looked_up, "store i\nby i\nload t+9\nhalt", "store i\nlook t+9\nhalt"),
        (values.looked_up, "load j\nby i\nload t+9\nhalt", "load j\nby i\nload t+9\nhalt"),
        (values.looked_up, "store i\nby j\nby i\nload t\nhalt", "store i\nby j\nby i\nload t\nhalt"),
        (dead.without_unasked, "load x\nset 1\nstore y\nhalt", "set 1\nstore y\nhalt"),
        (dead.without_unasked, "a: by i\nload x\nset 1\nstore y\nhalt", "a: set 1\nstore y\nhalt"),
        (
            dead.without_unasked,
            "load x\ncall p\nset 1\nhalt\np: store y\nback",
            "load x\ncall p\nhalt\np: store y\nback",
        ),
        (
            copies.without_copies,
            "load x\nstore y\nset 2\nby y\nstore t+9\nload y\noutput\nhalt",
            "load x\nset 2\nby x\nstore t+9\nload x\noutput\nhalt",
        ),
        (  # the source changes while the copy is wanted
            copies.without_copies,
            "load x\nstore y\ncount x\nload y\nhalt",
            "load x\nstore y\ncount x\nload y\nhalt",
        ),
        (  # the copy may come from elsewhere
            copies.without_copies,
            "ifzero a\nload x\nstore y\njump b\na: store y\nb: load y\nhalt",
            "ifzero a\nload x\nstore y\njump b\na: store y\nb: load y\nhalt",
        ),
        (  # the copy is counted
            copies.without_copies,
            "load x\nstore y\ncount y\nload x\nhalt",
            "load x\nstore y\ncount y\nload x\nhalt",
        ),
        (values.without_idle_loads, "by i\nstore x\nload x\nhalt", "by i\nstore x\nload x\nhalt"),
        (values.without_idle_loads, "count x\nload x\nset 0\nset 0\nhalt", "count x\nset 0\nhalt"),
        (values.without_idle_loads, "ifnonzero a\nset 0\na: halt", "ifnonzero a\na: halt"),
        (values.without_idle_loads, "load x\nstore y\nload x\nhalt", "load x\nstore y\nhalt"),
        (values.without_idle_loads, "load x\nadd y\nload x\nhalt", "load x\nadd y\nload x\nhalt"),
        (
            tails.merged,
            "ifzero a\nset 1\ncall p\njump z\na: set 2\ncall p\njump z\nz: halt\np: back",
            "ifzero a\nset 1\njump end1\na: set 2\nend1: call p\njump z\nz: halt\np: back",
        ),
        (
            tails.merged,  # an order and the one that modifies it stay together
            "ifzero a\nset 1\nby i\nstore x\nhalt\na: set 2\nby j\nstore x\nhalt",
            "ifzero a\nset 1\nby i\nstore x\nhalt\na: set 2\nby j\nstore x\nhalt",
        ),
        (
            order.chained,
            "start: jump b\na: halt\nb: load x\njump a",
            "start: jump b\nb: load x\njump a\na: halt",
        ),
        (  # what leads back to the start comes before it
            order.chained,
            "start: input\nifzero a\nhalt\na: output\njump start",
            "a: output\njump start\nstart: input\nifzero a\nhalt",
        ),
        (
            order.chained_but_to_the_start,
            "start: input\nifzero a\nhalt\na: output\njump start\nb: set 1\njump a",
            "start: input\nifzero a\nhalt\nb: set 1\njump a\na: output\njump start",
        ),
        (
            order.cut,
            "start: input\nifzero a\noutput\njump start\na: set 1\nhalt",
            "on1: output\njump start\nstart: input\nifnonzero on1\na: set 1\nhalt",
        ),
        (  # there is no branch to another piece that can be turned round
            order.cut,
            "start: input\nifminus a\noutput\njump start\na: set 1\nhalt",
            "start: input\nifminus a\noutput\njump start\na: set 1\nhalt",
        ),
        (
            folded.without_sums_of_indices,
            "input\nplus -58\nstore i\nlook t+9\nifzero a\nhalt\na: by i\ncount t+9\nhalt",
            "input\nstore i\nlook t-49\nifzero a\nhalt\na: by i\ncount t-49\nhalt",
        ),
        (  # the index is printed, too
            folded.without_sums_of_indices,
            "input\nplus -58\nstore i\nlook t+9\nload i\noutput\nhalt",
            "input\nplus -58\nstore i\nlook t+9\nload i\noutput\nhalt",
        ),
        (  # another index comes to the same rows
            folded.without_sums_of_indices,
            "input\nplus -58\nstore i\nlook t+9\na: by i\nload t\nset 1\nstore i\njump a",
            "input\nplus -58\nstore i\nlook t+9\na: by i\nload t\nset 1\nstore i\njump a",
        ),
        (
            order.most_wanted_first,
            "start: call p\ncall p\nhalt\np: load x\nback",
            "p: load x\nback\nstart: call p\ncall p\nhalt",
        ),
    ],
)
def test_a_pass_on_a_small_piece(apply, before, after):
    assert text_of(apply(rows_of(before))) == shown(after)


def test_pieces_are_shared_only_where_that_saves_words():
    once = "load x\nadd y\nstore z\n"
    for times, calls in ((1, 0), (2, 2), (3, 3)):
        rows = shared.outlined(
            rows_of("load w\n".join([once] * times) + "halt"), lambda row: 3 if row.order == "load" else 1
        )
        assert sum(row.order == "call" for row in rows) == calls


def test_words_share_a_place_only_if_neither_is_needed_while_the_other_is_written():
    rows = rows_of("set 1\nstore a\nset 2\nstore b\nload a\nadd b\nstore c\nload c\noutput\nhalt")
    found = workspace.together(rows, [Row((name,), "space", "1") for name in "abc"])
    together = {frozenset(row.labels) for row in found}
    assert frozenset("ab") not in together
    assert not any({"a", "b"} <= labels for labels in together)
    assert len(found) == 2


def test_a_word_that_begins_a_table_keeps_its_place():
    rows = rows_of("set 1\nstore a\nby i\nload a\nset 2\nstore b\nload b\nhalt")
    found = workspace.together(rows, [Row((name,), "space", "1") for name in "ab"])
    assert [row.labels for row in found if "a" in row.labels] == [("a",)]


def test_what_a_routine_needs_is_needed_at_every_call():
    rows = rows_of("set 1\nstore a\nset 2\nstore b\ncall p\nload b\nhalt\np: load a\nback")
    found = workspace.together(rows, [Row((name,), "space", "1") for name in "ab"])
    assert len(found) == 2
    assert Flow(rows).after(8) == {5}


# Random programs ----------------------------------------------------------------------------------------------

VARIABLES = ("a", "b", "c", "d")


def random_text(random, card):
    """A program that ends: it jumps forwards only, and its routines call those behind them."""
    text = Text(card)
    text.label("start")
    for name in VARIABLES:
        text.number(random.randint(-4, 4))
        text.op("store", text.variable(name))
    text.table("t", range(9))
    write(random, text, "m", random.randint(5, 30), routines=3)
    text.op("halt")
    return text


def write(random, text, name, count, routines):
    labels = [f"{name}{number}" for number in range(count)]
    for number, label in enumerate(labels):
        text.label(label)
        for _ in range(random.randint(0, 3)):
            some_order(random, text, routines)
        onward = random.choice(labels[number + 1 :] or ["out"])
        if onward != "out" and random.random() < 0.5:
            text.op(random.choice(["jump", "ifzero", "ifnonzero", "ifminus"]), onward)


def some_order(random, text, routines):
    choice, variable = random.random(), random.choice(VARIABLES)
    if choice < 0.15 and routines:
        text.routine(f"r{routines}", lambda: routine(random, text, routines))
    elif choice < 0.3:
        text.op("output")
    elif choice < 0.4:
        text.op("by", random.choice(VARIABLES))
        text.op("load", "t+4")
    elif choice < 0.5:
        text.number(random.randint(-3, 3))
    else:
        text.op(random.choice(["load", "store", "add", "subtract", "count"]), variable)


def routine(random, text, routines):
    write(random, text, f"r{routines}_", random.randint(1, 4), routines - 1)
    text.op("back")


def printed(card, rows):
    program = assemble(composed(card, rows).text, card)
    machine = Machine.loaded(program)
    machine.run(100_000)
    return machine.status, machine.passed, program.words()


def as_written(text):
    """The rows with nothing done to them."""
    rows = [*text.rows[PROGRAM], *(row for each in text.routines.values() for row in each)]
    return {**text.rows, PROGRAM: rows}


@pytest.mark.parametrize("machine", ["delay-line", "twelve-bit", "transistor-39", "home-1k"])
@pytest.mark.parametrize("seed", range(25))
def test_a_random_program_prints_the_same_in_fewer_words(machine, seed):
    random, card = Random(seed), load_machine(machine)
    text = random_text(random, card)
    before = printed(card, as_written(text))
    if before[0] != HALTED:  # an index that leads beyond the store
        return
    ways = ({"pieces": "shared"}, {"pieces": "shared, most wanted first"}, {"start": "by itself"})
    for picked in ({}, *ways):
        after = printed(card, tidied(text, Choices(picked)))
        assert after[:2] == before[:2]
        assert after[2] <= before[2]


ALL = (*PASSES, *STARTS["run into"], *OURS)


@pytest.mark.parametrize("left_out", ALL, ids=[each.__name__ for each in ALL])
def test_without_any_one_pass_a_program_does_the_same(left_out, monkeypatch):
    card = load_machine("twelve-bit")
    texts = [random_text(Random(seed), card) for seed in range(40)]
    with_all = [printed(card, tidied(text, Choices())) for text in texts]
    for name, passes in (("PASSES", PASSES), ("OURS", OURS)):
        kept = tuple(each for each in passes if each is not left_out)
        monkeypatch.setattr(f"budget.lowering.tidying.{name}", kept)
    kept = tuple(each for each in STARTS["run into"] if each is not left_out)
    monkeypatch.setitem(STARTS, "run into", kept)
    without = [printed(card, tidied(text, Choices())) for text in texts]
    assert [each[:2] for each in without] == [each[:2] for each in with_all]


# Choices ------------------------------------------------------------------------------------------------------


def test_the_smallest_of_all_ways_is_found_one_change_at_a_time():
    sizes = {("a", "x"): 9, ("b", "x"): 8, ("b", "y"): 3, ("a", "y"): 10}

    def build(choices):
        return choices.pick("first", ("a", "b")), choices.pick("second", ("x", "y"))

    search = Search(build, sizes.__getitem__)
    assert search.roughly() == ("a", "x")
    assert search.least() == ("b", "y")


def test_a_way_that_cannot_be_written_is_passed_over():
    def build(choices):
        if choices.pick("only", ("bad", "good")) == "bad":
            raise NotLowered("no")
        return "good"

    assert Search(build, len).least() == "good"


def test_where_no_way_can_be_written_the_reason_is_told():
    def build(choices):
        choices.pick("only", ("bad", "worse"))
        raise NotLowered("there is none")

    with pytest.raises(NotLowered, match="there is none"):
        Search(build, len).least()


def test_sections_come_in_the_order_that_a_card_asks_for():
    for machine, first in (("twelve-bit", WORKSPACE), ("flash-8k", WORKSPACE), ("delay-line", PROGRAM)):
        text = Text(load_machine(machine))
        text.label("start")
        text.op("load", text.variable("x"))
        text.op("load", text.table("t", [1]))
        text.op("halt")
        written = composed(text.card, text.rows)
        assert next(iter(dict.fromkeys(written.sections.values()))) == first
        assert TABLE in written.sections.values()


def live_words_slowly(rows, flow, single):
    """Round after round over all rows, in sets, until nothing is added."""
    live = [set() for _ in rows]
    while True:
        before = [set(words) for words in live]
        for at, row in enumerate(rows):
            live[at] = set().union(*(live[following] for following in flow.after(at)))
            if row.operand in single:
                live[at] -= {row.operand} if row.order in WRITES else set()
                live[at] |= {row.operand} if row.order in READS else set()
        if live == before:
            return live


@pytest.mark.parametrize("seed", range(20))
def test_words_are_needed_where_a_slow_walk_finds_them(seed):
    rows = as_written(random_text(Random(seed), load_machine("twelve-bit")))[PROGRAM]
    single = single_words(rows)
    assert single
    found = workspace.live_words(rows, Flow(rows), single)
    assert found == live_words_slowly(rows, Flow(rows), single)
