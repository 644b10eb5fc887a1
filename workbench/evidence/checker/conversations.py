"""Conversations: what a program has printed after each input, held against the rules.

Its moves must be legal, its verdicts right, and wrong input answered as the house rules say.  An answer stands after
another one, so all of them are a tree.
"""

import tomllib
from collections.abc import Iterable
from typing import Any

from .house_rules import housed
from .talk import Talk
from .terms import DRAW, SEATS, Record, State, Wrong
from .values import Values, keeps, worked_out

MOST_INPUTS = 2_000
"""In one game of a drill."""


class Place:
    """Where a game stands after an answer, and what was found wrong with that."""

    def __init__(self, before: "Place | None", state: State) -> None:
        self.before, self.state = before, state
        self.depth: int = 0 if before is None else before.depth + 1
        self.outcome: str | None = None
        self.is_next = self.goes_on = self.is_gone_through = False
        self.each = ""
        """The class of the input before it, if that was wrong."""
        self.beginning: tuple[str, ...] = ()
        """What was keyed in so far, but for wrong input that changes nothing."""
        self.said: Any = None
        self.faults: list[str] = []
        self.after: list[tuple[str, str, Place]] = []
        """Each input that was keyed in here, its class or the move that it is, and where it led."""

    def stops(self, fault: str) -> bool:
        """Note a fault after which nobody can say how the game stands: False."""
        self.faults.append(fault)
        return False

    def earlier(self) -> Iterable["Place"]:
        """The places before it in its game."""
        here = self.before
        while here is not None:
            yield here
            here = here.before

    def comes_back(self) -> bool:
        """Whether play has come back to where the game stood before; from there it goes on as it did."""
        moved = self.before is not None and self.before.state != self.state
        return moved and any(place.state == self.state for place in self.earlier())

    def is_played_on(self) -> bool:
        """Whether a game without wrong input goes on here, as it has not done before."""
        is_right = self.each in ("", "after-end") and not any(place.each for place in self.earlier())
        return is_right and self.outcome is None and not self.comes_back()


class Conversations:
    """Answers of a program, replayed one after the other."""

    def __init__(self, header: Record) -> None:
        house = tomllib.loads(header["house_rules"]["text"])
        manner = tomllib.loads(header["conversation"]["text"]) if "conversation" in header else {}
        self.claim, self.most_wrong = header["claim"], header["wrong"]
        self.game = housed(header)
        self.talk = Talk(self.game, house, manner)
        self.at_once = house.get("next-game") == "at-once"
        self.value: Values = {} if self.claim == "never-loses" else worked_out(self.game)
        self.places: list[Place] = []
        self.begun: list[tuple[str, str, Place]] = []
        self.faults: list[str] = []
        self.said: dict[tuple[tuple[str, ...], str], Any] = {}
        self.shaken: list[str] = []
        """Answers that differ only after wrong input that should change nothing."""

    def replay(self, number: int, record: Record) -> None:
        """One more answer."""
        after = record["after"]
        if record["answer"] != len(self.places) + 1 or not 0 <= after <= len(self.places):
            raise Wrong(f"line {number}: answers are not numbered from 1, each after an earlier one")
        before = self.places[after - 1] if after else None
        if (before is None) != (record["typed"] is None):
            raise Wrong(f"line {number}: something is keyed in before each answer but the first of a game")
        if before and (before.is_next or not before.goes_on):
            raise Wrong(f"line {number}: the game cannot be played on from there")
        if before and before.depth >= MOST_INPUTS:
            raise Wrong(f"line {number}: so many inputs no game has; expected {MOST_INPUTS:,} at most")
        place = Place(before, before.state if before else self.game.start)
        kind = self.enter(place, record["typed"]) if before else ""
        place.said = moves, outcomes, texts = self.talk.heard(record["printed"])
        how, siblings = record["how"], before.after if before else self.begun
        if how != "ended" or place.each != "after-end":  # a program may go when a game is over
            is_clear = self.plays(place, moves) and self.ends(place, how) and self.tells(place, outcomes)
            if is_clear:
                self.answers(place, texts)
            if any(typed == record["typed"] and other.said != place.said for typed, _, other in siblings):
                place.faults.append("there are two answers to one line")
            self.faults += [f"In line {number} {fault}" for fault in place.faults[:1]]
            place.is_next |= self.at_once and place.outcome is not None
            place.goes_on = is_clear and not place.is_next and (how == "waits" or place.outcome is not None)
        self.places.append(place)
        siblings.append((record["typed"], kind, place))
        known = (
            self.said.setdefault((before.beginning, record["typed"]), place.said) if before else place.said
        )
        if known != place.said:
            self.shaken.append(
                f"In line {number} an answer is another one after wrong input that changes nothing"
            )

    def enter(self, place: Place, typed: str) -> str:
        """What an input does; its class, or the move that it is."""
        assert place.before is not None
        each, name = self.talk.classed(place.state, typed)
        place.each = each
        if each == "after-end":
            place.state, place.is_next = self.game.start, True
        elif not each:
            place.state = self.game.moves(place.state)[name]
        else:
            place.state = next(iter(self.game.charged(place.state, each).values()), place.state)
        changes_nothing = each not in ("", "after-end") and place.state == place.before.state
        place.beginning = place.before.beginning if changes_nothing else (*place.before.beginning, typed)
        self.look(place)
        return each or name

    def look(self, place: Place) -> None:
        """Note it where the game has ended."""
        ending = self.game.ending(place.state)
        if ending:
            sides = {SEATS[self.game.seat]: "machine-wins", DRAW: "draw"}
            place.outcome = sides.get(ending, "visitor-wins")

    # What is wrong is noted.  False where nobody can say any more how the game stands in the program.

    def plays(self, place: Place, moves: list[str]) -> bool:
        """The machine's moves, which are made here, too."""
        for name in moves:
            if self.game.ending(place.state) and self.at_once and not place.is_next:
                place.state, place.is_next = self.game.start, True
            legal = {} if self.game.ending(place.state) else self.game.moves(place.state)
            if self.game.mover(place.state) != self.game.seat or name not in legal:
                return place.stops(f"the machine plays {name}, where it may not")
            if self.claim != "never-loses" and not keeps(
                self.value, self.claim, self.game.seat, place.state, legal[name]
            ):
                place.faults.append(f"the machine plays {name}, and gives something away or wins too late")
            place.state = legal[name]
            self.look(place)
        if place.outcome == "visitor-wins" and self.claim == "never-loses":
            place.faults.append("the visitor wins")
        if not self.game.ending(place.state) and self.game.mover(place.state) == self.game.seat:
            return place.stops("the machine does not move")
        return True

    def ends(self, place: Place, how: str) -> bool:
        """How an answer ends: by waiting for input, or with the program."""
        if how in ("late", "flood"):
            return place.stops("the answer does not come, or does not end")
        if how != "waits" and (place.outcome is None or place.each == "after-end"):
            return place.stops("the program ends, and the game is not over")
        return True

    def tells(self, place: Place, outcomes: list[str]) -> bool:
        """The outcome that is told."""
        if place.each == "after-end":
            hasty = outcomes and place.said[0]
            return not hasty or place.stops("the next game has hardly begun, and an outcome is told")
        told, right = sorted(set(outcomes)), [] if place.outcome is None else [place.outcome]
        if told == right:
            return True
        place.faults.append(f"told is {told or 'no outcome'}; right is {right or 'none'}")
        return bool(told and right)

    def answers(self, place: Place, texts: list[str]) -> None:
        """The answer to wrong input."""
        if not place.each:
            if texts and place.outcome is None:
                place.faults.append("a legal move is answered as if it were none")
        elif place.before is not None and (place.each != "after-end" or self.most_wrong):
            due = self.talk.due(place.before.state, place.each)
            if (due and not due & set(texts)) or set(texts) - due:
                place.faults.append(
                    f"to input of the class {place.each} it says {texts}; due is {sorted(due)}"
                )

    # -- what was gone through ----------------------------------------------------------------------------

    def go_through(self) -> None:
        """Raise Wrong unless every line without wrong input is there, and wrong input after each beginning of one."""
        for place in reversed(self.places):
            place.is_gone_through = self.is_whole(place)
        if not self.begun or not all(place.is_gone_through for _, _, place in self.begun):
            raise Wrong("not every line of play without wrong input is there")
        if not self.most_wrong:
            return
        for place in self.places:
            if place.goes_on and place.is_played_on():
                missing = self.game.possible(place.state[0]) - self.led_on(place)
                if missing:
                    where = self.game.text(place.state)
                    raise Wrong(f"wrong input of the class {min(missing)} is not tried in {where}")

    def is_whole(self, place: Place) -> bool:
        """Whether every line of play that goes on from here is there."""
        if not place.goes_on or place.comes_back():
            return True
        if place.outcome is not None:
            return bool(place.after)
        moves = {name for name in self.game.moves(place.state) if not name.startswith("(")}
        return moves <= self.led_on(place)

    def led_on(self, place: Place) -> set[str]:
        """The moves, and the classes of wrong input, after which every line of play is there."""
        return {kind for _, kind, after in place.after if after.is_gone_through}
