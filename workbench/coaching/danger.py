"""What a wrong decision overlooks: what the visitor does next on the line that beats it, and the idea in a sentence."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from games.codes import UNFINISHED, Codes, win_of
from games.game import LineGame, with_lines
from solver.meanings import LooksAhead
from solver.proof import Decision, Proof
from solver.record import Ply, plies
from solver.sheet import lines as look
from solver.sheet.rules import Marked
from solver.sheet.weights import cells_in


class Danger(NamedTuple):
    """What comes after a wrong decision: said in a sentence, and the idea that would have prevented it."""

    said: str
    idea: str


AT_ONCE = "what the visitor can win with one more move comes before everything that you want yourself"
TWO_AT_ONCE = (
    "one threat can be stopped and two at once cannot, so a double threat has to be seen coming a move "
    "before it is there"
)
ONE_AFTER_ANOTHER = (
    "who must answer a threat has no time for anything else, so a row of threats can lead where a single "
    "one could not"
)
TOO_SHORT = "what lies beyond the plies that it looks ahead it cannot see, so it must look farther, or know the pattern"
FULL_LINES_LOSE = (
    "where a full line loses the last free cells are poison, so count early who will have to take them"
)
WIN_GIVEN = "a win that is at hand must not be put off, so look first for a move that leaves the visitor no good answer"
IN_GENERAL = "ask what the visitor can do after each of your moves, and not only what the move does for you"


def danger_after(proof: Proof, decision: Decision) -> Danger:
    """What the visitor does after the first losing decision."""
    assert proof.failure is not None
    if decision.move is None or decision.ply + 1 >= len(proof.failure.line.edges):
        return Danger("", IN_GENERAL)
    game = proof.walk.game
    line = plies(proof, proof.failure.line)
    visitor, end = line[decision.ply + 1].said(), line[-1].after
    if proof.claim != "never-loses" and not _visitor_wins(proof, end):
        return Danger(f"The visitor answers {visitor}, and what the machine had is gone.", WIN_GIVEN)
    if decision.ply + 2 == len(line) and _visitor_wins(proof, end):
        return Danger(f"The visitor then plays {visitor} and has won at once.", AT_ONCE)
    marks = with_lines(game.fair)
    if marks is not None and not getattr(marks, "misere", False):
        return _on_lines(proof, marks, line[decision.ply + 1 :])
    said = f"The visitor answers {visitor}, and from there on nothing that the machine can do helps any more."
    return Danger(said, _idea_without_lines(proof, decision, is_misere=marks is not None))


def _idea_without_lines(proof: Proof, decision: Decision, *, is_misere: bool) -> str:
    if is_misere:
        return FULL_LINES_LOSE
    rule = None if decision.rule is None else proof.walk.strategy.rules[decision.rule]
    return TOO_SHORT if rule is not None and isinstance(rule.meaning, LooksAhead) else IN_GENERAL


def _visitor_wins(proof: Proof, code: int) -> bool:
    game = proof.walk.game
    return bool(game.ending(np.array([code], dtype=np.uint64))[0] == win_of(game.visitor))


def _on_lines(proof: Proof, game: LineGame, rest: Sequence[Ply]) -> Danger:
    """The same where lines win: by the first of the visitor's plies with which two threats are there.

    rest: the line from the visitor's answer on.
    """
    answer = rest[0].said()
    for number, ply in enumerate(rest):
        threats = [] if ply.by_machine else _threats(proof, game, ply.after)
        if len(threats) < 2:
            continue
        two = (
            f"two cells complete a line then, {' and '.join(threats[:2])}, and the machine can take only one"
        )
        if not number:
            return Danger(f"The visitor then plays {answer}: {two}.", TWO_AT_ONCE)
        return Danger(
            f"The visitor answers {answer} and gives the machine no rest; with {ply.said()} {two}.",
            ONE_AFTER_ANOTHER,
        )
    return Danger(f"The visitor answers {answer}, and from there on nothing helps any more.", IN_GENERAL)


def _threats(proof: Proof, game: LineGame, code: int) -> list[str]:
    """The cells that complete a line of the visitor's and can be taken at once."""
    housed = proof.walk.game
    codes = housed.fair_codes(np.array([code], dtype=np.uint64))
    if game.ending(codes)[0] != UNFINISHED:
        return []
    seen = Marked.of(game, codes, housed.seat)
    cells = look.threat_cells(game.lines, seen.visitors, seen.free)
    return [game.board.names[cell] for cell in cells_in(int(cells[0])) if _can_be_taken(game, codes, cell)]


def _can_be_taken(game: LineGame, codes: Codes, cell: int) -> bool:
    return len(game.moves_onto(codes, np.array([1 << cell], dtype=np.uint64))[1]) > 0


def _as_sets(cells: Sequence[int]) -> Codes:
    """Cells as a set, for one board."""
    return np.array([sum(1 << cell for cell in cells)], dtype=np.uint64)


def in_common(proof: Proof, decision: Decision) -> str:
    """What all good moves have in common that a bad one has not, in words that do not name them; else nothing."""
    game = with_lines(proof.walk.game.fair)
    if game is None or not decision.better:
        return ""
    codes = proof.walk.game.fair_codes(proof.walk.graph.codes[decision.place : decision.place + 1])
    seen = Marked.of(game, codes, proof.walk.game.seat)
    groups = game.board.groups()
    kinds = (
        (
            ("it completes a line", "they complete a line"),
            look.threat_cells(game.lines, seen.mine, seen.free),
        ),
        (
            ("it takes what the visitor needs", "they take what the visitor needs"),
            look.threat_cells(game.lines, seen.visitors, seen.free),
        ),
        (
            ("it makes a threat", "they make a threat"),
            look.threatening_cells(game.lines, seen.mine, seen.free),
        ),
        (
            ("it leaves the visitor no double threat", "they leave the visitor no double threat"),
            look.clearing_cells(game.lines, seen.visitors, seen.free, game.board.size),
        ),
        (("it lies in the middle", "they lie in the middle"), _as_sets(groups["centre"])),
        (("it is a corner", "they are corners"), _as_sets(groups["corners"])),
        (
            ("it lies on the rim and is no corner", "they lie on the rim and are no corners"),
            _as_sets(groups["edges"]),
        ),
    )
    legal = proof.walk.game.moves(proof.walk.graph.codes[decision.place : decision.place + 1]).move.tolist()
    good, bad = set(decision.better), set(legal) - set(decision.better)
    for said, cells in kinds:
        moves = set(game.moves_onto(codes, cells)[1].tolist())
        if good <= moves and bad - moves:
            return said[len(good) > 1]
    return ""
