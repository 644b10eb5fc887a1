"""The checker as one file, loaded by itself: it must say of everything what the package says."""

import types
from functools import cache

from workbench.evidence import checker
from workbench.evidence.joined import joined


@cache
def alone():
    """The joined file as a module that nobody else knows."""
    module = types.ModuleType("alone")
    exec(compile(joined(), "checker.py", "exec"), module.__dict__)
    return module


def outcome(module, raw, strategy=None):
    """What a checker finds, or how it refuses."""
    try:
        return module.check(raw, strategy)
    except (module.Wrong, module.Unreadable) as why:
        return type(why).__name__, str(why)


def check(raw, strategy=None):
    """What both find in evidence that holds."""
    found = checker.check(raw, strategy)
    assert outcome(alone(), raw, strategy) == found
    return found
