"""Forms built ahead of their turn, in other processes, as long as there are some to help."""

from collections.abc import Callable, Sequence
from concurrent.futures import Executor, Future, wait
from typing import NamedTuple

from budget.card import CostCard
from budget.plan.attempts import Attempt, Rival, Rough, Sent, Stated, Talk, attempt, attempt_there
from solver.fixed import FixedPlay

FEW = 4
"""So many forms are built sooner than another process is started."""
AT_A_TIME = 0.2
"""Seconds after which somebody who waits for another process is asked whether to go on."""


class Helpers(NamedTuple):
    """Other processes: what runs functions in them, and how many there are."""

    executor: Executor
    processes: int


class Ahead:
    """The attempts at some forms, in their order: each here in its turn, or there ahead of it.

    With helpers as many are begun as keep them busy; the first is made here, for until then nothing is known to beat
    any.
    """

    def __init__(self, roughs: Sequence[Rough], card: CostCard, helpers: Helpers | None, sent: Sent) -> None:
        self._roughs, self._card, self._sent = roughs, card, sent
        self._helpers = helpers if len(roughs) > FEW else None
        self._begun: dict[int, Future[tuple[Attempt, Stated | None]]] = {}
        self._talks: dict[int, Talk] = {}  # by play: they remember much, and its forms say the same

    def talk(self, play: FixedPlay) -> Talk:
        """What every program of a play should say."""
        if id(play) not in self._talks:
            self._talks[id(play)] = Talk.of(play, self._card)
        return self._talks[id(play)]

    def attempt(
        self,
        number: int,
        rivals: Sequence[Rival],
        is_wanted: Callable[[Rough], bool],
        goes_on: Callable[[], bool],
    ) -> Attempt | None:
        """What comes of a form; None where `goes_on` asks for an end while it is waited for.

        is_wanted: whether a form is worth a beginning ahead of its turn.
        """
        try:
            if number and self._helpers is not None:
                self._begin(self._helpers, number, rivals, is_wanted)
        except Exception:  # noqa: BLE001 - a game of somebody's own may be such that it cannot be sent
            self._helpers = None
        future = self._begun.pop(number, None)
        if future is not None:
            while not wait([future], AT_A_TIME).done:
                if not goes_on():
                    return None
            try:
                made, stated = future.result()
                return made if stated is None else made._replace(found=stated.found(self._card))
            except Exception:  # noqa: BLE001 - whatever keeps another process from it, it is done here
                self._helpers = None
        rough = self._roughs[number]
        return attempt(rough, self._card, self.talk(rough.form.play), rivals)

    def _begin(
        self, helpers: Helpers, number: int, rivals: Sequence[Rival], is_wanted: Callable[[Rough], bool]
    ) -> None:
        """Begin a form, and those after it that keep all helpers busy."""
        for each, rough in enumerate(self._roughs[number : number + helpers.processes + 1], number):
            if each not in self._begun and is_wanted(rough):
                form = rough.form
                self._begun[each] = helpers.executor.submit(
                    attempt_there, form.name, form.title, self._sent.of(form.play), rivals, rough.stays
                )
