"""The words that two compared strategies take on a machine, beside each other: as `wordtight size` counts them."""

from typing import Any, NamedTuple

from budget.card import CostCard
from budget.forms import AS_WRITTEN, has_rules
from budget.program_size import ProgramRow, size_programs, smallest_row
from solver.compare import Comparison
from solver.fixed import fixed_plays
from solver.proof import Proof
from workbench.output import plural, say, say_lines, table
from workbench.sizing import verdict_of
from workbench.tell_compare import NAMES


class Words(NamedTuple):
    """A strategy on a machine: what is proved with its choices settled, by reading, and its programs.

    Both are empty where in some position it has no legal answer, so that there is nothing whole to build.
    """

    verdicts: dict[str, str]
    rows: tuple[ProgramRow, ...]

    @property
    def least(self) -> ProgramRow | None:
        """The row with the fewest words, fitting or not; the first where several have as few."""
        return smallest_row(self.rows)

    def as_json(self) -> dict[str, Any]:
        """The same by its JSON keys."""
        rows = [row.as_json() for row in self.rows]
        least = None if self.least is None else self.least.total_words
        return {"verdicts": self.verdicts, "least_words": least, "words": rows}


def words_of(proof: Proof, card: CostCard) -> Words:
    """Settle a strategy's choices in every reading, prove each anew, and size it."""
    if proof.walk.illegal or len(proof.walk.unanswered):
        return Words({}, ())
    plays = fixed_plays(proof)
    has_form = all(map(has_rules, plays))  # a table has no other form than its encodings
    rows = size_programs(plays, card, lambda form: form.name == AS_WRITTEN or not has_form)
    return Words({play.reading: verdict_of(play) for play in plays}, tuple(rows))


def tell_words(found: Comparison, card: CostCard, words: list[Words]) -> None:
    """Every form in a row, the totals of A and of B in columns."""
    say(f"On {card.name} ({card.title}): {card.store_words:,} words of {card.word_bits} bits.")
    for name, each in zip(NAMES, words, strict=True):
        if not each.rows:
            say(f"{name} cannot be built: in some position that can be met it has no legal answer.")
    if not any(each.rows for each in words):
        return
    say("As complete programs, in words:")
    say()
    say_lines(table(("form", "board", *NAMES), _rows(words), right=(2, 3)))
    say()
    for name, each, proof in zip(NAMES, words, found.proofs, strict=True):
        _tell_settled(name, each, proof)
    _tell_least(words)


def _rows(words: list[Words]) -> list[tuple[str, ...]]:
    by_place = [{(row.form, row.reading): row for row in each.rows} for each in words]
    places = list(dict.fromkeys(place for rows in by_place for place in rows))
    return [(*place, *(_total(rows.get(place)) for rows in by_place)) for place in places]


def _total(row: ProgramRow | None) -> str:
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
            say(f"The fewest words for {name}: {row.total_words:,} ({row.form}, {row.reading}){fits}.")
