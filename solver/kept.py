"""Kept results: a solved game in a file, read back without being solved again.

The file (docs/cache.md describes it) begins with two lines of text: its name and version, and a JSON header with the
game's digest and a check sum.  Behind them lie the positions of all plies as 64-bit numbers and their scores as
16-bit numbers, least byte first, which are mapped into memory and not read until they are asked for.  A file that
is damaged, of another version or of another game is as good as none: the game is solved again.
"""

import hashlib
import json
import os
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from itertools import chain
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
import numpy.typing as npt

from games.codes import FIRST_WINS, SECOND_WINS, Codes
from games.game import Game, scored
from solver.layers import WON, Layers, Scores
from solver.loops import Loops
from solver.scores import SolvedScores
from solver.solved import Solved

NAME = b"wordtight solved 1\n"
WORTH_KEEPING = 1.0
"""Seconds of work under which solving again is as quick as reading."""
_ALIGNED = 64


class NotKept(Exception):
    """There is no usable file: none at all, or one that is damaged or foreign (the message says which)."""


def cache_folder() -> Path:
    """Where results are kept: the folder that WORDTIGHT_CACHE names, or the system's usual place for such files."""
    named = os.environ.get("WORDTIGHT_CACHE")
    if named:
        return Path(named)
    if sys.platform == "win32":
        base = os.environ.get("LOCALAPPDATA") or str(Path.home() / "AppData" / "Local")
    else:
        base = os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    return Path(base) / "wordtight"


def solve_or_read(
    game: Game, digest: str, folder: Path, solve: Callable[[], Solved | SolvedScores]
) -> Solved | SolvedScores:
    """The kept result for a game's digest, or what `solve` gives, which is then kept if it took a second or more."""
    path = folder / f"{digest}.solved"
    try:
        return read_kept(path, game, digest)
    except NotKept:
        begun = time.process_time()
        solved = solve()
        if time.process_time() - begun >= WORTH_KEEPING:
            keep(path, solved, digest)
        return solved


def keep(path: Path, solved: Solved | SolvedScores, digest: str) -> None:
    """Write a result, whole or not at all.  What cannot be written is passed over: it only saves time."""
    if not isinstance(solved, Layers | Loops | SolvedScores):
        return  # the fast layouts solve as quickly as a file is read
    if isinstance(solved, Loops) and int(solved.distance.max()) >= WON:
        return  # farther than a score can tell
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    except OSError:
        return
    try:
        with os.fdopen(handle, "wb") as file:
            _write(file, solved, digest)
        Path(name).replace(path)
    except OSError:
        Path(name).unlink(missing_ok=True)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _write(file: BinaryIO, solved: Layers | Loops | SolvedScores, digest: str) -> None:
    """Write ply after ply, so that hardly any memory is needed, and the check sum last into its place at the top."""
    check = hashlib.blake2b(digest_size=16)
    header = {
        "game": digest,
        "start": solved.start,
        "positions": solved.positions,
        "layers": [len(codes) for codes in _layers(solved)],
        "check": check.hexdigest(),
    }
    file.write(_head(header))
    columns: Iterator[npt.NDArray[Any]] = chain(_layers(solved), _scores(solved))
    for column in columns:
        numbers = np.ascontiguousarray(column.astype(column.dtype.newbyteorder("<"), copy=False)).data
        check.update(numbers)
        file.write(numbers)
    file.seek(0)
    file.write(_head({**header, "check": check.hexdigest()}))


def read_kept(path: Path, game: Game, digest: str) -> Layers | SolvedScores:
    """A kept result, mapped into memory.  Raises NotKept if there is none that fits."""
    try:
        with path.open("rb") as file:
            if file.readline(len(NAME)) != NAME:
                raise NotKept("no file of kept results, or one of another version")
            header = _header(file.readline(1 << 20))
            begin = file.tell()
        if header["game"] != digest:
            raise NotKept("the results of another game")
        count = sum(header["layers"])
        if path.stat().st_size != begin + 10 * count:
            raise NotKept("cut short, or grown")
        codes = np.memmap(path, dtype="<u8", mode="r", offset=begin, shape=(count,))
        scores = np.memmap(path, dtype="<i2", mode="r", offset=begin + 8 * count, shape=(count,))
    except (OSError, ValueError) as error:
        raise NotKept(str(error)) from None
    if _check_sum(codes, scores) != header["check"]:
        raise NotKept("damaged: the check sum is another")
    bounds = np.cumsum(header["layers"])[:-1]
    layers, of_layers = np.split(codes, bounds), np.split(scores, bounds)
    scored_game = scored(game)
    if scored_game is not None:
        return SolvedScores(scored_game, header["start"], layers, of_layers)
    return Layers(game, header["start"], layers, of_layers, positions=header["positions"])


def _header(line: bytes) -> dict[str, Any]:
    """The header, if it has every key with a value that makes sense."""
    try:
        header = json.loads(line)
        whole = [header["start"], header["positions"], *header["layers"]]
    except (ValueError, KeyError, TypeError, RecursionError):
        raise NotKept("a header that is none") from None
    if not all(type(number) is int and 0 <= number < 1 << 64 for number in whole):
        raise NotKept("a header with impossible numbers")
    if not header["layers"] or sum(header["layers"]) > 1 << 40 or header["positions"] > sum(header["layers"]):
        raise NotKept("a header with impossible numbers")
    if not all(isinstance(header.get(key), str) for key in ("game", "check")):
        raise NotKept("a header that lacks the game or the check sum")
    return dict(header)


def _head(header: dict[str, Any]) -> bytes:
    """The two lines of text, filled up with blanks so that the numbers behind them lie on even addresses."""
    line = json.dumps(header).encode("ascii")
    blanks = -(len(NAME) + len(line) + 1) % _ALIGNED
    return NAME + line + b" " * blanks + b"\n"


def _layers(solved: Layers | Loops | SolvedScores) -> Iterator[Codes]:
    yield from solved.plies() if isinstance(solved, Loops) else solved.codes


def _scores(solved: Layers | Loops | SolvedScores) -> Iterator[Scores]:
    """The numbers that are kept of the positions of each ply."""
    if not isinstance(solved, Loops):
        yield from solved.scores if isinstance(solved, Layers) else solved.differences
        return
    for codes in solved.plies():
        values = solved.look_up(codes)
        sign = np.select([values.value == FIRST_WINS, values.value == SECOND_WINS], [1, -1], 0)
        yield (sign * (WON - values.distance)).astype(np.int16)


def _check_sum(*parts: Any) -> str:
    digest = hashlib.blake2b(digest_size=16)
    for part in parts:
        digest.update(part)
    return digest.hexdigest()
