"""House rules: what wrong input costs, and how many plies a game may have."""

import re
import tomllib
from collections import Counter
from math import comb, prod

from .advance import Advance
from .marks import Marks
from .steps import Steps
from .terms import DRAW, SEATS, Moves, NotChecked, Record, State, Toml, Wrong

MOST_TYPED = 80
"""Characters in a line."""
MOST_FORGIVEN = 1_000_000
"""Ways in which wrong input may have been forgiven so far."""
FAMILIES = {"marks": Marks, "steps": Steps, "advance": Advance}
KNOWN = {
    "game": "kind family title from columns rows cells ply-limit repetition-limit",
    "marks": "holes in-a-row lines misere gravity marks",
    "steps": "holes pattern steps in-a-row lines start men second-men begins lines-while-placing blocked barred "
    "barred-to guarded guarded-moves",
    "advance": "start first-goes second-goes steps captures must-capture far-edge no-men blocked",
    "house-rules": "kind input longest messages print next-game rule",
    "rule": "when say cost forgive say-forgiven",
    "when": "any after-end too-long empty not-understood off-board column-full taken taken-by-machine "
    "taken-by-visitor must-pass may-not-pass place-first nothing-to-place not-your-piece no-such-step barred "
    "no-entry must-capture",
    "cost": "nothing turn game",
}


def knows_rules(header: Record) -> bool:
    """Whether the game is there, and of a family that this program knows."""
    return tomllib.loads(header["game"].get("text", "")).get("family") in FAMILIES


def refuse_unknown(toml: Toml, house: Toml) -> None:
    """Raise Wrong for a key or a word that nobody knows: a misspelt rule would else be passed over."""
    said = [(f"game {toml['family']}", list(toml)), ("house-rules", list(house))]
    for rule in house.get("rule", []):
        said += [("rule", list(rule)), ("when", rule["when"]), ("cost", [rule.get("cost", "nothing")])]
    for kinds, words in said:
        unknown = set(words) - {word for kind in kinds.split() for word in KNOWN[kind].split()}
        if unknown:
            raise Wrong(f"nobody knows the word {sorted(unknown)[0]!r} in the game or its house rules")
    if (toml.get("kind"), house.get("kind")) != ("game", "house-rules"):
        raise Wrong("the texts are not those of a game and of house rules")


class Housed:
    """A game with its limit of plies and its house rules.

    A state: that of the game, plies made, how often each house rule has forgiven, whether one has lost the game.
    """

    def __init__(self, toml: Toml, house: Toml, seat: int) -> None:
        self.fair = FAMILIES[toml["family"]](toml)
        self.seat = seat
        self.roles = {
            f"taken-by-{SEATS[seat]}": "taken-by-machine",
            f"taken-by-{SEATS[1 - seat]}": "taken-by-visitor",
        }
        self.limit = toml.get("ply-limit", 0)
        self.rules = house.get("rule", [])
        self.forgives = [rule.get("forgive", 0) for rule in self.rules]
        self.by_key = house.get("input", "line") == "key"
        self.longest = 1 if self.by_key else house.get("longest", 8)
        self.charges = any(self.forgives) or any(rule.get("cost") in ("turn", "game") for rule in self.rules)
        self.always = {"not-understood"} | (set() if self.by_key else {"too-long", "empty"})
        if self.charges and self.has_off_board():
            self.always.add("off-board")
        self.start = (self.fair.start, 0, (0,) * len(self.rules), False)

    def has_off_board(self) -> bool:
        """Whether some input looks like a name and names nothing: digits stand for digits, letters for letters."""
        for shape, names in Counter(map(shape_of, {name.lower() for name in self.fair.names})).items():
            letters, runs = shape.count("a"), shape.count("9")
            room = self.longest - len(shape) + runs  # for the digits of all runs together
            digits = sum(10**some * comb(some - 1, runs - 1) for some in range(runs, room + 1)) if runs else 1
            if len(shape) <= self.longest and names < 26**letters * digits:
                return True
        return False

    def mover(self, state: State) -> int:
        return self.fair.mover(state[0])

    def ending(self, state: State) -> str | None:
        inner, plies, _, lost = state
        if lost:
            return SEATS[self.seat]
        ending = self.fair.ending(inner)
        return DRAW if ending is None and self.limit and plies >= self.limit else ending

    def moves(self, state: State) -> Moves:
        """What may be played or keyed in, by name, and the state after it."""
        inner, _, counts, lost = state
        on = self.plies_after(state)
        found = {name: (self.fair.after(inner, name), on, counts, lost) for name in self.fair.legal(inner)}
        if self.charges and self.mover(state) != self.seat:
            for each in self.possible(inner):
                found |= self.charged(state, each)
        return found

    def plies_after(self, state: State) -> int:
        """How many plies are made after the next one, where they are counted."""
        return int(state[1]) + 1 if self.limit else 0

    def possible(self, inner: State) -> set[str]:
        """The classes of wrong input that there are here."""
        reasons = {self.fair.why_not(inner, name) for name in self.fair.names} - {""}
        return self.always | {self.roles.get(reason, reason) for reason in reasons}

    def rule_for(self, each: str) -> int | None:
        """The place of the rule that answers wrong input of a class: the first that names it."""
        places = (place for place, rule in enumerate(self.rules) if {each, "any"} & set(rule["when"]))
        return next(places, None)

    def charged(self, state: State, each: str) -> Moves:
        """The move that wrong input of a class amounts to; nothing where it changes nothing."""
        (inner, _, counts, lost), on, place = state, self.plies_after(state), self.rule_for(each)
        if place is None:
            return {}
        if counts[place] < self.forgives[place]:
            more = (*counts[:place], counts[place] + 1, *counts[place + 1 :])
            return {f"(forgiven by rule {place + 1})": (inner, on, more, lost)}
        cost = self.rules[place].get("cost")
        if cost == "turn":
            return {"(turn lost)": (self.fair.turn_lost(inner), on, counts, lost)}
        return {"(game lost)": (inner, on, counts, True)} if cost == "game" else {}

    def text(self, state: State) -> str:
        inner, plies, counts, _ = state
        text = self.fair.text(inner, self.seat)
        if self.limit:
            text += f" ply {plies}"
        counting = [str(count) for count, most in zip(counts, self.forgives, strict=True) if most]
        return f"{text} forgiven {'/'.join(counting)}" if counting else text


def shape_of(name: str) -> str:
    """A name with a letter for each letter and a digit for each run of digits."""
    return re.sub(r"[0-9]+", "9", re.sub(r"[a-z]", "a", name.lower()))


def housed(header: Record) -> Housed:
    """The game of which the evidence is."""
    toml, house = (tomllib.loads(header[key]["text"]) for key in ("game", "house_rules"))
    refuse_unknown(toml, house)
    ways = prod(rule.get("forgive", 0) + 1 for rule in house.get("rule", []))
    if house.get("longest", 0) > MOST_TYPED or ways > MOST_FORGIVEN:
        raise NotChecked("the house rules take in or forgive more than this program can go through")
    return Housed(toml, house, SEATS.index(header["seat"]))
