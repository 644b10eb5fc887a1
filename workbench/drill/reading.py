"""What a program has said: its moves, outcomes and answers to wrong input, found in ordinary output.

Every line is searched for the texts that are known, the longest first.  Where the file does not say how moves and
outcomes are told, and the house rules' own words are not there either, other usual wordings are tried.
"""

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from games.house import CLOSE, HouseRules
from workbench.drill.manner import MOVE, OUTCOMES, Manner

MOVES, SAYS = "moves", "says"

_USUAL_WORDS = {
    "draw": re.compile(r"\b(DRAW|DRAWN|TIE|TIED|STALEMATE)\b"),
    "visitor-wins": re.compile(
        r"\b(YOU|VISITOR|PLAYER|HUMAN)( HAVE| HAS)? (WIN|WINS|WON)\b"
        r"|\b(I|COMPUTER|MACHINE)( HAVE| HAS)? (LOSE|LOSES|LOST)\b"
    ),
    "machine-wins": re.compile(
        r"\b(I|MACHINE|COMPUTER|PROGRAM)( HAVE| HAS)? (WIN|WINS|WON)\b|\bYOU( HAVE)? (LOSE|LOST)\b(?! (YOUR|A|THE) )"
    ),
}
"""Outcomes in other words, tried in this order where the known texts are not found.  Common practice."""


class Piece(NamedTuple):
    """A line of output and how it was understood: what it is, in words; nothing for what was passed over."""

    line: str
    meaning: str


class Said(NamedTuple):
    """What one answer says.

    moves: the machine's, by number.  outcomes: by name.  texts: known answers to wrong input.  pieces: line by line.
    """

    moves: tuple[int, ...]
    outcomes: tuple[str, ...]
    texts: tuple[str, ...]
    pieces: tuple[Piece, ...]


class Reader:
    """Reads the output of a program that converses in some manner."""

    def __init__(self, manner: Manner, house: HouseRules) -> None:
        self._numbers = {name.upper(): number for number, name in enumerate(manner.names)}
        self._outcomes = {folded(text): name for name in OUTCOMES for text in manner.outcomes[name]}
        self._open = [name for name in OUTCOMES if name not in manner.outcomes_told]
        answers = [*manner.answers.values(), *manner.forgiven.values()]
        said = [text for rule in house.rules for text in (rule.say, rule.say_forgiven)]
        self._texts = {folded(text) for text in (*said, *(text for texts in answers for text in texts))} - {
            ""
        }
        self._asks = {folded(text) for text in manner.waits} - set(self._outcomes)
        self._pattern = _pattern(
            [*self._outcomes, *self._texts, *self._asks], manner, close=house.layout == CLOSE
        )

    def ends_game(self, text: str) -> bool:
        """Whether output tells an outcome."""
        return bool(self.read(text).outcomes)

    def knows(self, text: str) -> str:
        """A text as it stands among those of `Said.texts`."""
        return folded(text)

    def read(self, text: str) -> Said:
        """What some output says."""
        found = [list(self._in_line(line)) for line in text.splitlines()]
        told = [each for line in found for each in line]
        if not any(kind == MOVES for kind, _ in told):
            self._add_moves(text.splitlines(), found)
        if not any(what in OUTCOMES for _, what in told):
            self._add_outcomes(text.splitlines(), found)
        told = [each for line in found for each in line]
        return Said(
            tuple(self._numbers[what] for kind, what in told if kind == MOVES),
            tuple(what for kind, what in told if kind == SAYS and what in OUTCOMES),
            tuple(what for kind, what in told if kind == SAYS and what in self._texts),
            tuple(
                Piece(line, "; ".join(map(self._in_words, here)))
                for line, here in zip(text.splitlines(), found, strict=True)
                if line.strip()
            ),
        )

    def _in_line(self, line: str) -> Iterator[tuple[str, str]]:
        for match in self._pattern.finditer(folded(line)):
            if match.lastgroup is not None:
                yield MOVES, match[match.lastgroup]
                continue
            text = match[0]
            yield SAYS, self._outcomes.get(text, text)

    def _in_words(self, found: tuple[str, str]) -> str:
        kind, what = found
        if kind == MOVES:
            return f"the machine plays {what.lower()}"
        if what in OUTCOMES:
            return {"machine-wins": "the machine wins", "visitor-wins": "the visitor wins"}.get(
                what, "a draw"
            )
        return "asks" if what in self._asks and what not in self._texts else "answers wrong input"

    def _add_moves(self, lines: Sequence[str], found: list[list[tuple[str, str]]]) -> None:
        """Moves in other words: lines with one name in which nothing else was found; with words before without."""
        plain = {
            place: name
            for place, line in enumerate(lines)
            if not found[place] and (name := self._only_name(folded(line))) is not None
        }
        with_words = {
            place: name for place, name in plain.items() if re.search(r"[A-Z]{2}", folded(lines[place]))
        }
        for place, name in (with_words or plain).items():
            found[place].append((MOVES, name))

    def _only_name(self, line: str) -> str | None:
        """The one name of a move in a line; None where it looks like a row of a board or speaks of the visitor."""
        words = re.findall(r"[A-Z0-9]+(?:-[A-Z0-9]+)*", line)
        names: list[str] = [word for word in words if word in self._numbers]
        others = [word for word in words if word not in self._numbers]
        is_row = bool(others) and not any(re.search(r"[A-Z]{2}", word) for word in others)
        if len(names) != 1 or is_row or re.search(r"[|+_#]", line) or {"YOU", "YOUR"} & set(words):
            return None
        return names[0]

    def _add_outcomes(self, lines: Sequence[str], found: list[list[tuple[str, str]]]) -> None:
        """Outcomes in other words, for those of which the file says nothing."""
        for place, line in enumerate(lines):
            if not any(kind == SAYS for kind, _ in found[place]):
                name = next((name for name in self._open if _USUAL_WORDS[name].search(folded(line))), None)
                if name is not None:
                    found[place].append((SAYS, name))


def folded(text: str) -> str:
    """Capitals, single spaces: what is compared."""
    return " ".join(text.upper().split())


def _pattern(texts: Sequence[str], manner: Manner, *, close: bool) -> re.Pattern[str]:
    """Any known text, and any telling of a move; the longest first.  In close printing words need no bounds."""
    names = "|".join(re.escape(name.upper()) for name in sorted(manner.names, key=len, reverse=True))
    choices: list[tuple[int, str]] = [
        (len(text), _bounded(re.escape(text), text, close=close)) for text in {*texts} if text
    ]
    for number, told in enumerate(manner.moves):
        before, after = (folded(part) for part in told.split(MOVE))
        spaced = " ?" if before or after else ""
        core = (
            f"{re.escape(before)}{spaced}(?P<move{number}>{names}){spaced if after else ''}{re.escape(after)}"
        )
        if not before and not after and not close:
            core = f"^{core}$"  # a bare name counts only where nothing else stands in the line
        choices.append((len(before + after), _bounded(core, before or "0", close=close)))
    ordered = sorted(choices, key=lambda each: (-each[0], each[1]))
    return re.compile("|".join(choice for _, choice in ordered))


def _bounded(core: str, text: str, *, close: bool) -> str:
    """A text that is no part of a longer word, where words are kept apart."""
    if close:
        return core
    before = r"(?<![A-Z0-9])" if text[:1].isalnum() else ""
    after = r"(?![A-Z0-9])" if text[-1:].isalnum() or "?P<move" in core else ""
    return f"{before}{core}{after}"
