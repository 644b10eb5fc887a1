"""What a notebook shows: a picture or HTML where it can, and text where it cannot."""

from xml.etree import ElementTree as ET

from games.house import load_house_rules
from games.load import load_game
from solver.load import load_strategy
from solver.proof import prove
from solver.solve import solve
from tests.workbench.reporting.plays import played
from workbench.pictures.notebook import of_proof, of_solution, picture, replies, strip

SVG = "{http://www.w3.org/2000/svg}"


def looked_at(shown):
    """A picture's title, when all three ways have been read."""
    ET.fromstring(f"<div>{shown._repr_html_()}</div>")
    return ET.fromstring(shown._repr_svg_()).findtext(f"{SVG}title")


def test_a_position_is_a_board_with_its_last_move():
    game = load_game("noughts-and-crosses")
    shown = picture(game, game.read("V__/_M_/___", 1, 0), move=4, caption="After the centre")
    assert looked_at(shown) == "After the centre"
    assert str(shown).split("\n") == ["After the centre", " V  _  _", " _ (M) _", " _  _  _"]


def test_a_line_of_play_is_boards_side_by_side_in_text_too():
    game = load_game("noughts-and-crosses")
    shown = strip(game, game.start, [4, 0])
    assert looked_at(shown) == "Noughts and crosses: a line of 2 plies"
    assert "(V)" in str(shown)
    assert "(M)" in str(shown)
    assert str(shown).split() != str(strip(game, game.start, [4, 2])).split()


def test_a_refuted_proof_shows_the_line_that_beats_it():
    written = load_strategy("examples/ferry.rules")
    shown = of_proof(prove(written.strategy(1), written.claim, written.house))
    assert looked_at(shown) == "Noughts and crosses: a line of 7 plies"
    assert str(shown).startswith(
        "ferry, machine moves second: 'never-loses' is refuted; the first losing decision is ply 4\n"
    )


def test_a_proved_one_shows_the_start():
    game = load_game("two-by-two")
    proof = played("two-by-two", 0, "usual", "plain").proof
    shown = of_proof(proof)
    assert looked_at(shown) == f"{game.title}: a line of 0 plies"
    assert "is proved" in shown._repr_html_()


def test_a_solution_shows_its_positions_by_plies():
    game = load_game("noughts-and-crosses")
    shown = of_solution(solve(game, load_house_rules("usual", game), 1))
    assert looked_at(shown) == "Noughts and crosses: draw under best play; 5,478 positions"
    assert str(shown).split("\n")[:3] == [
        "Noughts and crosses: draw under best play; 5,478 positions",
        "ply 0: 1, up to symmetry: 1",
        "ply 1: 9, up to symmetry: 3",
    ]


def test_a_play_shows_its_replies():
    shown = replies(played("two-by-two", 0, "usual", "plain"))
    assert looked_at(shown).startswith("Replies")
    assert str(shown).split("\n")[0].startswith("machine a1, visitor b1, ")
