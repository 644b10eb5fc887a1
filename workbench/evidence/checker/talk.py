"""How a program talks: what it means by the lines that it prints, and what is due to wrong input."""

import re

from .house_rules import Housed, shape_of
from .terms import State, Toml

USUAL = {
    "ask": "YOUR MOVE",
    "machine-moves": "I PLAY",
    "machine-wins": "I WIN",
    "visitor-wins": "YOU WIN",
    "draw": "A DRAW",
}
OUTCOMES = ("machine-wins", "visitor-wins", "draw")


def plain(text: str) -> str:
    """Capitals, single spaces: what is compared."""
    return " ".join(text.upper().split())


class Talk:
    """How a program talks: in the words of the house rules, but where a conversation file has others."""

    def __init__(self, game: Housed, house: Toml, manner: Toml) -> None:
        self.game = game
        said = USUAL | house.get("messages", {})
        called = manner.get("names", game.fair.names)
        self.enter = manner.get("enter", "{move}")
        self.name_of = {name.lower(): own for name, own in zip(called, game.fair.names, strict=True)}
        self.shapes = {shape_of(name) for name in self.name_of}
        self.outcome_of = {plain(text): each for each in OUTCOMES for text in manner.get(each, [said[each]])}
        self.own = {True: manner.get("forgiven", {}), False: manner.get("answers", {})}
        rules = [rule.get(key, "") for rule in house.get("rule", []) for key in ("say", "say-forgiven")]
        texts = [text for own in self.own.values() for each in own.values() for text in each] + rules
        texts += [] if any("any" in rule["when"] for rule in house.get("rule", [])) else ["AGAIN"]
        self.refusals = set(map(plain, texts)) - {""}
        known = {*self.outcome_of, *self.refusals, *map(plain, manner.get("waits", [said["ask"]]))} - {""}
        moves = manner.get("machine-moves", [f"{said['machine-moves']} {{move}}"])
        self.pattern = self.pattern_of(known, moves, called, close=house.get("print") == "close")

    def pattern_of(
        self, known: set[str], moves: list[str], called: list[str], *, close: bool
    ) -> re.Pattern[str]:
        """Any text that is known or tells a move, the longest first; no part of a longer word unless print is close."""
        names = "|".join(re.escape(name.upper()) for name in sorted(called, key=len, reverse=True))
        choices = [(len(text), re.escape(text), text) for text in known]
        for place, told in enumerate(moves):
            before, after = map(plain, told.split("{move}"))
            gaps = (" ?" if before or after else "", " ?" if after else "")
            core = f"{re.escape(before)}{gaps[0]}(?P<m{place}>{names}){gaps[1]}{re.escape(after)}"
            alone = not (before or after or close)
            choices.append(
                (len(before + after), f"^{core}$" if alone else core, (before or "0") + (after or "0"))
            )
        return re.compile("|".join(
            core if close else (r"(?<![A-Z0-9])" if text[:1].isalnum() else "") + core
            + (r"(?![A-Z0-9])" if text[-1:].isalnum() or "(?P<m" in core else "")
            for _, core, text in sorted(choices, key=lambda each: (-each[0], each[1]))))  # fmt: skip

    def heard(self, printed: list[str]) -> tuple[list[str], list[str], list[str]]:
        """The moves, the outcomes and the answers to wrong input that some lines tell."""
        found: tuple[list[str], list[str], list[str]] = ([], [], [])
        for match in (match for line in printed for match in self.pattern.finditer(plain(line))):
            text = match[0]
            if match.lastgroup:
                found[0].append(self.name_of[match[match.lastgroup].lower()])
            elif text in self.outcome_of:
                found[1].append(self.outcome_of[text])
            elif text in self.refusals:
                found[2].append(text)
        return found

    def classed(self, state: State, typed: str) -> tuple[str, str]:
        """The class of an input, and the move if it is a legal one, for which the class is nothing."""
        before, after = self.enter.split("{move}")
        inner = typed[len(before) : len(typed) - len(after)]
        text = inner if f"{before}{inner}{after}" == typed and inner.lower() in self.name_of else typed
        name = self.name_of.get(text.lower())
        if self.game.ending(state):
            return "after-end", ""
        if len(text.encode()) > self.game.longest and name is None:
            return "too-long", ""
        if not text:
            return "empty", ""
        if name is None:
            return ("off-board" if shape_of(text) in self.shapes else "not-understood"), ""
        why = self.game.fair.why_not(state[0], name)
        return self.game.roles.get(why, why), name

    def due(self, state: State, each: str) -> set[str]:
        """What may be said to wrong input of a class: one of these texts, or nothing where there is none."""
        mild, text, place = False, "AGAIN", self.game.rule_for(each)
        if place is not None:
            rule = self.game.rules[place]
            text = rule["say"]
            if state[2][place] < self.game.forgives[place]:
                text = rule.get("say-forgiven", text)
                mild = text != rule["say"]
        own = self.own[mild].get(each) or self.own[mild].get("any") or [text]
        return {plain(text) for text in own} - {""}
