"""Evidence of a proof: JSON Lines that `workbench.evidence.checker` checks by itself.

The first line says what is claimed about what, with the texts of the game and the house rules and their digests; then
comes a line for every position that the machine answers, or for every ply of the line that refutes the claim, and last
a digest of all that.  docs/evidence.md describes every key.
"""

import hashlib
import json
import tomllib
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import numpy as np

from games.codes import DRAW, FIRST_WINS, PLAYERS, SECOND_WINS, UNFINISHED, Codes, by_parent
from games.game import scored
from games.house import house_text
from games.housed import HousedGame
from games.load import game_text, is_program
from games.problems import bad
from solver.claims import worth
from solver.graph import TooLarge, explore
from solver.load import Written
from solver.proof import ILLEGAL_ANSWER, PROVED, Proof
from solver.values import sure_results
from solver.walk import choices
from workbench.evidence.checker.house_rules import FAMILIES

MOST_LISTED = 50_000
"""Positions of a game that is listed move by move."""
_ENDINGS = {FIRST_WINS: PLAYERS[0], SECOND_WINS: PLAYERS[1], DRAW: "draw"}

Record = dict[str, Any]


def evidence_of(proof: Proof, written: Written) -> str:
    """The evidence for what a proof says about a strategy that was read from a file, as JSON Lines.

    Raises BadInput where no evidence of such a game can be written.
    """
    return sealed(records_of(proof, written, {"of": "proof"}))


def sealed(records: Iterable[Record]) -> str:
    """Lines with their number and digest at the end."""
    lines = [json.dumps(record) + "\n" for record in records]
    body = "".join(lines)
    end = {"end": len(lines) + 1, "sha256": hashlib.sha256(body.encode()).hexdigest()}
    return body + json.dumps(end) + "\n"


def knows(game_name: str) -> bool:
    """Whether the checker knows the family of a game, which is named as users do."""
    return not is_program(game_name) and tomllib.loads(game_text(game_name)).get("family") in FAMILIES


def records_of(proof: Proof, written: Written, what: Record) -> Iterator[Record]:
    """The lines for a strategy that was read from a file, a header first; what: what the evidence is of."""
    yield {
        **header_of(proof.walk.game, proof.claim, written.game_name, written.house_rules, what),
        "verdict": proof.verdict,
        "strategy": {
            "name": Path(written.file).name,
            "sha256": hashlib.sha256(Path(written.file).read_bytes()).hexdigest(),
        },
        **_failure(proof),
    }
    yield from body_of(proof, written.game_name)


def header_of(game: HousedGame, claim: str, game_name: str, house_name: str, what: Record) -> Record:
    """What every header begins with: what is claimed about which game.  Raises BadInput for a game of scores."""
    if scored(game) is not None:
        raise bad(f"{game.name} is played for a score, and of such games no evidence is written yet")
    return {
        "evidence": 1,
        **what,
        "claim": claim,
        "seat": PLAYERS[game.seat],
        "game": bound(game.name, game_text(game_name), with_text=knows(game_name)),
        "house_rules": bound(game.house.name, house_text(house_name)),
    }


def body_of(proof: Proof, game_name: str) -> Iterator[Record]:
    """What a proof rests on, line by line."""
    known = knows(game_name)
    if not known:
        yield from _listed(proof)
    text = proof.walk.game.text if known else _Listing(proof).text
    if proof.verdict == PROVED:
        yield from _answers(proof)
    elif proof.failure is not None:
        yield from _plies(proof, text)


def _failure(proof: Proof) -> Record:
    """What a header says of a refutation."""
    told: Record = {}
    if proof.failure is not None:
        failure = proof.failure
        told["loop_from"] = failure.line.loop
        told["decision"] = None if failure.decision is None or failure.is_endless else failure.decision + 1
    if proof.verdict == ILLEGAL_ANSWER:
        decision = proof.decision()
        assert decision is not None
        assert decision.move is not None
        told["answer"] = proof.walk.game.move_names[decision.move]
    return told


def bound(name: str, text: str, *, with_text: bool = True) -> dict[str, str]:
    """A text bound by its digest."""
    digest = {"name": name, "sha256": hashlib.sha256(text.encode()).hexdigest()}
    return {**digest, "text": text} if with_text else digest


def _answers(proof: Proof) -> Iterator[Record]:
    """What the machine may play wherever it comes to move, and for won positions how far the win may be."""
    walk = proof.walk
    graph, game = walk.graph, walk.game
    sure = sure_results(graph, game.visitor)
    won = worth(sure.value, game.seat) == 2
    for place in np.flatnonzero(walk.machine).tolist():
        moves = [game.move_names[move] for move in choices(walk, place)]
        rank = {"rank": int(sure.distance[place])} if won[place] else {}
        yield {"position": game.text(int(graph.codes[place])), "answers": moves, **rank}


def _plies(proof: Proof, text: Any) -> Iterator[Record]:
    """The line that refutes the claim."""
    assert proof.failure is not None
    graph, game = proof.walk.graph, proof.walk.game
    for number, edge in enumerate(proof.failure.line.edges, 1):
        by_machine = int(graph.mover[graph.parent[edge]]) == game.seat
        yield {
            "ply": number,
            "by": "machine" if by_machine else "visitor",
            "move": game.move_names[int(graph.move[edge])],
            "position": text(int(graph.codes[graph.child[edge]])),
        }


# Games that the checker does not know ---------------------------------------------------------------------


class _Listing:
    """Positions of a game with its house rules as the listing calls them."""

    def __init__(self, proof: Proof) -> None:
        self.game = proof.walk.game

    def text(self, code: int) -> str:
        """A position; one that a house rule has lost looks like the one before, and is told apart."""
        lost = self.game.ending(np.array([code], dtype=np.uint64))[0] != UNFINISHED
        fair = self.game.fair_codes(np.array([code], dtype=np.uint64))
        by_rule = lost and self.game.fair.ending(fair)[0] == UNFINISHED
        return self.game.text(code) + (" lost by a house rule" if by_rule else "")

    def named(self, codes: Codes) -> list[list[str]]:
        """Positions with whose turn it is."""
        movers = self.game.mover(codes).tolist()
        return [[self.text(code), PLAYERS[mover]] for code, mover in zip(codes.tolist(), movers, strict=True)]


def _listed(proof: Proof) -> Iterator[Record]:
    """Every position that the checker comes to, the start first, with its legal moves or its ending."""
    game, listing = proof.walk.game, _Listing(proof)
    codes = proof.walk.graph.codes
    if proof.claim != "never-loses":
        try:
            codes = explore(game, limit=MOST_LISTED).codes
        except TooLarge:
            raise bad(
                f"{game.name} has more than {MOST_LISTED:,} positions, too many to be listed in evidence; "
                "expected a smaller game, or the claim never-loses"
            ) from None
    rest = codes[codes != np.uint64(game.start)]
    codes = np.concatenate([np.array([game.start], dtype=np.uint64), rest])
    endings = game.ending(codes)
    moves = by_parent(game.moves(codes[endings == UNFINISHED]))
    children = listing.named(moves.child)
    at = np.searchsorted(moves.parent, np.arange(len(codes) + 1))
    open_place = 0
    for (text, turn), ending in zip(listing.named(codes), endings.tolist(), strict=True):
        if ending != UNFINISHED:
            yield {"listed": text, "turn": turn, "ending": _ENDINGS[ending]}
            continue
        some = range(at[open_place], at[open_place + 1])
        open_place += 1
        yield {
            "listed": text,
            "turn": turn,
            "moves": {game.move_names[int(moves.move[each])]: children[each] for each in some},
        }
