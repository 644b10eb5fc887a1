"""The course of a game in a program: ask, read, judge, move, tell the end, and begin again."""

from typing import NamedTuple

from budget.lowering.answering import Answering, Endings, Telling
from budget.lowering.answering.following import Following
from budget.lowering.checksum import CheckSum, write_check
from budget.lowering.ground import FORGIVEN, LOST_TURN, MACHINE, VISITOR, WON, Ground, Refusing, Setting
from budget.lowering.keyboard import Keyboard
from budget.lowering.naming import Naming
from budget.lowering.reading import Reading
from budget.lowering.saying import OUTCOMES, Saying, held_label
from budget.lowering.units import message_unit
from games.codes import TURN_BIT
from games.house import AT_ONCE, HouseRule
from games.inputs import AFTER_END, classes_of


class Parts(NamedTuple):
    """What the skeleton puts together."""

    setting: Setting
    saying: Saying
    keyboard: Keyboard
    naming: Naming
    reading: Reading
    ground: Ground
    answering: Answering
    check: CheckSum | None = None
    told: Endings = frozenset()


def write(parts: Parts) -> None:
    """The whole program."""
    _Skeleton(parts).write()


class _Skeleton:
    def __init__(self, parts: Parts) -> None:
        self._parts = parts
        self._text = parts.setting.text
        self._house = parts.setting.play.game.house
        self._code = parts.setting.text.card.characters.code
        self._rule_labels = [f"rule{number}" for number in range(1, len(self._house.rules) + 1)]

    def write(self) -> None:
        text, parts = self._text, self._parts
        text.label("start")
        parts.keyboard.set_up()
        if parts.check and not parts.check.between_games:
            write_check(text, parts.check)
        text.label("game")
        if parts.check and parts.check.between_games:
            write_check(text, parts.check)
        self._set_counters()
        parts.ground.set_up()
        if isinstance(parts.answering, Following):
            parts.answering.set_up()
        if self._machine_begins():
            text.op("jump", "think")
        text.label("ask")
        self._say("ask")
        text.label("read")
        labels = self._labels()
        parts.reading.read(labels, self._refusing())
        parts.ground.judge(labels)
        if isinstance(parts.answering, Following):
            parts.answering.visitor_moves()
        parts.ground.play(VISITOR)
        parts.ground.ends(VISITOR, self._outcome_labels(VISITOR))
        text.label("think")
        parts.answering.answer("found")
        text.label("found")
        parts.ground.play(MACHINE)
        self._say("machine-moves")
        parts.naming.print_move()
        parts.ground.ends(MACHINE, self._outcome_labels(MACHINE))
        if isinstance(parts.answering, Telling) and parts.told:
            parts.answering.tell({how: how for by, how in sorted(parts.told) if by == MACHINE}, "ask")
        text.op("jump", "ask")
        self._write_rules()
        self._write_outcomes()

    def _refusing(self) -> str:
        """The words that may refuse keys which name no move; none where a check-sum brings words of 0."""
        ground = self._parts.ground
        return ground.refusing() if isinstance(ground, Refusing) and self._parts.check is None else ""

    def _machine_begins(self) -> bool:
        return self._parts.setting.game.start >> TURN_BIT == self._parts.setting.seat

    def _say(self, name: str, held: str = "") -> None:
        """Print a message by its name; held: as in `Saying.say`."""
        said = self._house.all_messages()[name]
        unit = message_unit(self._house, self._code, name, said)
        self._parts.saying.say(unit, said or name, held=held)

    # -- wrong input --------------------------------------------------------------------------

    def _labels(self) -> dict[str, str]:
        """Where each class of wrong input leads: house rules that say and cost the same are one."""
        first: dict[tuple[str, str, int, str], str] = {}
        labels = {}
        for name in classes_of(self._parts.setting.game):
            if name == AFTER_END:
                continue  # answered where the game is over
            number = self._house.rule_for(name)
            rule = self._house.rules[number]
            alike = (rule.say, rule.cost, number if rule.counts else 0, rule.say_forgiven)
            labels[name] = first.setdefault(alike, self._rule_labels[number])
        return labels

    def _set_counters(self) -> None:
        for label, rule in zip(self._rule_labels, self._house.rules, strict=True):
            if rule.counts:
                self._text.needs(-rule.forgive, 0, f"a count of {rule.forgive}")
                self._text.number(-rule.forgive)
                self._text.op(
                    "store", self._text.variable(f"{label}_left", remark="times to forgive, negative")
                )

    def _write_rules(self) -> None:
        for label, rule in zip(self._rule_labels, self._house.rules, strict=True):
            if set(rule.when) != {AFTER_END}:
                self._write_rule(label, rule)

    def _write_rule(self, label: str, rule: HouseRule) -> None:
        text = self._text
        text.label(label)
        if rule.counts:
            text.ops(f"load {label}_left", f"ifzero {label}_cost", f"count {label}_left")
            self._say(f"{rule.name} forgiven")
            self._parts.ground.after_wrong(FORGIVEN, self._outcome_labels(FORGIVEN))
            text.ops("jump ask", f"{label}_cost:")
        self._say(rule.name)
        if rule.cost == "turn" and isinstance(self._parts.answering, Following):
            self._parts.answering.turn_lost()
        if rule.cost == "turn":
            self._parts.ground.after_wrong(LOST_TURN, self._outcome_labels(LOST_TURN))
        text.op("jump", {"nothing": "ask", "turn": "think", "game": WON}[rule.cost])

    # -- endings ------------------------------------------------------------------------------

    def _outcome_labels(self, who: str) -> dict[str, str]:
        looked_for = self._parts.setting.happens - self._parts.told
        return {how: how for by, how in sorted(looked_for) if by == who}

    def _write_outcomes(self) -> None:
        text = self._text
        outcomes = {how for _, how in self._parts.setting.happens}
        if any(rule.cost == "game" for rule in self._house.rules):
            outcomes.add(WON)
        for how in sorted(outcomes):
            text.label(how)
            self._say(OUTCOMES[how], held=held_label(how))
            text.op("jump", "over")
        if not outcomes:
            return
        text.label("over")
        if self._house.next_game == AT_ONCE:
            text.op("jump", "game")
            return
        self._parts.reading.pass_over()
        self._say(self._house.rules[self._house.rule_for(AFTER_END)].name)
        text.op("jump", "game")
