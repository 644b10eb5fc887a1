"""Every door by name."""

from tests.attacks import kept, spoken, written
from tests.attacks.door import Door

DOORS: dict[str, Door] = {**written.DOORS, **kept.DOORS, **spoken.DOORS}
