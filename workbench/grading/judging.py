"""One attempt judged: the function that is sent to other processes, and never fails because of what was handed in."""

import os
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path

import numpy as np

from games.codes import PLAYERS
from games.game import scored
from games.problems import BadInput
from solver.graph import TooLarge
from solver.load import Written, load_strategy
from solver.played import WORTHS
from solver.proof import PROVED, Known, Proof
from solver.record import plies
from solver.run import TooMuchMemory
from workbench.grading.attempts import PROGRAM, UNKNOWN, Attempt
from workbench.grading.fitting import fit_of
from workbench.grading.ground import Ground, ground
from workbench.grading.handed_in import why_not_known
from workbench.grading.mistakes import Mistake, mistakes_of
from workbench.grading.play import Play
from workbench.grading.request import Request, made_ready
from workbench.grading.row import (
    BROKEN,
    TOO_LONG,
    UNUSABLE,
    Decision,
    Given,
    Line,
    Mishandled,
    Positions,
    Row,
    Told,
)
from workbench.grading.rubric import CLAIM, FITS, WRONG_INPUT, credit_in, in_tenths, points
from workbench.output import plural


def solve_for(request: Request) -> None:
    """Work out beforehand what all attempts share."""
    for seat in request.seats:
        ground(request.game, request.house_rules, PLAYERS.index(seat))


def judge(request: Request, attempt: Attempt) -> list[Row]:
    """A row for each seat.  Whatever is wrong with the attempt is told in its rows."""
    return [_in_seat(request, attempt, seat) for seat in request.seats]


def _in_seat(request: Request, attempt: Attempt, seat: str) -> Row:
    def without(verdict: str, reason: str) -> Row:
        return Row(attempt.name, attempt.kind, seat, verdict, holds=False, reason=reason)

    try:
        if attempt.kind == UNKNOWN:
            return without(UNUSABLE, why_not_known(attempt.path))
        if attempt.kind == PROGRAM:
            from workbench.grading.program import judge_program  # few folders hold programs

            return _shown_by_name(attempt, judge_program(request, attempt, seat))
        return _shown_by_name(attempt, judge_strategy(request, attempt, seat))
    except BadInput as error:
        said = "; ".join(str(problem) for problem in error.problems)
        return without(UNUSABLE, _called_by_name(attempt, said))
    except (TooLarge, TooMuchMemory, MemoryError) as error:
        return without(TOO_LONG, f"no full answer: {str(error) or 'it takes too much memory'}")
    except Exception as error:  # noqa: BLE001 - one attempt must spoil nothing but its own row
        return without(BROKEN, f"a fault of Wordtight's own: {type(error).__name__}: {error}")


def _called_by_name(attempt: Attempt, said: str) -> str:
    """A text in which the attempt's file is called as the attempt is, and other files of its folder by their names.

    What is handed out must not tell where the teacher keeps it, nor, where numbers stand for names, whose it is.
    """
    path = Path(attempt.path)
    for file in (path.resolve(), path):
        said = said.replace(str(file), attempt.name)
        if file.parent != Path():
            said = said.replace(f"{file.parent}{os.sep}", "")
    if attempt.is_anonymous:
        names = [path.name, *(Path(table).name for table in attempt.tables())]
        for name in filter(lambda each: "." in each, names):  # a bare name may be any word
            said = said.replace(name, f"{attempt.name}{Path(name).suffix}")
    return said.encode(errors="backslashreplace").decode()  # a name that is no UTF-8 could not be written


def _shown_by_name(attempt: Attempt, row: Row) -> Row:
    """A row in which every text that may name a file calls it so."""

    def told(said: str) -> str:
        return _called_by_name(attempt, said)

    line, decision = row.line, row.decision
    if line is not None:
        line = line._replace(printed=tuple(map(told, line.printed)), outcome=told(line.outcome))
    if decision is not None:
        decision = decision._replace(rule=(decision.rule[0], told(decision.rule[1])))
    return row._replace(
        reason=told(row.reason),
        line=line,
        decision=decision,
        unused=tuple((number, told(text)) for number, text in row.unused),
        mistakes=tuple(each._replace(rule=(each.rule[0], told(each.rule[1]))) for each in row.mistakes),
    )


def judge_strategy(request: Request, attempt: Attempt, seat: str) -> Row:
    """A rule sheet or table in a seat: proved, and judged in every position.  Raises BadInput where it is neither."""
    written = load_strategy(
        attempt.path,
        game=request.game,
        seat=seat,
        claim=request.claim,
        house_rules=request.house_rules,
    )
    shared = ground(request.game, request.house_rules, PLAYERS.index(seat))
    strategy = written.strategy(PLAYERS.index(seat))
    walk, play = shared.walked(strategy)
    proof = Proof(strategy, request.claim, written.house, known=Known(walk, shared.solved))
    card = made_ready(request).card
    fit = None if card is None else fit_of(proof, card)
    return judged_row(
        request,
        shared,
        play,
        Row(
            attempt.name,
            attempt.kind,
            seat,
            proof.verdict,
            holds=proof.verdict == PROVED,
            line=_line(proof),
            decision=_decision(proof),
            rules=len(strategy.rules),
            unused=tuple(
                (rule.line, rule.text)
                for rule, used in zip(strategy.rules, walk.times_used(), strict=True)
                if not used
            ),
            fit=fit,
            wrong_input=_wrong_input(proof),
        ),
        {
            CLAIM: Fraction(proof.verdict == PROVED),
            WRONG_INPUT: None,
            FITS: None if fit is None or fit.fits is None else Fraction(fit.fits),
        },
        written,
    )


def judged_row(
    request: Request,
    shared: Ground,
    play: Play,
    row: Row,
    parts: Mapping[str, Fraction | None],
    written: Written | None = None,
) -> Row:
    """A row with what the positions say: mistakes, what is given away, credit and points, names for what is played."""
    rubric = made_ready(request).rubric
    everywhere = np.ones_like(play.met)
    mistakes = mistakes_of(play, play.met)
    met = credit_in(rubric, play, play.met)
    whole = credit_in(rubric, play, everywhere) if play.is_whole else None
    earned = points(rubric, parts, met.share, None if whole is None else whole.share, mistakes)
    return row._replace(
        seat_is_lost=shared.is_lost,
        mistakes=tuple(_told(shared, each, written) for each in mistakes),
        given=tuple(_given(play)),
        met=Positions(met.positions, met.full, in_tenths(100 * met.share), in_tenths(earned.met)),
        everywhere=None
        if whole is None or earned.everywhere is None
        else Positions(
            whole.positions, whole.full, in_tenths(100 * whole.share), in_tenths(earned.everywhere)
        ),
        plays=(play.digest(everywhere) if play.is_whole else "", play.digest(play.met)),
    )


def _line(proof: Proof) -> Line | None:
    if proof.failure is None:
        return None
    line = proof.failure.line
    graph = proof.walk.graph
    said = tuple(f"{'machine' if ply.by_machine else 'visitor'} {ply.said()}" for ply in plies(proof, line))
    moves = tuple(int(graph.move[edge]) for edge in line.edges)
    outcome = proof.truth.outcome(line) if proof.verdict == "refuted" else ""
    decision = proof.failure.decision
    return Line(moves, said, decision, line.loop, outcome)


def _wrong_input(proof: Proof) -> tuple[Mishandled, ...] | None:
    """Wrong input that the claim does not outlast, though it holds as long as there is none; None where it is free."""
    if proof.house.without_costs() is None:
        return None
    wrong = [] if proof.failure is None else [ply for ply in plies(proof, proof.failure.line) if ply.wrong]
    keyed = tuple(ply.input for ply in wrong)
    classes = dict.fromkeys(ply.wrong_class for ply in wrong)
    return tuple(Mishandled(each, "all is well until this is keyed in", keyed) for each in classes)


def _decision(proof: Proof) -> Decision | None:
    decision = proof.decision()
    if decision is None:
        return None
    game, names = proof.walk.game, proof.walk.game.move_names
    rule = None if decision.rule is None else proof.walk.strategy.rules[decision.rule]
    return Decision(
        decision.ply + 1,
        game.text(int(proof.walk.graph.codes[decision.place])),
        None if decision.move is None else names[decision.move],
        (0, "") if rule is None else (rule.line, rule.text),
        tuple(names[move] for move in decision.better),
    )


def _told(shared: Ground, mistake: Mistake, written: Written | None) -> Told:
    """A mistake with its position and moves as people say them."""
    game = shared.game
    rule = (0, "")
    if written is not None and mistake.rule >= 0:
        made_it = written.rules[mistake.rule]
        rule = (made_it.line, made_it.text)
    return Told(
        mistake.kind,
        mistake.words,
        mistake.positions,
        mistake.loses,
        mistake.code,
        game.text(mistake.code),
        None if mistake.move is None else game.move_names[mistake.move],
        rule,
        tuple(game.move_names[move] for move in mistake.better),
    )


def _given(play: Play) -> list[Given]:
    """What is given away in positions met without losing, by the worst move of each; the greatest loss first."""
    judged, game = play.judged, play.facts.game
    in_points = scored(game) is not None
    gives = (judged.after < judged.before) & (in_points | (judged.after > 0)) & play.met[play.place]
    worst: dict[int, tuple[int, int]] = {}
    for row in np.nonzero(gives)[0]:
        before, after = int(judged.before[row]), int(judged.after[row])
        kind = (before - after, 0) if in_points else (before, after)
        place = int(play.place[row])
        worst[place] = max(worst.get(place, kind), kind, key=lambda each: each[0] - each[1])
    if not in_points:  # a position that some move loses is counted there and not here
        lost = set(play.place[(judged.after < judged.before) & (judged.after == 0)].tolist())
        worst = {place: kind for place, kind in worst.items() if place not in lost}
    kinds = sorted(set(worst.values()), reverse=True)
    return [_in_words(kind, list(worst.values()).count(kind), in_points=in_points) for kind in kinds]


def _in_words(kind: tuple[int, int], positions: int, *, in_points: bool) -> Given:
    if in_points:
        return Given(plural(kind[0], "point"), "", positions)
    return Given(WORTHS[kind[0]], WORTHS[kind[1]], positions)
