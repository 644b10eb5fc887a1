"""Which rule a faulty line was probably meant to be."""

import re

WHOLE_RULES = (
    "complete a line",
    "block a line",
    "make a double threat",
    "stop a double threat",
    "take any free cell",
    "take the centre",
    "take a corner",
    "take an edge",
    "take the opposite corner",
    "take the heaviest cell",
)
"""The rules without parts of their own, of which a faulty line may be a slip."""
OTHER_WORDS = {
    "win": "complete a line",
    "winning": "complete a line",
    "defend": "block a line",
    "fork": "make a double threat",
    "trap": "make a double threat",
    "center": "take the centre",
    "middle": "take the centre",
    "side": "take an edge",
    "random": "take any free cell",
    "anywhere": "take any free cell",
    "empty": "take any free cell",
}
"""Words that people use, and that no rule has, with the rule that they are about."""
LONGEST = 2 * max(map(len, WHOLE_RULES))


def whole_rule_hint(line: str) -> str:
    """The end of a message: the rule of which the whole line may be a slip, if there is one."""
    from difflib import get_close_matches  # only where something is wrong

    words = " ".join(line.lower().split())
    if len(words) > LONGEST:
        return ""
    longer = [rule for rule in WHOLE_RULES if rule.startswith(words)]
    meant = longer if len(longer) == 1 else get_close_matches(words, WHOLE_RULES, n=1, cutoff=0.75)
    meant = meant or [OTHER_WORDS[word] for word in re.findall(r"\w+", words) if word in OTHER_WORDS]
    return f"; did you mean '{meant[0]}'?" if meant else ""
