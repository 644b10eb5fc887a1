"""One attempt judged: the function that is sent to other processes, and never fails because of what was handed in."""

import os
from fractions import Fraction
from pathlib import Path
from textwrap import shorten

from games.codes import PLAYERS
from games.problems import BadInput, Problem
from solver.graph import TooLarge
from solver.load import load_strategy
from solver.proof import PROVED, Known, Proof
from solver.record import plies
from solver.run import TooMuchMemory
from workbench.grading.attempts import PROGRAM, UNKNOWN, Attempt
from workbench.grading.fitting import fit_of
from workbench.grading.ground import ground
from workbench.grading.handed_in import why_not_known
from workbench.grading.marking import judged_row
from workbench.grading.request import Request, made_ready
from workbench.grading.row import (
    BROKEN,
    TOO_LONG,
    UNUSABLE,
    Decision,
    Line,
    Mishandled,
    Row,
)
from workbench.grading.rubric import CLAIM, FITS, WRONG_INPUT

LONGEST_SHOWN = 40
"""Characters of a line that is told beside its mistake."""


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
        said = "; ".join(_to_its_author(problem, attempt.path) for problem in error.problems)
        return without(UNUSABLE, _called_by_name(attempt, said))
    except (TooLarge, TooMuchMemory, MemoryError) as error:
        return without(TOO_LONG, f"no full answer: {str(error) or 'it takes too much memory'}")
    except Exception as error:  # noqa: BLE001 - one attempt must spoil nothing but its own row
        return without(BROKEN, f"a fault of Wordtight's own: {type(error).__name__}: {error}")


def _to_its_author(problem: Problem, path: str) -> str:
    """A mistake as it is told on paper, to somebody who has one file: the number of the line, and what stands there."""
    if problem.file != path or not problem.line:
        return str(problem)
    rule = problem.shown.partition("#")[0]  # a remark may say whose it is
    there = f", '{shorten(rule, LONGEST_SHOWN, placeholder=' ...')}'" if rule else ""
    return str(Problem("", 0, 0, f"line {problem.line}{there}: {problem.message}"))


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
