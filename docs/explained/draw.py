"""Draw the pictures of the explanations by the functions behind the commands.

``python docs/explained/draw.py [FOLDER]`` writes them; without a folder, beside this script.
"""

import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from budget.building import Wish, make
from budget.card import load_machine
from games.house import load_house_rules
from games.load import load_game
from solver.fixed import PLAIN, TURNED, fix
from solver.least.answers import least_answers
from solver.load import load_strategy
from solver.proof import Proof, prove
from solver.solve import solve
from workbench.pictures.notebook import of_proof, of_solution, strip
from workbench.pictures.store import store_svg
from workbench.pictures.tree import tree_svg

HERE = Path(__file__).resolve().parent
GAME = "noughts-and-crosses"
WITH_A_HOLE = "complete a line\nblock a line\ntake the centre\ntake a corner\ntake any free cell\n"
WITH_A_LOST_TURN = ["1", "5", "(turn lost)", "3", "7", "4"]
"""The visitor types a cell that is taken, the turn is lost, and the machine is a mark ahead."""


def main(folder: Path) -> None:
    for name, picture in pictures():
        (folder / name).write_text(picture, encoding="utf-8", newline="\n")


def pictures() -> Iterator[tuple[str, str]]:
    """Every picture: its file, and what is in it."""
    yield "plies.svg", of_solution(solve(load_game(GAME))).svg
    yield "refuted.svg", of_proof(proof("second", WITH_A_HOLE)).svg
    yield "lost-turn.svg", lost_turn()
    yield "tree.svg", tree()
    yield "store.svg", store()


def proof(seat: str, rules: str, house: str = "usual") -> Proof:
    """A rule sheet, proved or refuted."""
    with tempfile.TemporaryDirectory() as folder:
        sheet = Path(folder) / "first.rules"
        sheet.write_text(f"game: {GAME}\nseat: {seat}\n\n{rules}", encoding="utf-8")
        written = load_strategy(sheet, house_rules=house)
    return prove(written.strategy(written.seats[0]), written.claim, written.house)


def lost_turn() -> str:
    """A line in which wrong input costs the visitor the turn."""
    game = proof("second", WITH_A_HOLE, "lost-turn").walk.game
    return strip(game, game.start, [game.move_names.index(name) for name in WITH_A_LOST_TURN]).svg


def tree() -> str:
    """The least strategy of the first seat, as a reply tree."""
    game = load_game(GAME)
    found = least_answers(game, 0, "never-loses", load_house_rules("usual", game))
    return tree_svg(fix(found.proof, TURNED))


def store() -> str:
    """The store of a machine with the rules for the first seat in it."""
    play = fix(proof("first", WITH_A_HOLE), PLAIN)
    return store_svg(make([play], load_machine("twelve-bit"), Wish()).lowered.program)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE)
