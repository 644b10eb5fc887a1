"""Paragraphs of a bearable length: what has to be said, and what else there is room for."""

from typing import NamedTuple

from solver.record import Ply

FEWEST_WORDS, ENOUGH_WORDS, MOST_WORDS = 80, 110, 160
LONGEST_SHOWN = 9
"""Plies: of longer lines only the end is told."""
LONGEST_RULE = 12
"""Words: longer rules are cut."""


class Paragraph(NamedTuple):
    """Sentences that have to be said, and those that are said while there is room."""

    needed: list[str]
    if_room: list[str]


def count_words(text: str) -> int:
    """How many words a text has: what stands between blanks."""
    return len(text.split())


def fitted(paragraphs: list[Paragraph]) -> tuple[str, ...]:
    """The paragraphs with as many sentences as fit: more are added until there are enough words, never too many."""
    chosen = [list(each.needed) for each in paragraphs]
    words = sum(count_words(sentence) for each in chosen for sentence in each)
    for number, paragraph in enumerate(paragraphs):
        for sentence in paragraph.if_room:
            more = count_words(sentence)
            if words < ENOUGH_WORDS and words + more <= MOST_WORDS:
                chosen[number].append(sentence)
                words += more
    return tuple(" ".join(sentences) for sentences in chosen if sentences)


def cut(rule: str) -> str:
    """A rule's text of bearable length."""
    words = rule.split()
    return rule if len(words) <= LONGEST_RULE else f"{' '.join(words[:LONGEST_RULE])} ..."


def line_in_words(line: list[Ply]) -> str:
    """A line of play, move by move; of a long one the end."""
    shown = [f"{'machine' if ply.by_machine else 'visitor'} {ply.said()}" for ply in line[-LONGEST_SHOWN:]]
    return f"{'... ' if len(line) > LONGEST_SHOWN else ''}{', '.join(shown)}"
