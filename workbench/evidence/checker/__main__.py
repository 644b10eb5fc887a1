"""Run the package: `python -m`, or, wherever its folder has been copied, `python checker EVIDENCE`."""

import sys
from importlib import import_module
from pathlib import Path
from types import ModuleType

if not __package__:  # it is run as a folder, and no package yet, whatever the folder is called
    package = ModuleType("checker")
    package.__path__ = [str(Path(__file__).parent)]
    sys.modules["checker"] = package
sys.exit(import_module(f"{__package__ or 'checker'}.checking").main(sys.argv[1:]))
