"""What a run has cost: processor time and memory."""

import sys
import time
from types import TracebackType


class Measure:
    """Processor seconds spent inside a ``with`` block, and the most memory that the process has had so far."""

    def __enter__(self) -> "Measure":
        self._begun = time.process_time()
        self.cpu_seconds = 0.0
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.cpu_seconds = time.process_time() - self._begun

    def as_json(self) -> dict[str, float | None]:
        """For JSON's ``measured`` key; `peak_mb` is null where the system does not tell (Windows)."""
        peak = peak_megabytes()
        return {
            "cpu_seconds": round(self.cpu_seconds, 3),
            "peak_mb": None if peak is None else round(peak, 1),
        }


def peak_megabytes() -> float | None:
    """The most memory that this process has held, in units of 2**20 bytes; None where the system does not tell."""
    if sys.platform == "win32":
        return None
    import resource

    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / (1 << 20) if sys.platform == "darwin" else peak / (1 << 10)
