"""Run the package: `python -m`, or, wherever its folder has been copied, `python checker EVIDENCE`."""

import sys
from importlib import import_module
from pathlib import Path

folder = Path(__file__).resolve().parent
if not __package__:  # it is run as a folder, and is no package yet
    sys.path[0] = str(folder.parent)
sys.exit(import_module(f"{__package__ or folder.name}.checking").main(sys.argv[1:]))
