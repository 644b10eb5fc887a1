"""Games of taking twice: as the rooms read them from a file, and as the naive model has them."""

from typing import NamedTuple

from hypothesis import strategies as st

from games.load import parse_game
from solver.graph import explore
from tests import naive_take

RESULTS = {"first": 1, "second": 2, None: 0}
FIRST, SECOND = 0, 1


class Twins(NamedTuple):
    """The same game twice: as the rooms read it, and as the naive model has it."""

    game: object
    naive: object


def written(**keys):
    """A game read from a file with these keys."""
    lines = ['kind = "game"', 'family = "take"']
    for key, value in keys.items():
        text = str(value).lower() if isinstance(value, bool) else str(value).replace("'", '"')
        lines.append(f"{key.replace('_', '-')} = " + (f'"{value}"' if isinstance(value, str) else text))
    return parse_game("\n".join(lines), "drawn.toml")


def heaps(sizes, octal=None, misere=False):
    code = {} if octal is None else {"octal": octal}
    return Twins(
        written(play="heaps", heaps=list(sizes), misere=misere, **code),
        naive_take.Heaps(sizes, octal, misere),
    )


def pins(rows, octal, misere=False):
    return Twins(
        written(play="pins", rows=list(rows), octal=octal, misere=misere),
        naive_take.Pins(rows, octal, misere),
    )


def strips(rows, forward_only=False, misere=False):
    return Twins(
        written(play="northcott", strips=list(rows), forward_only=forward_only, misere=misere),
        naive_take.Strips(rows, forward_only, misere),
    )


@st.composite
def octal_codes(draw, digits):
    """A code that lets something be taken from the smallest heap or row, so that the start is not over."""
    first = draw(st.sampled_from([digit for digit in digits if digit in "37"]))
    return "0." + first + "".join(draw(st.lists(st.sampled_from(digits), max_size=3)))


@st.composite
def heap_games(draw):
    sizes = draw(st.lists(st.integers(1, 4), min_size=1, max_size=3))
    code = draw(st.none() | octal_codes("0123"))
    return heaps(sizes, code, draw(st.booleans()))


@st.composite
def pin_games(draw):
    rows = draw(st.lists(st.integers(1, 4), min_size=1, max_size=3).filter(lambda rows: sum(rows) <= 8))
    return pins(rows, draw(octal_codes("01234567")), draw(st.booleans()))


def words_of_strips(columns):
    places = [(a, b) for a in range(columns) for b in range(columns) if a != b]
    return ["".join({a: "F", b: "S"}.get(c, "_") for c in range(columns)) for a, b in places]


@st.composite
def strip_games(draw, columns=5, most=2):
    wide = draw(st.integers(3, columns))
    first = draw(st.sampled_from(words_of_strips(wide)))
    alike_or_not = st.sampled_from([first, first[::-1]]) | st.sampled_from(words_of_strips(wide))
    rows = [first, *draw(st.lists(alike_or_not, max_size=most - 1))]
    forward_only = draw(st.booleans())
    model = naive_take.Strips(rows, forward_only)
    if not naive_take.moves(model, model.start, FIRST):
        rows[0] = "F" + "_" * (wide - 2) + "S"
    return strips(rows, forward_only, draw(st.booleans()))


games = heap_games() | pin_games() | strip_games()


def as_naive(pair, codes):
    """The positions as boards of the naive model would write them, with whose turn it is."""
    return list(zip(pair.game.texts(codes, FIRST), pair.game.mover(codes).tolist(), strict=True))


def check_graph(pair, game, visitor=None, costly=()):
    """Every position, move, ending and refusal of a game is what the naive model says."""
    model = pair.naive
    found = naive_take.reached(model, visitor, costly)
    boards = {(model.text(board), turn): (board, turn) for board, turn in found}
    graph = explore(game)
    positions = as_naive(pair, graph.codes)
    assert len(boards) == len(found)
    assert sorted(positions) == sorted(boards)
    names = game.move_names
    for place, position in enumerate(positions):
        board, turn = boards[position]
        assert graph.mover[place] == turn
        assert graph.ending[place] == RESULTS[naive_take.result(model, board, turn)]
        after = {names[graph.move[e]]: positions[graph.child[e]] for e in graph.edges_of(place)}
        assert after == {name: (model.text(b), t) for name, (b, t) in found[board, turn].items()}
    return graph, [boards[position] for position in positions]
