"""A strategy sized on a machine, as `wordtight size` tells it: its programs, its tables, and what would save words."""

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

from budget.card import COMPILER, CostCard
from budget.forms import AS_WRITTEN, Form, lowered_as
from budget.lowering.lower import TooLong
from budget.lowering.text import NotLowered
from budget.program_size import ProgramRow, ToldForm, size_programs, smallest_row
from budget.savings import Saving, savings
from budget.size import Size, size_play
from budget.toolchains.sizing import size_compiled
from games.codes import PLAYERS
from solver.fixed import FixedPlay, fix, fixed_plays
from solver.proof import PROVED, Proof, prove


class Sizing(NamedTuple):
    """One seat of a strategy on a machine.

    plays: settled in every reading in which it has an answer everywhere; tables: what is stored, in every encoding;
    programs: every form; verdict_words: what leaving out endings that cannot happen saves in the smallest program;
    house_words: what the costs of wrong input add to it, None where there are none; savings: what would make it
    shorter.
    """

    proof: Proof
    plays: list[FixedPlay]
    tables: Size
    programs: list[ProgramRow]
    verdict_words: int
    house_words: int | None
    savings: list[Saving]

    @property
    def proved_readings(self) -> list[str]:
        """The readings in which the claim holds with the choices settled."""
        return [play.reading for play in self.plays if verdict_of(play) == PROVED]

    @property
    def has_programs(self) -> bool:
        """Whether there is any program, fitting or not."""
        return any(row.total_words is not None for row in self.programs)

    @property
    def fitting(self) -> list[ProgramRow]:
        """The programs that fit; of a strategy that is proved in one reading only, those of that one."""
        proved = self.proved_readings
        return [row for row in self.programs if row.fits and (not proved or row.reading in proved)]

    @property
    def left_out(self) -> int:
        """How many tables there are besides those of which programs were built."""
        built = {(row.form, row.reading) for row in self.programs}
        tables = [row for row in self.tables.encodings if row.table_words is not None]
        return sum((row.encoding, row.reading) not in built for row in tables)

    @property
    def fits(self) -> bool:
        """Whether a program fits; where none is written for such games yet, whether a table would."""
        return bool(self.fitting) if self.has_programs else self.tables.fits

    def as_json(self) -> dict[str, Any]:
        """The figures by their JSON keys."""
        walk = self.proof.walk
        least = smallest_row(self.programs)
        return {
            "game": walk.game.name,
            "strategy": walk.strategy.name,
            "seat": PLAYERS[walk.game.seat],
            "claim": self.proof.claim,
            "house_rules": self.proof.house.name,
            "verdicts": {play.reading: verdict_of(play) for play in self.plays},
            "as_written": {
                "rules": [rule.text for rule in walk.strategy.rules],
                "answers": walk.answers(),
                "answers_fixed_board": walk.answers_fixed_board(),
            },
            **self.tables.as_json(),
            "fits": self.fits,
            "total_words": None if least is None else least.total_words,
            "programs": [row.as_json() for row in self.programs],
            "words_saved_by_verdicts": self.verdict_words,
            "house_rule_words": self.house_words,
            "savings": [saving._asdict() for saving in self.savings],
        }


FEW = 2
"""Encodings of each reading that are built unless all are asked for: those with the smallest tables.

To write a program as short as can be takes a second or more, and there are sixteen; `size` is typed often.
"""
EVERY_FORM = "every"


def sized(proof: Proof, card: CostCard, only: str | None = None, told: ToldForm | None = None) -> Sizing:
    """Settle a strategy's choices, and build it on a machine.

    only: a form, EVERY_FORM, or None for the rules as they are written and the smallest tables.  Savings are looked for
    where nothing fits.
    Raises BadInput where the machine cannot read as the house rules ask, or cannot say a message.
    """
    plays = fixed_plays(proof)
    tables = size_play(plays, proof.house, card, proof.never_said)
    size = size_compiled if card.programs == COMPILER else size_programs
    programs = size(plays, card, _wanted(tables, only), told)
    least = smallest_row(programs)
    if least is None or least.total_words is None or card.programs == COMPILER:
        return Sizing(proof, plays, tables, programs, 0, None, [])
    [play] = [play for play in plays if play.reading == least.reading]
    form = Form(least.form, least.title, play)
    total, fits = least.total_words, any(row.fits for row in programs)
    every_verdict = total_words(form, card, keep_verdicts=True)
    fair = _without_costs(proof, form, card)
    return Sizing(
        proof,
        plays,
        tables,
        programs,
        0 if every_verdict is None else every_verdict - total,
        None if fair is None else total - fair,
        [] if fits else savings(proof, form, card, total),
    )


def _wanted(tables: Size, only: str | None) -> Callable[[Form], bool]:
    """Which forms are built."""
    if only is not None:
        return lambda form: only in (EVERY_FORM, form.name)
    rows = sorted(
        (row for row in tables.encodings if row.table_words is not None), key=lambda row: row.table_words or 0
    )
    few = {
        (row.encoding, reading)
        for reading in {row.reading for row in rows}
        for row in [row for row in rows if row.reading == reading][:FEW]
    }
    return lambda form: form.name == AS_WRITTEN or (form.name, form.reading) in few


def total_words(form: Form, card: CostCard, *, keep_verdicts: bool = False) -> int | None:
    """The words of a form, fitting or not; None where there is no program."""
    try:
        return lowered_as(form, card, keep_verdicts=keep_verdicts).words.total
    except TooLong as too_long:
        return too_long.words.total
    except NotLowered:
        return None


def _without_costs(proof: Proof, form: Form, card: CostCard) -> int | None:
    """The words of the same form where wrong input costs nothing; None where it costs nothing anyway."""
    free = proof.house.without_costs()
    if free is None:
        return None
    fair = prove(proof.walk.strategy, proof.claim, free)
    return total_words(form._replace(play=fix(fair, form.reading)), card)


def verdict_of(play: FixedPlay) -> str:
    """What was proved of a play."""
    assert play.proof is not None
    return play.proof.verdict


def is_proved(plays: Sequence[FixedPlay]) -> bool:
    """Whether the claim holds with the choices settled in some reading."""
    return any(verdict_of(play) == PROVED for play in plays)
