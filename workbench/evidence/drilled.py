"""Evidence of a drill: what an outside program has printed after each input, once for each beginning."""

import hashlib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from games.problems import bad
from games.tomlfile import read_text
from workbench.drill.asked import Asked
from workbench.drill.faults import Step
from workbench.drill.report import Found, shown_command
from workbench.evidence.checker.conversations import Conversations
from workbench.evidence.writing import Record, bound, header_of, knows, sealed

MOST_ANSWERS = 300_000
"""Answers that are written down; a file of so many has some thirty megabytes."""


class Transcripts:
    """Hears lines of play, keeps each answer once, after the answer that came before it, and writes them down."""

    def __init__(
        self, asked: Asked, game_name: str, house_name: str, conversation: str | None, wrong: int
    ) -> None:
        """Names as the user gives them; wrong: inputs in a line.

        Raises BadInput where the checker does not know the rules of the game, for it has to play it by itself.
        """
        if not knows(game_name):
            raise bad(
                "the checker does not know its rules; expected a game of marks, steps or advance", game_name
            )
        self._asked = asked
        self._header = header_of(asked.game, asked.judge.claim, game_name, house_name, {"of": "drill"})
        if conversation is not None:
            self._header["conversation"] = bound(Path(conversation).name, read_text(conversation))
        self._header["wrong"] = wrong
        self._answers: list[Record] = []
        self._meanings: list[str] = []
        """What the drill understood of each answer, in words."""
        self._left_out = False
        self._known: dict[Any, int] = {}

    def hear(self, line: Sequence[Step]) -> None:
        """A line of play: how the game began, and each input with its answer."""
        after = 0
        for step in line:
            typed = None if step.entry is None else self._typed(step.entry.typed)
            printed = tuple(piece.line for piece in step.pieces)
            key = (after, typed, printed, step.how)
            if key not in self._known:
                if len(self._answers) >= MOST_ANSWERS:
                    self._left_out = True
                    return
                self._known[key] = len(self._answers) + 1
                told = {"after": after, "typed": typed, "printed": list(printed), "how": step.how}
                self._answers.append({"answer": self._known[key], **told})
                self._meanings.append("; ".join(piece.meaning for piece in step.pieces))
            after = self._known[key]

    def _typed(self, typed: bytes) -> str:
        return typed.removesuffix(self._asked.manner.line_end).decode()

    def evidence(self, found: Found, command: Sequence[str]) -> str:
        """The evidence for what a drill of a command has found, as JSON Lines."""
        files = [Path(word) for word in command if Path(word).is_file()]
        header = {
            **self._header,
            "verdict": found.verdict,
            "program": shown_command(command),
            "files": [
                {"name": file.name, "sha256": hashlib.sha256(file.read_bytes()).hexdigest()} for file in files
            ],
            "left_out": self._left_out,
            "own_words": self._has_own_words(),
        }
        return sealed([header, *self._answers])

    def _has_own_words(self) -> bool:
        """Whether the drill understood words that neither house rules nor conversation file have."""
        try:
            talk = Conversations(self._header).talk
        except ValueError:  # a conversation file names the moves, and the checker knows more of them
            return True
        for answer, meaning in zip(self._answers, self._meanings, strict=True):
            moves, outcomes, _ = talk.heard(answer["printed"])
            parts = meaning.split("; ")
            told = sum(part.startswith("the machine plays ") for part in parts)
            ends = sum(part in ("the machine wins", "the visitor wins", "a draw") for part in parts)
            if (told, ends) != (len(moves), len(outcomes)):
                return True
        return False
