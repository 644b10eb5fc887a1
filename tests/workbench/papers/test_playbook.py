"""A playbook, read as it is printed: entered at any board, it leads to an end that the claim allows."""

from typing import NamedTuple

import numpy as np
import pytest

from games.codes import DRAW, UNFINISHED, win_of
from games.problems import BadInput
from solver.fixed import FixedPlay
from solver.proof import Proof
from tests.workbench.papers.strategies import SHEETS, asked_for, page_of
from workbench.papers import branching, playbook
from workbench.papers.columns import ROOM, Block, Form

ARROW = "\N{RIGHTWARDS ARROW}"


class Line(NamedTuple):
    """One item: what the visitor may do, what the machine does then, and where the book goes on."""

    visitor: tuple
    machine: tuple
    goes_on: str


def read_item(text):
    before, colon, after = text.rpartition(": ")
    words = after.split()
    ends = next((end for end in ("M wins", "V wins", "draw", "end") if after.endswith(end)), "")
    goes_on = ends or words[-1]
    machine = words[: len(words) - len(goes_on.split())]
    return Line(tuple(before.split()) if colon else (), tuple(machine), goes_on)


def read_book(page, game):
    """Both parts by the text of their boards, and the boards by their numbers."""
    [start] = game.fair.texts(np.array([game.start], dtype=np.uint64), game.seat)
    rows_of_a_board = len(start.partition(" ")[0].split("/"))
    parts, numbers = {"1 Visitor": {}, "2 Machine": {}}, {}
    for column in page.all(having="column"):
        [title] = column.all("h2")
        for block in column.all("article"):
            [label], [board] = block.all("b"), block.all("pre")
            text = board.text()
            if "\n" in text:
                rows = text.split("\n")
                board_rows = ["".join(row.split()) for row in rows[:rows_of_a_board]]
                text = " ".join(["/".join(board_rows), *rows[rows_of_a_board:]])
            part = parts[title.text()]
            assert text not in part, "a board stands in one place"
            part[text] = [read_item(item.text()) for item in block.all("li")]
            if label.text():
                numbers[label.text()] = text
    return parts["1 Visitor"], parts["2 Machine"], numbers


def text_of(game, code):
    return game.fair.texts(game.fair_codes(np.array([code], dtype=np.uint64)), game.seat)[0]


def fair(game, code):
    return int(game.fair_codes(np.array([code], dtype=np.uint64))[0])


def done(game, code, name):
    """The position after a move that must be legal."""
    moves = game.moves(np.array([code], dtype=np.uint64))
    [place] = np.flatnonzero(moves.move == game.move_names.index(name))
    return int(moves.child[place])


def stand(game, code):
    codes = np.array([code], dtype=np.uint64)
    return int(game.ending(codes)[0]), int(game.mover(codes)[0])


def follow(game, code, line, numbers, machine_may):
    """Do what an item says; where the game stands then has to be what the item says."""
    for name in line.machine:
        assert name in machine_may[fair(game, code)]
        code = done(game, code, name)
    ending, mover = stand(game, code)
    if line.goes_on.startswith(ARROW):
        assert (ending, mover) == (UNFINISHED, game.visitor)
        assert numbers[line.goes_on.removeprefix(ARROW)] == text_of(game, code)
        return code
    said = {win_of(game.seat): "M wins", win_of(game.visitor): "V wins", DRAW: "draw"}
    assert line.goes_on == said[ending]
    return None


@pytest.mark.parametrize("name", list(SHEETS))
def test_every_line_from_every_board_of_the_book(name):
    what = asked_for(name)
    _, page = page_of(playbook, what)
    game, strategy = what.game, what.proof.walk.strategy
    visitors, machines, numbers = read_book(page, game)

    met = np.array([game.fair.read(text, game.seat, game.seat) for text in machines], dtype=np.uint64)
    answers = strategy.answers(met)
    machine_may = {code: set() for code in met.tolist()}
    for place, move in zip(answers.place.tolist(), answers.move.tolist(), strict=True):
        machine_may[int(met[place])].add(game.move_names[move])

    for play in what.plays:  # whatever the machine has played until it stopped, its board is there
        ending, mover = play.graph.ending, play.graph.mover
        for place in np.flatnonzero(ending == UNFINISHED).tolist():
            part = machines if mover[place] == game.seat else visitors
            assert text_of(game, int(play.graph.codes[place])) in part

    for text, items in machines.items():
        code = game.fair.read(text, game.seat, game.seat)
        [line] = items
        assert line.visitor == ()
        follow(game, code, line, numbers, machine_may)
    for text, items in visitors.items():
        code = game.fair.read(text, game.seat, game.visitor)
        moves = game.moves(np.array([code], dtype=np.uint64)).move.tolist()
        listed = [each for line in items for each in line.visitor]
        costs = {game.fair_moves: "--", game.fair_moves + 1: "!!"}
        assert sorted(listed) == sorted(costs.get(move, game.move_names[move]) for move in moves)
        names = {"--": game.move_names[game.fair_moves], "!!": game.move_names[game.fair_moves + 1]}
        for line in items:
            assert line.goes_on != "V wins", "the claim is that the machine never loses"
            for move in line.visitor:
                follow(game, done(game, code, names.get(move, move)), line, numbers, machine_may)


def test_boards_are_in_order_and_numbered():
    what = asked_for("lamp")
    paper, page = page_of(playbook, what)
    visitors, machines, numbers = read_book(page, what.game)
    for part in (visitors, machines):
        assert list(part) == sorted(part, key=lambda text: (-text.count("_"), text))
    assert list(numbers.items()) == [(str(n), text) for n, text in enumerate(visitors, 1)]
    assert paper.record == {"sections": len(visitors), "entries": len(machines), "sheets": 3}
    assert len(list(page.all("section"))) == 3


def test_no_column_is_higher_than_a_sheet():
    _, page = page_of(playbook, asked_for("charged"))
    for column in page.all(having="column"):
        heights = [each.attributes["style"].removeprefix("height: ") for each in column.all("article")]
        assert sum(float(height.removesuffix("mm")) for height in heights) <= ROOM


def test_lines_of_items_are_filled_as_far_as_they_go():
    form = Form(is_stacked=False, label=3, board=5, items=12)
    one, two = (
        form.high(Block("1", ("_",), "", items)) for items in (("1234", "123456"), ("1234", "1234567"))
    )
    assert two > one


def test_a_book_that_nobody_could_use_is_refused(monkeypatch):
    monkeypatch.setattr(playbook, "MOST_SHEETS", 1)
    with pytest.raises(BadInput, match="makes a book of 3 sheets; expected"):
        playbook.paper(asked_for("lamp"))


def with_a_bad_answer(what):
    """The plain reading with another answer to the corner: then the visitor can win, though not where all is right."""
    play = what.plain
    moves, corner = play.moves.copy(), play.codes.tolist().index(what.game.read("V__/___/___", 1, 1))
    moves[corner] = what.game.move_names.index("2")
    return FixedPlay(play.game, play.reading, play.graph, play.codes, moves, play.proof)


def test_readings_that_lose_when_they_take_turns_do_not_share_a_book():
    what = asked_for("lamp")
    [turned] = [play for play in what.plays if play.reading == "turned"]
    assert len(branching.book_of([what.plain, turned]).sections) == 138
    bad = with_a_bad_answer(what)
    with pytest.raises(branching.NotTogether):
        branching.book_of([bad, turned])
    gap = FixedPlay(bad.game, bad.reading, bad.graph, bad.codes[:-1], what.plain.moves[:-1], bad.proof)
    with pytest.raises(branching.NotTogether):
        branching.book_of([gap, gap])


def test_where_readings_cannot_share_a_book_one_has_it_alone(monkeypatch):
    what = asked_for("lamp")
    whole = branching.book_of

    def refuse(plays):
        if len(plays) > 1:
            raise branching.NotTogether
        return whole(plays)

    monkeypatch.setattr(playbook, "book_of", refuse)
    assert playbook.paper(what).record["sections"] == len(whole([what.plain]).sections) == 102
    asked = []
    monkeypatch.setattr(playbook, "book_of", lambda plays: asked.append(len(plays)) or whole(plays))
    best = what._replace(proof=Proof(what.proof.walk.strategy, "best-value", what.proof.house))
    playbook.paper(best)
    assert asked == [1], "readings that keep the value might never bring it about in turn"
