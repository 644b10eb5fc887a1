"""Toolchains: compilers, linkers and simulators of machines that a program in C90 reaches.

Each is one module here, named as cost cards name it, with what `Toolchain` asks for.
"""

from functools import cache
from importlib import import_module
from pkgutil import iter_modules
from typing import cast

from budget.toolchains.toolchain import Toolchain


@cache
def toolchains() -> dict[str, Toolchain]:
    """Every toolchain by name."""
    modules = (import_module(f"{__name__}.{found.name}") for found in iter_modules(__path__))
    return {module.NAME: cast(Toolchain, module) for module in modules if hasattr(module, "NAME")}
