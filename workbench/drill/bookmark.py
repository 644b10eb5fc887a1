"""Where a drill that was broken off stands, in a file: what was found, and the last line that was keyed in.

Lines come in a fixed order, so what was keyed in before that line need not be keyed in again.
"""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from games.house import house_digest
from games.load import game_digest
from games.tomlfile import read_text
from workbench.drill.drilling import Drill
from workbench.drill.faults import Fault, Ply, Step
from workbench.drill.mark import Mark, digest_of
from workbench.drill.reading import Piece
from workbench.drill.round import Round
from workbench.drill.rules import Entry

KIND = "drill-bookmark"


def request_digest(
    command: Sequence[str], game: str, seat: str, claim: str, house_rules: str, conversation: str | None
) -> str:
    """A name for what is drilled, and against what: SHA-256 in hexadecimal, of the program's files too."""
    asked = [*command, seat, claim, game_digest(game), house_digest(house_rules)]
    asked.append("" if conversation is None else read_text(conversation))
    files = [Path(word).read_bytes() for word in command if Path(word).is_file()]
    return digest_of([*(part.encode() for part in asked), *files])


class Bookmark:
    """The file in which a drill is marked, for one request."""

    def __init__(self, file: str, request: str) -> None:
        self._mark = Mark(file, KIND, request)

    def restore(self, played: Drill) -> None:
        """Take up a drill again, if there is a mark.  Raises BadInput where the file is another's, or damaged."""

        def take(mark: Mapping[str, Any]) -> None:
            played.rounds = [Round(**each) for each in mark["rounds"]]
            played.skip = tuple(bytes.fromhex(typed) for typed in mark["last_line"])
            played.finals.update(mark["finals"])
            played.mark_bad(tuple(bytes.fromhex(typed) for typed in line) for line in mark["bad"])
            for fault in mark["faults"]:
                played.ledger.put(_fault(fault))
            played.given_up = mark["given_up"]

        self._mark.taken_up(take)

    def keep(self, played: Drill) -> None:
        """Mark where a drill stands; the mark is taken away once all is gone through."""
        self._mark.keep(
            {
                "rounds": [each._asdict() for each in played.rounds],
                "last_line": [typed.hex() for typed in played.last_line or played.skip],
                "finals": sorted(played.finals),
                "bad": sorted([typed.hex() for typed in line] for line in played.bad),
                "faults": [_as_data(fault) for fault in played.ledger.faults()],
                "given_up": played.given_up,
            }
        )

    def take_away(self) -> None:
        """Nothing is left to be done."""
        self._mark.take_away()


def _as_data(fault: Fault) -> dict[str, Any]:
    steps = [
        {
            "entry": None if step.entry is None else [step.entry.typed.hex(), *step.entry[1:]],
            "pieces": [list(piece) for piece in step.pieces],
            "plies": [list(ply) for ply in step.plies],
            "how": step.how,
        }
        for step in fault.line
    ]
    return {**fault._asdict(), "line": steps}


def _fault(data: dict[str, Any]) -> Fault:
    line = tuple(
        Step(
            None if step["entry"] is None else Entry(bytes.fromhex(step["entry"][0]), *step["entry"][1:]),
            tuple(Piece(*piece) for piece in step["pieces"]),
            tuple(Ply(*ply) for ply in step["plies"]),
            step["how"],
        )
        for step in data["line"]
    )
    return Fault(**{**data, "line": line})
