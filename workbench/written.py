"""A strategy that a command has found, written into its files and proved as it then stands there."""

from collections.abc import Mapping
from pathlib import Path

from games.load import is_program
from solver.load import Written, load_strategy
from solver.proof import PROVED, Proof, prove
from workbench.files import refuse_existing, write_new


def write_strategy(
    files: Mapping[Path, str], seat: int, claim: str, game: str | None, *, overwrite: bool
) -> tuple[Written, Proof]:
    """Write the files, the first of which may name the others, and prove the claim of what then stands there.

    game: as the command line names it, which has to be said again where it is a program.  Raises BadInput where a file
    is there already (unless `overwrite`) or cannot be written, RuntimeError where what was found is not what stands
    there: that would be a fault of ours.
    """
    if not overwrite:
        refuse_existing(*files)
    first, *others = files
    for path in (*reversed(others), first):  # so that no strategy names a table that is not there yet
        write_new(path, files[path], overwrite=overwrite)
    written = load_strategy(first, game=game if game is not None and is_program(game) else None)
    proof = prove(written.strategy(seat), claim, written.house)
    if proof.verdict != PROVED:
        raise RuntimeError(f"{first} was written, but is {proof.verdict}")
    return written, proof
