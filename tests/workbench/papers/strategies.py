"""Strategies of every family, written to files, and asked for as the command does."""

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.workbench.papers import html_read
from workbench.asked import Asked
from workbench.papers.request import Wanted, request
from workbench.progress import ProgressLine

LAMP = (
    "game: noughts-and-crosses\nseat: second\n\ncomplete a line\nblock a line\nstop a double threat\n"
    "take the centre\ntake a corner\ntake any free cell\n"
)
SHEETS = {
    "lamp": LAMP,
    "charged": LAMP.replace("seat: second", "seat: second\nhouse-rules: lost-turn").replace(
        "seat: second", "seat: first"
    ),
    "hexapawn": "game: hexapawn\nseat: second\nlook ahead 12 plies\n",
    "nim": "game: nim-1-2-3\nseat: second\nlook ahead 8 plies\n",
    "steps": "game: pong-hau-ki\nseat: first\nlook ahead 8 plies\n",
    "pins": "game: pins.toml\nseat: first\nlook ahead 9 plies\n",
    "bites": "game: chomp-four-by-three\nseat: first\nlook ahead 12 plies\n",
    "small": "game: two-by-two\nseat: first\ntake any free cell\n",
}
FOUR = (
    "game: noughts-and-crosses\nseat: first\n\npicture\n - - -\n - - -\n M ! M\n\npicture\n - V -\n - - -\n - ! -\n\n"
    "picture\n ! - -\n - - -\n - - -\n\npicture\n - - -\n - ! -\n - - -\n"
)
POSTERS = {
    "four": FOUR,
    "five": FOUR.replace("\n\npicture", "\n\npicture\n V - _\n - V M\n M M !\n\npicture", 1),
    "ruled": FOUR.replace("\n\npicture", "\n\ncomplete a line\nblock a line\n\npicture", 1),
    "between": f"{FOUR}\ntake any free cell\n",
    "settled": FOUR.replace("seat: first", "seat: first\nchoice: plain"),
    "gate": "game: two-by-two\nseat: first\n\npicture\n ! -\n - -\n",
}
"""Sheets with pictures."""
GATES = {
    "gate-of-two": "game: gate.toml\nseat: second\nhouse-rules: terse.toml\nchoice: plain\ntake any free cell\n",
    "warned": "game: two-by-two\nseat: first\nhouse-rules: three-warnings\ntake any free cell\n",
}
"""For programs: a game of few lines, with house rules of few words; and one with house rules that forgive."""
GAMES = {
    "gate.toml": 'kind = "game"\nfamily = "marks"\nfrom = "made up"\ncolumns = 2\nrows = 2\n'
    'cells = ["1", "2", "3", "4"]\nlines = [["1", "2"]]\n',
    "terse.toml": 'kind = "house-rules"\ninput = "key"\nprint = "close"\n\n[messages]\nask = ""\nmachine-moves = ""\n'
    'machine-wins = "W"\nvisitor-wins = "L"\ndraw = "D"\n\n[[rule]]\nwhen = ["after-end"]\nsay = ""\n\n'
    '[[rule]]\nwhen = ["any"]\nsay = "?"\n',
    "pins.toml": 'kind = "game"\nfamily = "take"\nfrom = "made up"\nplay = "pins"\nrows = [5]\noctal = "0.77"\n',
}


def asked_for(name, **wanted):
    """A strategy of this page, asked for as the command does; it is proved once."""
    return proved(name)._replace(wanted=Wanted(**wanted))


@cache
def proved(name):
    with TemporaryDirectory() as folder:
        for file, text in {**GAMES, f"{name}.rules": {**SHEETS, **POSTERS, **GATES}[name]}.items():
            (Path(folder) / file).write_text(text)
        with ProgressLine() as progress:
            return request(Asked(f"{folder}/{name}.rules"), Wanted(), progress)


def page_of(kind, what):
    """The page of a kind, and the same as it is read."""
    paper = kind.paper(what)
    return paper, html_read.read(paper.body)
