"""Games in Python, spoilt: loaded and looked over, one after another, in a process of its own with limits.

    python -m tests.attacks.spoilt_python SEED COUNT

Prints how many were taken and how many refused; anything else but a refusal ends it.  What is spoilt is the example of
`wordtight new python-game`, out of whose own words and numbers new lines are made: nothing that it could do is harmful.
"""

import json
import random
import re
import resource
import sys
import tempfile
from collections import Counter
from pathlib import Path

from games.own.file import load_python_game
from games.own.lawful import look_over
from games.problems import BadInput
from workbench.new import template

MEMORY, SECONDS = 4 << 30, 400
WORD, NUMBER = re.compile(r"\b[a-z_]+\b"), re.compile(r"\d+")
NUMBERS = ("0", "-1", "2", "63", "64", "1.5", "100000000000000000000", "None")
SIGNS = "()[]=+-<>&|:,."


def spoilt(text, rng):
    """The text with one to three lines changed."""
    words, lines = WORD.findall(text), text.split("\n")
    for _ in range(rng.randint(1, 3)):
        at = rng.randrange(len(lines))
        line = lines[at]
        names = WORD.findall(line) or ["game"]
        lines[at : at + 1] = rng.choice(
            [
                [],
                [line, line],
                [rng.choice(lines)],
                [NUMBER.sub(lambda _: rng.choice(NUMBERS), line)],
                [line.replace(rng.choice(SIGNS), rng.choice(["", "<<", "*", "-", "None", "'a'"]), 1)],
                [line.replace(rng.choice(names), rng.choice(words), 1)],
            ]
        )
        lines = lines or [""]
    return "\n".join(lines)


def main(seed, count):
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    rng, came = random.Random(int(seed)), Counter()
    with tempfile.TemporaryDirectory(prefix="wordtight-python-") as folder:
        file = Path(folder) / "my_game.py"
        for _ in range(int(count)):
            file.write_text(spoilt(template("python-game"), rng), encoding="utf-8")
            try:
                problems = look_over(load_python_game(file)).problems
            except BadInput as refusal:
                problems = refusal.problems
            assert all(str(problem).isprintable() for problem in problems)
            came["refused" if problems else "taken"] += 1
    print(json.dumps(came))


if __name__ == "__main__":
    main(*sys.argv[1:])
