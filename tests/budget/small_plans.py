"""What small plans and programs are made for: two games, and a machine with any store."""

from functools import cache

from budget.card import load_machine
from budget.machine.layout import Layout
from budget.plan.asked import Asked
from games.house import load_house_rules
from games.load import load_game, parse_game
from solver.proof import prove

TWELVE_BIT = load_machine("twelve-bit")
NIM = 'kind = "game"\nfamily = "take"\nplay = "heaps"\nheaps = [1, 2]\n'


@cache
def asked(name="two-by-two", seat=0, house="usual"):
    game = load_game(name)
    return Asked(name, game, seat, "never-loses", house, load_house_rules(house, game))


def with_store(words):
    """The machine with another store, and instructions laid out for it."""
    program = TWELVE_BIT.program
    layout = Layout(program.layout.sizes._replace(store_words=words))
    return TWELVE_BIT._replace(store_words=words, program=program._replace(layout=layout))


@cache
def nim_asked():
    game = parse_game(NIM, "nim.toml")
    return Asked("nim.toml", game, 0, "never-loses", "usual", load_house_rules("usual", game))


@cache
def nim():
    ask = nim_asked()
    return prove(ask.strategy("look ahead 6 plies"), "never-loses", ask.house)
