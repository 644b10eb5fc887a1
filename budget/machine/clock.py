"""The time that a machine has taken, in cycles, and where its store stands if it turns."""

from budget.machine.pace import Pace


class Clock:
    """Counts the cycles of one machine.

    Where the store turns, `angle` says how many words have passed the head when the machine starts; None leaves it
    open and counts the worst: the word that is wanted first has just gone by.  Nobody knows how long a visitor thinks
    or a printer takes, so the same holds again after each input and output, unless the angle was given: then
    they take whole turns.
    """

    __slots__ = ("_angle", "_cycles_of", "_known", "_turning", "cycles")

    def __init__(self, pace: Pace | None, angle: int | None = None) -> None:
        self.cycles = 0
        self._cycles_of = pace.cycles if pace else {}
        self._turning = pace.turning if pace else None
        self._known = angle is not None
        self._angle = angle

    def word(self, address: int) -> None:
        """Wait for a word of the store to come by, and pass."""
        turning = self._turning
        if turning is None:
            return
        waited = turning.words - 1 if self._angle is None else turning.wait(self._angle, address)
        self.cycles += waited + 1
        self._angle = turning.angle(address) + 1

    def work(self, order: str) -> None:
        """What the order itself takes."""
        cycles = self._cycles_of.get(order, 0)
        self.cycles += cycles
        if self._turning is not None and self._angle is not None:
            self._angle += cycles

    def pass_character(self) -> None:
        """A character goes in or out."""
        if not self._known:
            self._angle = None
