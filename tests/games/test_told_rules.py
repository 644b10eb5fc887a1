"""The rules as they are told, word for word: people play by them, and no other test would miss a word.

`told_rules.txt` has a paragraph for each game: its name and its sentences.  Each was read against the rules of its
family.
"""

from pathlib import Path

import pytest

from games.load import load_game, parse_game

PARAGRAPHS = Path(__file__).with_name("told_rules.txt").read_text(encoding="utf-8").strip().split("\n\n")
ADVANCE = 'kind = "game"\nfamily = "advance"\ncolumns = 3\nrows = 3\ncaptures = ["sideways", "forward", "diagonal"]\n'


@pytest.mark.parametrize("paragraph", PARAGRAPHS, ids=[each.partition("\n")[0] for each in PARAGRAPHS])
def test_the_rules_are_told_word_for_word(paragraph):
    name, *sentences = paragraph.splitlines()
    assert list(load_game(name).rules) == sentences


@pytest.mark.parametrize(
    ("law", "sentence"),
    [
        ('blocked = "loses"', "Whoever is to move and cannot loses."),
        ('blocked = "wins"', "Whoever is to move and cannot wins."),
        ('blocked = "draws"', "When whoever is to move cannot, the game is a draw."),
        (
            'blocked = "passes"',
            "Whoever is to move and cannot has to pass; when nobody can move, the game is a draw.",
        ),
        ('no-men = "draws"', "Whoever has no man left on the board makes the game a draw."),
        ('no-men = "wins"', "Whoever has no man left on the board wins."),
        ('far-edge = "loses"', "Whoever brings a man to the far edge loses."),
        ("must-capture = true", "Whoever can capture must."),
        (
            "",
            (
                "A man captures one cell forward, sideways or diagonally forward: "
                "it takes the place of the other player's man there."
            ),
        ),
    ],
)
def test_every_law_of_men_that_advance_is_told(law, sentence):
    assert sentence in parse_game(f"{ADVANCE}{law}\n", "laws.toml").rules
