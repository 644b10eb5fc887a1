"""What a stand's log says, one line an event: written as JSON, read back, and every mistake told with its line."""

import json
from typing import Any, NamedTuple

from games.problems import BadInput, bad

OPENED, BEGUN, ENTERED, LEFT, GONE_ON, DROPPED, ALIVE, CLOSED = (
    "opened", "begun", "entered", "left", "gone-on", "dropped", "alive", "closed",
)  # fmt: skip
"""Events: the stand was opened; a game was begun; an input was entered; its visitor went away, or the attendant
ended it; an interrupted game was gone on with, or was not; a minute without any event; the stand was closed."""
KINDS = (OPENED, BEGUN, ENTERED, LEFT, GONE_ON, DROPPED, ALIVE, CLOSED)
MOVED, NOTHING = "move", "nothing"
"""What an input can come to, besides what the house rules charge for it."""
_OF_A_GAME = (BEGUN, ENTERED, LEFT, GONE_ON, DROPPED)


class Event(NamedTuple):
    """One line of the log.

    game: its number, from 1 (0 for events of no game); ply: how many plies had been made before; text: the input, as
    latin-1; input_class, effect, answers, result: as in `workbench.stand.course.Step`.
    at: date and time, UTC; up: seconds since the stand was opened.
    """

    kind: str
    game: int = 0
    ply: int = 0
    text: str = ""
    input_class: str = ""
    effect: str = ""
    answers: tuple[str, ...] = ()
    result: str = ""
    at: str = ""
    up: float = 0.0

    def as_json(self) -> dict[str, Any]:
        """The keys of its line."""
        told: dict[str, Any] = {"event": self.kind}
        if self.kind in _OF_A_GAME:
            told["game"] = self.game
        if self.kind == ENTERED:
            told |= {
                "ply": self.ply, "input": self.text, "class": self.input_class, "effect": self.effect,
            }  # fmt: skip
        if self.kind in (BEGUN, ENTERED):
            told |= {"answers": list(self.answers), "result": self.result}
        return told | {"at": self.at, "up": self.up}


def line_of(told: dict[str, Any]) -> bytes:
    """One JSON object as a line of the log: ASCII, with a line end."""
    return json.dumps(told, separators=(", ", ": ")).encode("ascii") + b"\n"


def object_in(line: bytes) -> dict[str, Any] | None:
    """The JSON object that a line holds; None where it holds none, as where a power cut has torn it."""
    try:
        told = json.loads(line)
    except (ValueError, RecursionError):
        return None
    return told if isinstance(told, dict) else None


_LIKE: dict[str, object] = {
    "game": 1, "ply": 0, "input": "", "class": "", "effect": "", "answers": [""], "result": "", "at": "", "up": 0.0,
}  # fmt: skip
"""A value of the right kind for each key."""


def event_in(told: dict[str, Any], file: str, line: int) -> Event:
    """The event that an object of the log tells.  Raises BadInput where it is none."""
    kind = told.get("event")
    if kind not in KINDS:
        raise bad(f"expected an event of a stand's log ({', '.join(KINDS)}), not {kind!r}", file, line)
    wanted = Event(kind).as_json()
    for key in wanted:
        if key != "event" and not (_is_like(told.get(key), _LIKE[key]) and _can_be_told(told[key], key)):
            raise _wrong(key, told, kind, file, line)
    return Event(
        kind,
        told.get("game", 0),
        told.get("ply", 0),
        told.get("input", ""),
        told.get("class", ""),
        told.get("effect", ""),
        tuple(told.get("answers", ())),
        told.get("result", ""),
        told["at"],
        float(told["up"]),
    )


def _is_like(value: Any, like: object) -> bool:
    if isinstance(like, list):
        return isinstance(value, list) and all(isinstance(each, str) for each in value)
    if isinstance(like, str):
        return isinstance(value, str)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    return 0 <= value < 1e9 and (isinstance(like, float) or isinstance(value, int))


def _can_be_told(value: Any, key: str) -> bool:
    """Whether texts hold nothing that would steer a terminal; an input is any bytes, as latin-1."""
    if key == "input":
        return all(ord(sign) < 256 for sign in value)
    texts = value if isinstance(value, list) else [value] if isinstance(value, str) else []
    return all(text.isascii() and (text.isprintable() or not text) for text in texts)


def _wrong(key: str, told: dict[str, Any], kind: str, file: str, line: int) -> BadInput:
    kinds = {str: "a text", list: "a list of moves", int: "a whole number", float: "a number of seconds"}
    return bad(
        f"expected {kinds[type(_LIKE[key])]} as '{key}' of '{kind}', not {told.get(key)!r}", file, line
    )
