"""Turning in a C program: the board is turned in place through all its images, and the least is looked up.

Least is the image with the least number.  A step exchanges cells, one pair after the other; one kind of step again and
again, or two kinds in turn, lead through all images and home.  The move that is found is marked on the least image,
and turns back with the board.

Where a board looks the same turned, several steps lead to its least image, and the first is taken.  On a few such
boards the play wants the move that another of these steps gives: these are *odd*, and are known as they stand.
"""

from collections.abc import Iterator, Sequence
from itertools import permutations
from typing import NamedTuple

from budget.c90.setting import Setting
from budget.lowering.text import NotLowered
from budget.lowering.turning_walk import Permutation, exchanged
from games.marks.marks import Marks
from solver.fixed import FixedPlay

MOST_IN_HALF = 16
"""Cells, if two are named in a byte."""
MOST_ODD = 16
"""Boards that are known as they stand: of more a table of plain boards would do as well."""
TURN = """
/* Turn the board by the next step. */
static void turn(void)
{
    byte left, one, other, kept;

    for (left = EXCHANGES; left != 0; --left) {
%(pair)s
        kept = board[one];
        board[one] = board[other];
        board[other] = kept;
    }
    if (at_turn == sizeof turns)
        at_turn = 0;
}
"""
IN_ONE_BYTE = """\
        other = FETCH(turns + at_turn);
        ++at_turn;
        one = (byte)(other >> 4);
        other &= 15;"""
IN_TWO_BYTES = """\
        one = FETCH(turns + at_turn);
        ++at_turn;
        other = FETCH(turns + at_turn);
        ++at_turn;"""


class Images(NamedTuple):
    """The least images of a play's boards.

    kinds: for each kind of step where each cell goes; path: where each has gone after each step, the last one home;
    numbers, moves: of each least image, increasing, its number and the move on it; odd: the number of each odd board,
    and the move on it.
    """

    kinds: tuple[Permutation, ...]
    path: tuple[Permutation, ...]
    numbers: list[int]
    moves: list[int]
    odd: dict[int, int]


def images_of(play: FixedPlay, game: Marks) -> Images:
    """The images, with steps by which the fewest boards are odd.  Raises NotLowered where no steps lead through all."""
    cell_images = game.cell_images
    if len(cell_images) == 1:
        raise NotLowered("its boards have no other images than themselves")
    digits = _digits(play, game)
    best: Images | None = None
    for kinds, path in _paths(cell_images):
        moves, odd = _least(digits, play.moves.tolist(), path)
        if best is None or len(odd) < len(best.odd):
            numbers = sorted(moves)
            best = Images(kinds, path, numbers, [moves[number] for number in numbers], odd)
        if not best.odd:
            break
    if best is None or len(best.odd) > MOST_ODD:
        raise NotLowered(
            "no two turns lead through all images of its boards, so that each finds its own move again"
        )
    return best


def _digits(play: FixedPlay, game: Marks) -> list[list[int]]:
    """Each board cell by cell: 0 where it is free, 1 the machine's, 2 the visitor's."""
    held, seat = game.holdings(play.codes), play.game.seat
    every = zip(held[seat].tolist(), held[1 - seat].tolist(), strict=True)
    return [
        [own >> cell & 1 | (other >> cell & 1) << 1 for cell in range(game.board.size)]
        for own, other in every
    ]


def _paths(
    cell_images: Sequence[Permutation],
) -> Iterator[tuple[tuple[Permutation, ...], tuple[Permutation, ...]]]:
    """Kinds of steps that lead through all images and home, with the way; those that exchange least come first."""
    kinds = sorted(cell_images[1:], key=lambda image: len(exchanged(image, 0)))
    for steps in (*((kind,) for kind in kinds), *permutations(kinds, 2)):
        path: list[Permutation] = []
        reached = cell_images[0]
        while len(path) < len(cell_images):
            step = steps[len(path) % len(steps)]
            reached = tuple(step[cell] for cell in reached)
            path.append(reached)
        if set(path) == set(cell_images) and path[-1] == cell_images[0] and len(path) % len(steps) == 0:
            yield steps, tuple(path)


def _least(
    digits: list[list[int]], moves: list[int], path: Sequence[Permutation]
) -> tuple[dict[int, int], dict[int, int]]:
    """The number of each least image and the move on it, and the same of odd boards: those that want another one."""
    weights = [[3**cell for cell in image] for image in path]
    found: dict[int, int] = {}
    odd: dict[int, int] = {}
    for board, move in zip(digits, moves, strict=True):
        numbers = [sum(map(int.__mul__, board, weight)) for weight in weights]
        least = min(numbers)
        there = path[numbers.index(least)][move]
        if found.setdefault(least, there) != there:
            odd[numbers[-1]] = move
    return found, odd


def write_turn(setting: Setting, images: Images) -> None:
    """Write the function that turns the board, and what it needs."""
    text = setting.text
    most = max(len(exchanged(kind, 0)) for kind in images.kinds)
    pairs = [pair for kind in images.kinds for pair in exchanged(kind, most)]
    text.constant("EXCHANGES", most, "of cells, to turn the board by one step")
    text.constant("STEPS", len(images.path), "through all images of a board, and home")
    text.constant("FOUND", 255, "a mark where the move is")
    in_one = setting.cells <= MOST_IN_HALF
    values = (
        [one << 4 | other for one, other in pairs] if in_one else [cell for pair in pairs for cell in pair]
    )
    text.table("turns", values, "the cells that change places")
    text.static("at_turn", "a place among these")
    text.function("turn", TURN % {"pair": IN_ONE_BYTE if in_one else IN_TWO_BYTES})


def find_least(setting: Setting, images: Images, key: str, kind: str) -> None:
    """The variable `key` becomes the number of the least image; the board is as it was.  Odd boards go to `found`."""
    text = setting.text
    text.local("steps", "until the board is home")
    text.local("other", "the number of another image", kind)
    text.put(f"{key} = number();")
    for number, move in sorted(images.odd.items()):
        text.put(f"move = {move};\nif ({key} == {number})\n    goto found;")
    text.put(
        f"for (steps = STEPS; steps != 0; --steps) {{\n    turn();\n    other = number();\n"
        f"    if (other < {key})\n        {key} = other;\n}}"
    )


def turn_back(setting: Setting, key: str) -> None:
    """The variable `move`, a cell of the least image, becomes that of the board as it stands."""
    setting.text.put(
        f"for (steps = STEPS; steps != 0; --steps) {{\n    turn();\n    if (number() == {key})\n"
        "        board[move] = FOUND;\n}\nfor (move = 0; board[move] != FOUND; ++move)\n    ;"
    )
