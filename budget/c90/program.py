"""A whole C program: ask, read, judge, move, tell the end, and begin again."""

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from budget.c90.answering import Answering
from budget.c90.board import Board, board_of
from budget.c90.marks import MarksBoard
from budget.c90.reading import Reading
from budget.c90.rules import ByRules
from budget.c90.saying import Names, Saying
from budget.c90.setting import Setting, check_characters
from budget.c90.stored import Dense, SortedKeys
from budget.c90.text import Bytes, CText, character
from budget.c90.tree import tree
from budget.card import CostCard
from budget.lowering.choices import Choices
from budget.lowering.ground import DRAWN, LOST, MACHINE, VISITOR, WON
from budget.lowering.lower import endings_of
from budget.lowering.text import NotLowered
from games.codes import PLAYERS, TURN_BIT
from games.house import AT_ONCE, HouseRule
from games.inputs import AFTER_END, classes_of
from solver.fixed import PLAIN, FixedPlay

AS_WRITTEN = "as-written"
OUTCOMES = {WON: "machine-wins", LOST: "visitor-wins", DRAWN: "draw"}
"""The message of each ending."""

EACH, BY_SIGN = "each by itself", "by its sign"
"""How endings are told."""


class CProgram(NamedTuple):
    """A program in C90; bytes: of its tables and messages, as they stand in the text."""

    text: str
    bytes: Bytes


def written(play: FixedPlay, form: str, card: CostCard, choices: Choices) -> CProgram:
    """The program of a play in a form (AS_WRITTEN or an encoding's name), its parts written as the choices say.

    Raises NotLowered, with the reason, where there is none.
    """
    check_characters(card.characters.code)
    setting = Setting(CText(choices), choices, play, card, endings_of(play))
    skeleton = _Skeleton(setting, form)
    skeleton.write()
    game = play.game
    title = (
        f"{game.title}, the machine moves {PLAYERS[game.seat]}, house rules {game.house.name}: {form}.\n"
        "   Written by Wordtight; every input in every state has been tried."
    )
    return CProgram(setting.text.render(title.replace("*/", "")), setting.text.sizes())


def _answering(form: str, setting: Setting, board: Board) -> Answering:
    tables: dict[str, Callable[[Setting, Board, FixedPlay], Answering]] = {
        "dense": Dense,
        "sorted-keys": SortedKeys,
    }
    if form in tables:
        return tables[form](setting, board, setting.play)
    if not isinstance(board, MarksBoard):
        raise NotLowered("for games of heaps only dense tables and sorted keys are written in C")
    if form == AS_WRITTEN:
        if setting.play.reading != PLAIN:
            raise NotLowered("rules are written in C for boards as they stand only")
        return ByRules(setting, board)
    if form == "reply-tree":
        return tree(setting, board, setting.play)
    raise NotLowered("this table is not written in C yet")


class _Skeleton:
    def __init__(self, setting: Setting, form: str) -> None:
        self._setting = setting
        self._text = setting.text
        self._house = setting.play.game.house
        self._saying = Saying(setting)
        self._names = Names(setting)
        self._reading = Reading(setting, self._names)
        self._board = board_of(setting)
        self._answering = _answering(form, setting, self._board)

    def write(self) -> None:
        text, board = self._text, self._board
        text.label("game")
        self._set_counters()
        board.set_up()
        self._answering.set_up()
        if self._setting.play.game.fair.start >> TURN_BIT == self._setting.play.game.seat:
            text.put("goto think;")
        text.label("ask")
        self._saying.say("ask")
        labels = self._labels()
        self._reading.read(labels)
        board.judge(labels)
        self._answering.visitor_moves()
        self._play(VISITOR)
        board.ends(VISITOR, self._outcomes(VISITOR))
        text.label("think")
        self._answering.answer()
        text.label("found")
        if not self._answering.makes_move:
            self._play(MACHINE)
        self._answering.before_telling()
        self._saying.say("machine-moves")
        self._names.print_move()
        self._answering.after_telling()
        board.ends(MACHINE, self._outcomes(MACHINE))
        self._answering.before_asking()
        text.put("goto ask;")
        self._answering.write_rest()
        for number, rule in enumerate(self._house.rules, 1):
            if set(rule.when) != {AFTER_END}:
                self._write_rule(f"rule{number}", rule)
        self._write_outcomes()

    def _play(self, who: str) -> None:
        self._board.play(who)
        self._answering.has_moved()

    def _outcomes(self, who: str) -> Mapping[str, str]:
        labels = {how: how for by, how in sorted(self._setting.happens) if by == who}
        return self._answering.ends(who, labels)

    # -- wrong input --------------------------------------------------------------------------

    def _labels(self) -> dict[str, str]:
        """Where each class of wrong input leads: house rules that say and cost the same are one."""
        first: dict[tuple[str, str, int, str], str] = {}
        labels = {}
        for name in classes_of(self._setting.play.game.fair):
            if name != AFTER_END:
                number = self._house.rule_for(name)
                rule = self._house.rules[number]
                alike = (rule.say, rule.cost, number if rule.counts else 0, rule.say_forgiven)
                labels[name] = first.setdefault(alike, f"rule{number + 1}")
        return labels

    def _set_counters(self) -> None:
        for number, rule in enumerate(self._house.rules, 1):
            if rule.counts:
                self._text.local(f"left{number}", "times that wrong input is still forgiven")
                self._text.put(f"left{number} = {rule.forgive};")

    def _write_rule(self, label: str, rule: HouseRule) -> None:
        text = self._text
        text.label(label)
        if rule.counts:
            left = label.replace("rule", "left")
            text.put(f"if ({left} == 0)\n    goto {label}_cost;\n--{left};")
            self._saying.say(f"{rule.name} forgiven")
            text.put("goto ask;")
            text.label(f"{label}_cost")
        self._saying.say(rule.name)
        if rule.cost == "turn":
            self._answering.turn_lost()
        text.put(f"goto {({'nothing': 'ask', 'turn': 'think', 'game': WON})[rule.cost]};")

    # -- endings ------------------------------------------------------------------------------

    def _write_outcomes(self) -> None:
        text = self._text
        outcomes = {how for _, how in self._setting.happens}
        if any(rule.cost == "game" for rule in self._house.rules):
            outcomes.add(WON)
        self._tell_outcomes(sorted(outcomes))
        text.label("over")
        if self._house.next_game != AT_ONCE:
            self._reading.pass_over()
            self._saying.say(self._house.rules[self._house.rule_for(AFTER_END)].name)
        text.put("goto game;")

    def _tell_outcomes(self, outcomes: Sequence[str]) -> None:
        """Print how a game has ended, and go on at `over`."""
        text = self._text
        signs = {how: self._saying.sign(OUTCOMES[how]) for how in outcomes}
        ways = (EACH, BY_SIGN) if len(signs) > 1 and None not in signs.values() else (EACH,)
        by_sign = self._setting.choices.pick("endings", ways) == BY_SIGN
        for how, sign in signs.items():
            text.label(how)
            if by_sign and sign is not None:
                text.put(f"{text.local('ending', 'what is said of it')} = {character(sign)};\ngoto tell;")
            else:
                self._saying.say(OUTCOMES[how])
                text.put("goto over;")
        if by_sign:
            text.label("tell")
            text.put("put_char(ending);")
