"""Faulty strategies to beat: the bank that comes with Wordtight, or a folder of a teacher's own."""

from fractions import Fraction
from pathlib import Path
from typing import Any, NamedTuple

from games.codes import PLAYERS
from games.house import HouseRules
from games.housed import HousedGame
from games.problems import BadInput, Problem, bad, listed, near_miss
from games.tomlfile import read_text
from solver.load import Written, load_strategy
from solver.proof import Proof, prove
from solver.record import plies
from solver.strategy import OPEN, PLAIN, Strategy
from solver.walk import walk
from workbench.coaching.visitor import Odds, odds_against

BANK = Path(__file__).parent / "bank"
SUFFIXES = (".rules", ".txt", ".csv")
"""Names of files that may be strategies."""


class Quarry(NamedTuple):
    """A strategy to beat.

    name: what it is called, that of its file.  story: what its first remark says, or nothing.
    odds: those against it as it plays, None where they cannot be worked out.
    """

    name: str
    file: Path
    story: str
    written: Written
    odds: Odds | None

    @property
    def strategy(self) -> Strategy:
        """The strategy as it plays: what it leaves open is settled as `play` does it."""
        own = self.written.strategy(self.written.seats[0])
        return own if own.choice != OPEN else own.fixed(PLAIN)

    @property
    def chance(self) -> Fraction | None:
        """The chance that a sensible visitor beats it in one game."""
        return None if self.odds is None else self.odds.chance


def quarries(folder: Path = BANK) -> list[Quarry]:
    """All strategies of a folder, the easiest to beat first, those without odds last.

    Raises BadInput with every mistake of every file.
    """
    files = sorted(path for path in _files_in(folder) if path.suffix.lower() in SUFFIXES)
    used = {path for path in files if path.suffix.lower() == ".csv" and _is_part_of_a_sheet(path, files)}
    found: list[Quarry] = []
    problems: list[Problem] = []
    for path in files:
        if path in used:
            continue
        try:
            found.append(_quarry(path))
        except BadInput as error:
            problems.extend(error.problems)
    if problems:
        raise BadInput(problems)
    if not found:
        raise bad("holds no strategy; expected files that end in .rules, .txt or .csv", str(folder))
    return sorted(found, key=lambda each: (each.chance is None, -(each.chance or 0), each.name))


def quarry_named(name: str, folder: Path = BANK) -> Quarry:
    """One strategy of a folder by its name.  Raises BadInput where there is none, or where it cannot be read."""
    files = {path.stem: path for path in sorted(_files_in(folder)) if path.suffix.lower() in SUFFIXES}
    if name not in files:
        known = tuple(files)
        raise bad(f"there is no '{name}' to hunt; expected {listed(known)}{near_miss(name, known)}")
    return _quarry(files[name])


def _files_in(folder: Path) -> list[Path]:
    if not folder.is_dir():
        raise bad("is no folder; expected one with strategies", str(folder))
    return [path for path in folder.iterdir() if path.is_file()]


def _is_part_of_a_sheet(table: Path, files: list[Path]) -> bool:
    """Whether a sheet beside a table uses it."""
    others = (path for path in files if path.suffix.lower() != ".csv")
    return any(f'"{table.name}"' in read_text(path) for path in others)


def _quarry(path: Path) -> Quarry:
    written = load_strategy(path)
    if len(written.seats) > 1:
        raise bad("is for both seats; expected 'seat: first' or 'seat: second'", str(path))
    first = read_text(path).split("\n", 1)[0]
    story = first.removeprefix("#").strip() if first.startswith("#") else ""
    quarry = Quarry(path.stem, path, story, written, None)
    return quarry._replace(odds=_odds(quarry.strategy, written.house))


def _odds(strategy: Strategy, house: HouseRules) -> Odds | None:
    return odds_against(walk(HousedGame(strategy.game, house, strategy.seat), strategy))


def answer_to(quarry: Quarry) -> Proof:
    """The proof of a strategy as it plays, which has the shortest line that beats it."""
    return prove(quarry.strategy, quarry.written.claim, quarry.written.house)


def percent(chance: Fraction) -> str:
    """A chance in per cent with one figure behind the point, rounded in whole numbers; never 0 or 100 unless it is."""
    tenths = int(chance * 1000 + Fraction(1, 2))
    if chance > 0 and not tenths:
        return "< 0.1 %"
    if chance < 1 and tenths == 1000:
        return "> 99.9 %"
    return f"{tenths // 10}.{tenths % 10} %"


def quarry_record(quarry: Quarry, answer: Proof | None) -> dict[str, Any]:
    """A strategy to beat by its JSON keys; answer: its proof, if that is asked for."""
    odds = quarry.odds
    record: dict[str, Any] = {
        "name": quarry.name,
        "story": quarry.story,
        "file": None if quarry.file.parent == BANK else str(quarry.file),
        "game": quarry.written.game.name,
        "seat": PLAYERS[quarry.written.seats[0]],
        "claim": quarry.written.claim,
        "house_rules": quarry.written.house.name,
        "lines": odds and odds.lines,
        "lines_that_beat_it": odds and odds.losing,
        "chance": odds and str(odds.chance),
        "chance_in_ten": odds and str(odds.in_ten),
        "percent": odds and percent(odds.chance),
        "percent_in_ten": odds and percent(odds.in_ten),
    }
    if answer is not None:
        line = None if answer.failure is None else plies(answer, answer.failure.line)
        record["verdict"] = answer.verdict
        record["losing_line"] = None if line is None else [ply.said() for ply in line]
    return record
