"""A program judged: drilled as `wordtight drill` does it, and everything that it was heard to play beside the truth."""

from fractions import Fraction

import numpy as np

from games.codes import PLAYERS
from games.housed import HousedGame
from games.inputs import LEGAL, classes_of
from workbench.drill.asked import Asked, make_ready
from workbench.drill.faults import (
    CLAIM_FAILS,
    EARLY_VERDICT,
    IN_WORDS,
    PLAY,
    VERDICTS,
    WRONG_MESSAGE,
    Fault,
    Ply,
)
from workbench.drill.report import Found, drill
from workbench.drill.tell import transcript
from workbench.grading.attempts import Attempt
from workbench.grading.ground import ground
from workbench.grading.listening import ListeningJudge
from workbench.grading.marking import judged_row
from workbench.grading.play import play_heard
from workbench.grading.request import Request, made_ready
from workbench.grading.row import Decision, Fit, Line, Mishandled, Positions, Row
from workbench.grading.rubric import CLAIM, FITS, WRONG_INPUT, in_tenths, points

GAMES = 200
"""Games that are played at random where there was no time for every line without wrong input."""
NOT_SIZED = "a program in a language of its own is not put into the machine's orders"
_OF_PLAY = ("", LEGAL)
"""The classes of input at which a fault is one of play, and not of how wrong input is answered."""


def judge_program(request: Request, attempt: Attempt, seat: str) -> Row:
    """A program in a seat.  Raises BadInput where it cannot be started, or its game cannot be drilled."""
    asked = make_ready(request.game, seat, request.claim, request.house_rules, attempt.conversation)
    listening = ListeningJudge(asked.judge)
    found = drill(
        asked._replace(judge=listening),
        attempt.command,
        wrong=request.wrong,
        seconds=request.seconds,
        games=GAMES,
    )
    holds = found.rounds[0].is_whole and not found.broken_off and all(map(_is_no_fault_of_play, found.faults))
    tried = any(each.wrong and each.lines for each in found.rounds)
    wrong = _mishandled(found) if tried else None
    row = Row(
        attempt.name,
        attempt.kind,
        seat,
        found.verdict,
        holds=holds,
        reason=_reason(found),
        line=_line(found, asked),
        decision=_decision(found, asked),
        wrong_input=wrong,
        fit=None if request.machine is None else Fit(None, None, None, None, NOT_SIZED),
    )
    parts = {CLAIM: Fraction(holds), WRONG_INPUT: _well_answered(wrong, asked.game), FITS: None}
    shared = ground(request.game, request.house_rules, PLAYERS.index(seat))
    if not listening.heard:
        earned = points(made_ready(request).rubric, parts, Fraction(0), None, ())
        return row._replace(met=Positions(0, 0, "0", in_tenths(earned.met)), seat_is_lost=shared.is_lost)
    play = play_heard(shared.game, shared.solved, listening.heard, shared.facts)
    return judged_row(request, shared, play, row, parts)


def _is_no_fault_of_play(fault: Fault) -> bool:
    """Whether a fault leaves the lines of play as they are: wrong input, and what is said at the end."""
    if fault.kind not in _OF_PLAY:
        return True
    return fault.battery == VERDICTS and fault.cause != EARLY_VERDICT


def _mishandled(found: Found) -> tuple[Mishandled, ...]:
    """The classes of wrong input at which something was found, each with its shortest line."""
    first: dict[str, Fault] = {}
    for fault in found.faults:
        if fault.kind not in _OF_PLAY:
            first.setdefault(fault.kind, fault)
    return tuple(Mishandled(kind, _what_happens(fault), _keyed(fault)) for kind, fault in first.items())


def _what_happens(fault: Fault) -> str:
    """A fault in words; that an answer is wrong need not be told before the answer itself."""
    return fault.detail if fault.cause == WRONG_MESSAGE else f"{IN_WORDS[fault.cause]}: {fault.detail}"


def _keyed(fault: Fault) -> tuple[str, ...]:
    return tuple(step.entry.shown for step in fault.line if step.entry is not None)


def _well_answered(wrong: tuple[Mishandled, ...] | None, game: HousedGame) -> Fraction | None:
    """The share of the classes of wrong input that are answered as they should be."""
    if wrong is None:
        return None
    can_be = game.possible(np.array([game.start], dtype=np.uint64))
    never = {name for name in ("too-long", "empty", "off-board") if not can_be[name].any()}
    classes = [name for name in classes_of(game.fair) if name not in never]
    return 1 - Fraction(min(len(wrong), len(classes)), len(classes))


def _reason(found: Found) -> str:
    """What is wrong besides play, or why not everything was gone through."""
    if found.faults:
        fault = found.faults[0]
        return f"{IN_WORDS[fault.cause]}: {fault.detail}"
    return "" if found.rounds[-1].is_whole else "there was no time for all lines"


def _shown(found: Found) -> Fault | None:
    """The fault that is shown: the shortest of play, else the first of all."""
    of_play = (fault for fault in found.faults if fault.battery == PLAY)
    return next(of_play, next(iter(found.faults), None))


def _line(found: Found, asked: Asked) -> Line | None:
    fault = _shown(found)
    if fault is None:
        return None
    game = asked.game
    moves = tuple(_move(game, ply) for ply in fault.plies)
    said = tuple(
        f"{'machine' if ply.by_machine else 'visitor'} {game.move_names[move]}"
        for ply, move in zip(fault.plies, moves, strict=True)
    )
    return Line(moves, said, _decision_ply(fault, asked), None, fault.detail, tuple(transcript(fault.line)))


def _move(game: HousedGame, ply: Ply) -> int:
    """The number of a ply's move in the game with its house rules: wrong input is told by where it leads."""
    moves = game.moves(np.array([ply.before], dtype=np.uint64))
    if ply.move < game.fair_moves:
        return ply.move
    return int(moves.move[(moves.child == ply.after) & (moves.move >= game.fair_moves)][0])


def _decision_ply(fault: Fault, asked: Asked) -> int | None:
    if fault.cause != CLAIM_FAILS:
        return None
    return asked.judge.worth.decision(asked.judge.claim, fault.plies)


def _decision(found: Found, asked: Asked) -> Decision | None:
    fault = _shown(found)
    place = None if fault is None else _decision_ply(fault, asked)
    if fault is None or place is None:
        return None
    ply, judge = fault.plies[place], asked.judge
    better = judge.worth.better_moves(judge.claim, ply.before, judge.rules.spot(ply.before).moves)
    names = asked.game.move_names
    return Decision(
        place + 1,
        asked.game.text(ply.before),
        names[ply.move],
        (0, ""),
        tuple(names[move] for move in better),
    )
