"""The words that two compared strategies take on a machine, beside each other: as `wordtight size` counts them."""

from typing import Any, NamedTuple

from budget.card import CostCard
from budget.size import PROGRAM_IS_NOT_IN_IT, Row, Size, size_play
from solver.compare import Comparison
from solver.fixed import FixedPlay, fixed_plays
from solver.proof import Proof
from workbench.output import plural, say, say_lines, table
from workbench.tell_compare import NAMES


class Words(NamedTuple):
    """A strategy on a machine: what is proved with its choices settled, by reading, and its sizes.

    Both are empty where in some position it has no legal answer, so that there is nothing whole to store.
    """

    verdicts: dict[str, str]
    rows: tuple[Row, ...]

    @property
    def least(self) -> Row | None:
        """The row with the fewest words, fitting or not; the first where several have as few."""
        sized = [row for row in self.rows if row.total_words is not None]
        return min(sized, key=lambda row: row.total_words or 0, default=None)

    def as_json(self) -> dict[str, Any]:
        """The same by its JSON keys."""
        rows = [{key: getattr(row, key) for key in ROW_KEYS} for row in self.rows]
        least = None if self.least is None else self.least.total_words
        return {"verdicts": self.verdicts, "least_words": least, "words": rows}


ROW_KEYS = ("encoding", "reading", "answers", "table_words", "total_words", "fits", "margin", "reason")


def words_of(proof: Proof, card: CostCard) -> Words:
    """Settle a strategy's choices in every reading, prove each anew, and size it."""
    if proof.walk.illegal or len(proof.walk.unanswered):
        return Words({}, ())
    plays = fixed_plays(proof)
    size: Size = size_play(plays, proof.house, card, proof.never_said)
    return Words({play.reading: _verdict(play) for play in plays}, size.encodings)


def _verdict(play: FixedPlay) -> str:
    assert play.proof is not None
    return play.proof.verdict


def tell_words(found: Comparison, card: CostCard, words: list[Words]) -> None:
    """Every encoding in a row, the totals of A and of B in columns."""
    say(f"On {card.name} ({card.title}): {card.store_words:,} words of {card.word_bits} bits.")
    for name, each in zip(NAMES, words, strict=True):
        if not each.rows:
            say(f"{name} cannot be stored: in some position that can be met it has no legal answer.")
    if not any(each.rows for each in words):
        return
    say("The same play as a table alone, with its messages and workspace, in words:")
    say()
    say_lines(table(("encoding", "board", *NAMES), _rows(words), right=(2, 3)))
    say()
    for name, each, proof in zip(NAMES, words, found.proofs, strict=True):
        _tell_settled(name, each, proof)
    _tell_least(words)
    say(PROGRAM_IS_NOT_IN_IT)


def _rows(words: list[Words]) -> list[tuple[str, ...]]:
    by_place = [{(row.encoding, row.reading): row for row in each.rows} for each in words]
    places = list(dict.fromkeys(place for rows in by_place for place in rows))
    return [(*place, *(_total(rows.get(place)) for rows in by_place)) for place in places]


def _total(row: Row | None) -> str:
    if row is None or row.total_words is None:
        return "-"
    return f"{row.total_words:,}" if row.fits else f"{row.total_words:,} (too many)"


def _tell_settled(name: str, words: Words, proof: Proof) -> None:
    """What becomes of the verdict when the choices that a strategy leaves open are settled."""
    for reading, verdict in words.verdicts.items():
        if verdict != proof.verdict:
            say(f"With its choices settled {reading}, {name} is {verdict}.")


def _tell_least(words: list[Words]) -> None:
    for name, each in zip(NAMES, words, strict=True):
        row = each.least
        if row is not None and row.margin is not None:
            fits = "" if row.fits else f", {plural(-row.margin, 'word')} too many"
            say(f"The fewest words for {name}: {row.total_words:,} ({row.encoding}, {row.reading}){fits}.")
