"""House rules: the ordered rules that answer wrong input, as data.

A house rule names the classes of input that it answers, what is said, and what it costs the visitor:
nothing, the turn, or the game; it may forgive a number of times a game before the cost holds.  The first
house rule that names a class answers it.  A class that none names is asked again at no cost.
"""

import os
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from games.codes import TURN_BIT
from games.game import Game
from games.inputs import AFTER_END, InputForm, classes_of
from games.problems import bad, listed, near_miss
from games.tomlfile import Table, parse_toml, read_text

COSTS = ("nothing", "turn", "game")
OUTCOME_MESSAGES = {
    "ask": "YOUR MOVE",
    "machine-moves": "I PLAY",
    "machine-wins": "I WIN",
    "visitor-wins": "YOU WIN",
    "draw": "A DRAW",
}
"""What a program says besides its answers to wrong input, by message name, with the usual wording."""
LINES, CLOSE = "lines", "close"
"""How a program prints: every message on a line of its own, or nothing but what it has to say."""
ASKED_FOR, AT_ONCE = "asked-for", "at-once"
"""When the next game begins: after one more input, whatever it is, or as soon as a game has ended."""
EVERY_CLASS = "any"
USUAL_RULE = "the usual rule"
"""The name of the rule that answers what no rule of the file names."""
MOST_FORGIVEN = 255
_FOLDER = Path(__file__).parent / "house_rules"


class HouseRule(NamedTuple):
    """One house rule.  `when`: classes of input; `forgive`: how often a game its cost is waived."""

    name: str
    when: tuple[str, ...]
    say: str
    cost: str
    forgive: int
    say_forgiven: str

    @property
    def counts(self) -> bool:
        """Whether the position has to remember how often this rule has forgiven."""
        return self.forgive > 0


class HouseRules(NamedTuple):
    """All house rules of a machine, in order, with how it reads and what it says when a game ends.

    layout: LINES or CLOSE; next_game: ASKED_FOR or AT_ONCE.
    """

    name: str
    form: InputForm
    rules: tuple[HouseRule, ...]
    messages: dict[str, str]
    layout: str = LINES
    next_game: str = ASKED_FOR

    def rule_for(self, input_class: str) -> int:
        """The place of the first house rule that answers this class."""
        for place, rule in enumerate(self.rules):
            if input_class in rule.when:
                return place
        raise KeyError(input_class)

    def without_costs(self) -> "HouseRules | None":
        """The same where wrong input costs nothing and nothing is counted; None where that is so already."""
        if all(rule.cost == "nothing" and not rule.counts for rule in self.rules):
            return None
        free = tuple(rule._replace(cost="nothing", forgive=0, say_forgiven="") for rule in self.rules)
        return self._replace(rules=free)

    def all_messages(self) -> dict[str, str]:
        """Everything that the program may have to say, by message: outcomes first, then the rules in order.

        A rule's message is called by the rule (``rule 1``), its milder one ``rule 1 forgiven``.
        """
        said = dict(self.messages)
        for rule in self.rules:
            if rule.counts:
                said[f"{rule.name} forgiven"] = rule.say_forgiven
            said[rule.name] = rule.say
        return said


def usual_names() -> tuple[str, ...]:
    """The house rules that come with Wordtight, by name."""
    return tuple(sorted(path.stem for path in _FOLDER.glob("*.toml")))


def load_house_rules(which: str | Path, game: Game) -> HouseRules:
    """House rules by name (`usual`, ...) or from a TOML file, checked for a game.

    Raises BadInput with every mistake of the file.
    """
    name = str(which)
    if not _is_file(name):
        if name not in usual_names():
            known = usual_names()
            raise bad(
                f"there are no house rules called '{name}'; expected a .toml file, "
                f"or {listed(known)}{near_miss(name, known)}"
            )
        text = read_text(_FOLDER / f"{name}.toml")
        return parse_house_rules(text, name, game)
    return parse_house_rules(read_text(name), name, game)


def _is_file(name: str) -> bool:
    """Whether a file is meant, and no house rules that come with Wordtight."""
    return name.lower().endswith(".toml") or os.path.exists(name)  # noqa: PTH110 - pathlib's raises for long names


def house_text(which: str | Path) -> str:
    """What the file of house rules says, be they ours or the user's own.  Raises BadInput if there is none."""
    name = str(which)
    return read_text(name if _is_file(name) else _FOLDER / f"{name}.toml")


def house_digest(which: str | Path) -> str:
    """A name for house rules: SHA-256 in hexadecimal of what their file says."""
    import hashlib  # only kept results need it

    return hashlib.sha256(house_text(which).encode()).hexdigest()


def parse_house_rules(text: str, file: str, game: Game) -> HouseRules:
    """The same from text already at hand; `file` is what messages call it."""
    table = parse_toml(text, file, "house-rules")
    form = _read_form(table, game)
    classes = classes_of(game)
    rules = [_read_rule(each, f"rule {place}", classes) for place, each in enumerate(table.tables("rule"), 1)]
    messages = table.table("messages")
    said = {key: messages.text(key, default=usual) for key, usual in OUTCOME_MESSAGES.items()}
    messages.finish()
    layout = table.text("print", default=LINES, one_of=(LINES, CLOSE))
    next_game = table.text("next-game", default=ASKED_FOR, one_of=(ASKED_FOR, AT_ONCE))
    table.finish()
    table.raise_problems()
    rest = tuple(name for name in classes if not any(name in rule.when for rule in rules))
    if rest:
        rules.append(HouseRule(USUAL_RULE, rest, "AGAIN", "nothing", 0, ""))
    bits = game.bits + counter_bits(rules)
    if bits > TURN_BIT:
        raise bad(
            f"these house rules count too much: with the board of {game.name} that takes {bits} bits, "
            f"and a position has {TURN_BIT}; expected smaller numbers behind 'forgive'",
            file,
        )
    return HouseRules(Path(file).stem, form, tuple(rules), said, layout, next_game)


def counter_bits(rules: Sequence[HouseRule]) -> int:
    """How many bits a position needs to remember what these house rules have forgiven, and that one took the game."""
    takes_the_game = any(rule.cost == "game" for rule in rules)
    return sum(rule.forgive.bit_length() for rule in rules) + takes_the_game


def _read_form(table: Table, game: Game) -> InputForm:
    kind = table.text("input", default="line", one_of=("line", "key"))
    before = len(table.problems)
    longest = table.whole("longest", default=8, least=1, most=80)
    needed = max(len(name) for name in game.move_names)
    if kind == "key":
        if "longest" in table:
            table.wrong("longest", "'longest' is for lines; by key every input is one character")
        if needed > 1:
            table.wrong(
                "input",
                f"moves such as '{max(game.move_names, key=len)}' have more than one character; "
                'expected input = "line"',
            )
        return InputForm("key", 1)
    if longest < needed and len(table.problems) == before:
        table.wrong(
            "longest",
            f"'longest' is {longest}, but a move can have {needed} characters; expected {needed} or more",
        )
    return InputForm("line", longest)


def _read_rule(table: Table, name: str, classes: tuple[str, ...]) -> HouseRule:
    before = len(table.problems)
    when = table.texts("when", one_of=(*classes, EVERY_CLASS))
    if "when" in table and not when and len(table.problems) == before:
        table.wrong("when", f"'when' is empty; expected some of {listed(classes)}")
    if EVERY_CLASS in when:
        when = classes
    say = table.text("say")
    cost = table.text("cost", default="nothing", one_of=COSTS)
    before = len(table.problems)
    forgive = table.whole("forgive", default=0, most=MOST_FORGIVEN)
    say_forgiven = table.text("say-forgiven", default=say if forgive else "")
    if set(when) == {AFTER_END} and (cost != "nothing" or forgive):
        table.wrong("cost", "after the end nothing is charged; expected cost = \"nothing\" and no 'forgive'")
    if "say-forgiven" in table and not forgive and len(table.problems) == before:
        table.wrong(
            "say-forgiven", "'say-forgiven' is given but 'forgive' is not; expected forgive = 1 or more"
        )
    table.finish()
    return HouseRule(name, when, say, cost, forgive, say_forgiven)
