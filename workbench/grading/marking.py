"""A row that a judge has begun, with what the positions say: mistakes, credit and points."""

from collections.abc import Mapping
from fractions import Fraction

import numpy as np

from games.game import scored
from solver.load import Written
from solver.played import WORTHS
from workbench.grading.ground import Ground
from workbench.grading.mistakes import Mistake, mistakes_of
from workbench.grading.play import Play
from workbench.grading.request import Request, made_ready
from workbench.grading.row import Given, Positions, Row, Told
from workbench.grading.rubric import credit_in, in_tenths, points
from workbench.output import plural


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
