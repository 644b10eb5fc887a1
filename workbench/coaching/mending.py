"""The least change that makes a strategy hold: found, and written as a strategy file."""

from pathlib import Path
from typing import NamedTuple

from games.game import with_lines
from games.housed import HousedGame
from games.problems import bad
from games.tomlfile import read_text
from solver.header import is_file
from solver.least.answers import LeastAnswers
from solver.least.pictures import rule_lines
from solver.least.stopped import NotFound
from solver.least.written import Heading, table_text, use_table
from solver.load import Written, read_sheet_header
from solver.meanings import LooksUp
from solver.proof import PROVED, Proof, prove
from solver.repair.answers import fewest_answers
from solver.repair.overruled import Overruled, overruled
from solver.repair.pictures import FewestPictures, fewest_pictures
from solver.repair.plainly import plain_answers
from solver.repair.spare import Spared, spared
from solver.strategy import Strategy
from workbench.least_line import LeastLine
from workbench.output import plural

ANSWERS, PICTURES = "answers", "pictures"
SHARE_OF_ANSWERS, SHARE_OF_PICTURES = 0.35, 0.45
"""Of the time; the rest is for the rules that can go."""


class Mended(NamedTuple):
    """What was found for a strategy.

    before: the proof of the strategy as it is.  kind: what is put in front, ANSWERS or PICTURES.
    answers: the fewest of them, None where nothing is needed; pictures: the same, None as well where there are none,
    and then no_pictures says why.  spared: the rules that have to stay, those in front among them.
    """

    before: Proof
    kind: str
    answers: LeastAnswers | None
    pictures: FewestPictures | None
    no_pictures: str
    spared: Spared

    @property
    def number(self) -> int:
        """How many answers or pictures are put in front."""
        if self.kind == PICTURES and self.pictures is not None:
            return len(self.pictures.pictures)
        return 0 if self.answers is None else self.answers.answers

    @property
    def bound(self) -> int:
        """How few will do at least."""
        if self.kind == PICTURES and self.pictures is not None:
            return self.pictures.bound
        return 0 if self.answers is None else self.answers.bound

    @property
    def in_front(self) -> int:
        """How many rules stand in front of the strategy's own: a table is one."""
        return self.number if self.kind == PICTURES else int(self.number > 0)


def mend(written: Written, kind: str | None, seconds: float, line: LeastLine) -> Mended:
    """Find the least change of a strategy for one seat.

    kind: what to put in front; unless told pictures where there are some, else answers.  Raises BadInput where pictures
    are asked for and there are none, and else what `solver.repair.answers.fewest_answers` does.
    """
    if kind == PICTURES and with_lines(written.game) is None:
        raise bad(f"there are no pictures of {written.game.title}; expected --least answers", written.file)
    strategy = written.strategy(written.seats[0])
    before = prove(strategy, written.claim, written.house)
    if before.verdict == PROVED:
        return Mended(before, kind or ANSWERS, None, None, "", _spared(before, 0, seconds, line))
    game = HousedGame(written.game, written.house, strategy.seat)
    over = overruled(game, written.claim, strategy)
    answers = _answers(strategy, written, over, SHARE_OF_ANSWERS * seconds, line)
    pictures, why = None, ""
    if kind != ANSWERS:
        try:
            pictures = fewest_pictures(
                strategy,
                written.claim,
                written.house,
                over,
                answers,
                seconds=SHARE_OF_PICTURES * seconds,
                told=lambda best, bound: line("looking for pictures", best, bound),
            )
        except ValueError as error:
            why = str(error)
            if kind == PICTURES:
                raise bad(f"{error}; expected --least answers", written.file) from None
    chosen = ANSWERS if pictures is None else PICTURES
    proof = answers.proof if pictures is None else pictures.proof
    in_front = len(proof.walk.strategy.rules) - len(strategy.rules)
    rest = _spared(proof, in_front, (1 - SHARE_OF_ANSWERS - SHARE_OF_PICTURES) * seconds, line)
    return Mended(before, chosen, answers, pictures, why, rest)


def _answers(
    strategy: Strategy, written: Written, over: Overruled, seconds: float, line: LeastLine
) -> LeastAnswers:
    """The fewest answers in front, or where there was no time to find any, those that best play has at once."""
    try:
        return fewest_answers(strategy, written.claim, written.house, over=over, seconds=seconds, tell=line)
    except NotFound as error:
        if line.interrupted:
            raise
        bound = max(1, error.bound)  # nothing in front does not do
        found = plain_answers(
            strategy, written.claim, written.house, turned=over.choices.turned, bound=bound, seconds=seconds
        )
        if found is None:
            raise NotFound(bound) from None
        return found


def _spared(proof: Proof, in_front: int, seconds: float, line: LeastLine) -> Spared:
    return spared(proof, always=in_front, seconds=seconds, goes_on=lambda: not line.interrupted)


def files_of(written: Written, mended: Mended, game: str | None, out: Path) -> dict[Path, str]:
    """The mended strategy as texts by path, the sheet first: what is in front, then all its own rules.

    game: as the user names it where the strategy's header does not.
    """
    if out.suffix.lower() == ".csv":
        raise bad("rules need a sheet; expected a name that does not end in .csv", str(out))
    lines = read_text(written.file).split("\n")
    header, begin = read_sheet_header(lines, written.file)
    named = {key: header.entries[key].value for key in ("game", "house-rules") if key in header.entries}
    heading = Heading(
        named.get("game", game or written.game.name),
        written.seats[0],
        written.claim,
        named.get("house-rules", written.house_rules),
    )
    _must_stay_beside(written, heading, out)
    own = use_table(written.file).rstrip() if written.is_table else "\n".join(lines[begin:]).rstrip()
    if mended.kind == PICTURES and mended.pictures is not None:
        front = "\n".join(rule_lines(mended.pictures.pictures, turned=True))
        return {out: _remark(mended) + heading.above(f"{front}\n\n{own}\n", written.choice)}
    assert mended.answers is not None
    table = out.with_suffix(".csv")
    rows = mended.answers.rows()
    names = written.game.move_names
    text = table_text(heading, rows, names, "answers in front", turned=mended.answers.turned)
    front = use_table(table)
    return {out: _remark(mended) + heading.above(f"{front}\n{own}\n", written.choice), table: text}


def _remark(mended: Mended) -> str:
    least = "proved least" if mended.bound == mended.number else f"at least {mended.bound} are needed"
    return f"# {plural(mended.number, mended.kind.removesuffix('s'))} in front; {least}\n"


def _must_stay_beside(written: Written, heading: Heading, out: Path) -> None:
    """A sheet that names files beside it can only be read in the same folder."""
    tables = any(isinstance(rule.meaning, LooksUp) for rule in written.rules)
    if not (tables or is_file(heading.game) or is_file(heading.house_rules)):
        return
    if out.resolve().parent != Path(written.file).resolve().parent:
        raise bad(f"{written.file} names files beside it; expected a name in the same folder", str(out))
