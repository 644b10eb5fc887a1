"""The main job on the club's files: prove, refute, size, and see what a house rule changes.

Run it with ``make demo``, or with any Python that has Wordtight installed. It changes no file.
"""

import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent
STEPS = (
    ("1. The lamp room's sheet: does it never lose?", 0, ("prove", "lamp-room.rules")),
    ("2. The ferry sheet: which line beats it?", 1, ("prove", "ferry.rules")),
    (
        "3. Does the lamp room's sheet fit the tide computer?",
        0,
        ("size", "lamp-room.rules", "--machine", "tide-computer.toml"),
    ),
    ("4. The tide table never loses ...", 0, ("prove", "tide-table.csv")),
    (
        "5. ... until a house rule lets the visitor pass",
        1,
        ("prove", "tide-table.csv", "--house-rules", "harbour-rules.toml"),
    ),
)


def main() -> int:
    """Run every step; 0 if each ended as it should."""
    as_expected = True
    for title, expected, arguments in STEPS:
        print(f"\n{'=' * 80}\n{title}\n$ wordtight {' '.join(arguments)}\n", flush=True)
        status = subprocess.run(
            [sys.executable, "-m", "workbench", *arguments], cwd=HERE, check=False
        ).returncode
        as_expected = as_expected and status == expected
    print(f"\n{'=' * 80}\n" + ("The demo is done." if as_expected else "The demo did not go as it should."))
    return 0 if as_expected else 1


if __name__ == "__main__":
    sys.exit(main())
