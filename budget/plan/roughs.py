"""Forms written roughly: the first few here, the others in other processes, and all in their order."""

from collections.abc import Callable
from concurrent.futures import Future, wait
from typing import NamedTuple

from budget.card import CostCard
from budget.forms import Form
from budget.lowering.lower import TooLong
from budget.lowering.text import NotLowered
from budget.plan.ahead import AT_A_TIME, FEW, Helpers
from budget.plan.asked import Candidate
from budget.plan.attempts import Rough, Sent, Stated, rough_there


class _Begun(NamedTuple):
    """A form that is being written; future: there, None where it is written here when its turn comes."""

    candidate: Candidate
    form: Form
    future: Future[Stated] | None


class Roughs:
    """The forms of candidates, each written roughly.

    reason: why the first of those for which there is no program has none; empty where each has one.
    """

    def __init__(self, card: CostCard, helpers: Helpers | None, sent: Sent) -> None:
        self._card, self._helpers, self._sent = card, helpers, sent
        self._begun: list[_Begun] = []
        self._written: list[tuple[Candidate, Rough]] = []
        self._texts: set[str] = set()
        self.reason = ""

    def begin(self, candidate: Candidate, form: Form) -> None:
        """Have a form written: here at once, or there once there are more than a few."""
        begun = _Begun(candidate, form, self._future(form))
        self._begun.append(begun)
        if begun.future is None and all(each.future is None for each in self._begun):
            self._finish(self._begun.pop())

    def _future(self, form: Form) -> Future[Stated] | None:
        if self._helpers is None or len(self._written) + len(self._begun) < FEW:
            return None
        try:
            return self._helpers.executor.submit(rough_there, form.name, form.title, self._sent.of(form.play))
        except Exception:  # noqa: BLE001 - a game of somebody's own may be such that it cannot be sent
            self._helpers = None
            return None

    def written(self, goes_on: Callable[[str], bool]) -> list[tuple[Candidate, Rough]]:
        """All forms that have a program, each text once; what is not done when `goes_on` asks for an end is left.

        goes_on: told what is waited for; nobody can end it before anything is written.
        """
        for begun in self._begun:
            if not self._is_done(begun, goes_on) and self._written:
                continue
            self._finish(begun)
        self._begun = []
        return self._written

    def _is_done(self, begun: _Begun, goes_on: Callable[[str], bool]) -> bool:
        """Whether a form is written there, or may be written here, by when somebody asks for an end."""
        while goes_on(f"writing {begun.candidate.name}"):
            if begun.future is None or wait([begun.future], AT_A_TIME).done:
                return True
        return begun.future is not None and begun.future.done()

    def _finish(self, begun: _Begun) -> None:
        """Take what was written, or write it here; a text that is there already is left."""
        try:
            rough = self._rough(begun)
        except NotLowered as reason:
            self.reason = self.reason or str(reason)
            return
        text = None if isinstance(rough.found, TooLong) else rough.found.text
        if text is None or text not in self._texts:
            self._written.append((begun.candidate, rough))
        if text is not None:
            self._texts.add(text)

    def _rough(self, begun: _Begun) -> Rough:
        """Raises NotLowered where there is no program."""
        stays = begun.candidate.stays
        if begun.future is not None and begun.future.done():
            try:
                return Rough(begun.form, None, begun.future.result().found(self._card), stays)
            except NotLowered:
                raise
            except Exception:  # noqa: BLE001 - whatever keeps another process from it, it is done here
                self._helpers = None
        return Rough.of(begun.form, self._card)._replace(stays=stays)
