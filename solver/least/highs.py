"""The integer program given to HiGHS, whose word in floating point is a find, not a proof.

HiGHS (MIT licence, https://highs.dev) was measured against CP-SAT of OR-tools on our instances: see docs/smallest.md.
Only the least strategies import it: it takes a tenth of a second to load.
"""

import math
import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import NamedTuple

import highspy
import numpy as np

from solver.least.model import Model, Whole

Progress = Callable[[int | None, int], bool]
"""Told the best so far (None before there is one) and the bound; False asks for an end."""


class Found(NamedTuple):
    """What the search came to: the best point (None if there is none) and a bound that HiGHS answers for.

    point: (v,) 0 or 1 for each variable; bound: no point costs less, as far as floating point can tell;
    `math.inf` where there is no point at all.
    """

    point: Whole | None
    bound: float


def linear_program(model: Model) -> highspy.HighsLp:
    """The relaxation of a model as HiGHS takes it."""
    program = highspy.HighsLp()
    program.num_col_, program.num_row_ = len(model.lower), len(model.at_least)
    program.col_cost_ = model.cost.astype(np.float64)
    program.col_lower_ = model.lower.astype(np.float64)
    program.col_upper_ = model.upper.astype(np.float64)
    program.row_lower_ = model.at_least.astype(np.float64)
    program.row_upper_ = np.full(len(model.at_least), highspy.kHighsInf)
    program.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    program.a_matrix_.start_ = model.row
    program.a_matrix_.index_ = model.column
    program.a_matrix_.value_ = model.value.astype(np.float64)
    return program


def silent() -> highspy.Highs:
    """A HiGHS that prints nothing and does the same every time."""
    with _standard_output_closed():  # from version 1.15 on it greets before it can be told not to
        highs = highspy.Highs()  # type: ignore[no-untyped-call]
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("random_seed", 1)
    return highs


@contextmanager
def _standard_output_closed() -> Iterator[None]:
    """Send what compiled code writes on standard output nowhere, for a moment."""
    kept = os.dup(1)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


def minimise(
    model: Model,
    seconds: float = math.inf,
    progress: Progress | None = None,
) -> Found:
    """The cheapest point of a model, looked for `seconds` long.

    `progress` is told how far the search is, and may end it.  A point to begin with is not handed over: with one,
    version 1.16 gave a bound of 36 for a model whose cheapest point costs 37.
    """
    highs = silent()
    program = linear_program(model)
    program.integrality_ = [highspy.HighsVarType.kInteger] * program.num_col_
    highs.passModel(program)
    highs.setOptionValue("time_limit", seconds)
    highs.setOptionValue("mip_rel_gap", 0.0)
    if progress is not None:
        _listen(highs, progress)
    highs.run()
    if highs.getModelStatus() == highspy.HighsModelStatus.kInfeasible:
        return Found(None, math.inf)
    info = highs.getInfo()
    found = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    point = np.rint(np.array(highs.getSolution().col_value)).astype(np.int64) if found else None
    return Found(point, info.mip_dual_bound)


def _listen(highs: highspy.Highs, progress: Progress) -> None:
    """Tell `progress` four times a second at most, and stop where it asks for that."""
    last = [0.0]

    def hear(event: highspy.highs.HighsCallbackEvent) -> None:
        now = time.monotonic()
        if now - last[0] < 0.25:
            return
        last[0] = now
        best, bound = event.data_out.mip_primal_bound, event.data_out.mip_dual_bound
        known = None if math.isinf(best) else round(best)
        goes_on = progress(known, 0 if math.isinf(bound) else math.ceil(bound - 1e-6))
        if not goes_on and event.data_in is not None:
            event.data_in.user_interrupt = True

    highs.cbMipInterrupt.subscribe(hear)
