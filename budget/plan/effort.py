"""How long strategies are looked for: counted in looks at a search, so that every computer finds the same ones."""

import math
from collections.abc import Callable
from typing import NamedTuple

LOOKS = 250
"""How often a search is looked at before it has to end with what it has; a look comes after so many nodes or cases."""


class Effort(NamedTuple):
    """What one search may take: looks, and seconds besides; what is found hangs on the computer only by seconds."""

    looks: int = LOOKS
    seconds: float = math.inf

    def shared(self, parts: int) -> "Effort":
        """The same with the seconds shared out."""
        return self._replace(seconds=self.seconds / parts)

    def told(self) -> Callable[..., bool]:
        """For one search to tell how far it is, whatever it says: False once it has done so often enough."""
        left = self.looks

        def look(*_: object) -> bool:
            nonlocal left
            left -= 1
            return left > 0

        return look
