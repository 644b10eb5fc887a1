"""A strategy on its way to files for a machine that a compiler reaches: the program in C, and its linked image."""

from pathlib import Path
from typing import NamedTuple

from budget.building import wanted_forms
from budget.card import CostCard
from budget.forms import Form
from budget.lowering.text import NotLowered
from budget.messages import words_of_messages
from budget.program_size import ProgramRow
from budget.size import check_reading
from budget.toolchains.making import Kept, kept, room_lacking, toolchain_of
from budget.toolchains.sizing import row_of_kept
from budget.toolchains.toolchain import shims
from games.codes import PLAYERS
from solver.proof import PROVED, Proof
from workbench.asked import Asked, proof_of
from workbench.built_strategy import NotWritten, Refused, plays_to_build
from workbench.output import emit_json, plural, say, say_lines, say_next, table, typed
from workbench.progress import ProgressLine
from workbench.tell_size import CYCLES, in_words


class CompiledStrategy(NamedTuple):
    """A strategy as a compiled program; files, titles: what is written, by name, and what each is."""

    asked: Asked
    card: CostCard
    proof: Proof
    form: Form
    row: ProgramRow
    kept: Kept
    files: dict[str, bytes]
    titles: dict[str, str]


def build_compiled(
    asked: Asked, card: CostCard, only: str | None, progress: ProgressLine, *, anyway: bool
) -> CompiledStrategy:
    """The smallest compiled program of a strategy, played through everything.

    only, anyway: as in `workbench.built_strategy`.  Raises BadInput for files with mistakes, and where a tool is not
    installed; Refused where there is nothing to write.
    """
    toolchain = toolchain_of(card)
    written = asked.written()
    check_reading(written.house, card)
    words_of_messages(written.house, card)  # tells what the machine's code lacks
    proof = proof_of(written, progress)
    plays = plays_to_build(proof, anyway=anyway)
    found: list[tuple[Form, Kept]] = []
    reasons = []
    is_too_long = False
    for form in wanted_forms(plays, only):
        name = f"{form.name} ({form.reading})"
        progress.begin(name, more=True)
        try:
            program = kept(form.play, form.name, card)
        except NotLowered as reason:
            reasons.append(f"{name}: {reason}")
            continue
        lacking = room_lacking(program.made, card)
        if lacking > 0:
            reasons.append(f"{name}: it takes {lacking:,} bytes more than there are")
            is_too_long = True
        else:
            found.append((form, program))
    if not found and is_too_long:
        raise Refused("no program of it fits", proof.verdict, tuple(reasons))
    if not found:
        raise NotWritten("no program for it can be written", proof.verdict, tuple(reasons))
    form, program = min(found, key=lambda each: each[1].made.words.total)
    row = row_of_kept(form, program, card)
    stem = Path(asked.file).stem
    files = {f"{stem}.c": program.made.program.text.encode("ascii"), **shims(toolchain)}
    titles = {
        f"{stem}.c": "program in C90",
        **dict.fromkeys(shims(toolchain), "what it needs of the machine"),
    }
    files[f"{stem}{toolchain.SUFFIX}"] = program.made.image.content
    titles[f"{stem}{toolchain.SUFFIX}"] = "linked image"
    return CompiledStrategy(asked, card, proof, form, row, program, files, titles)


def tell_compiled(built: CompiledStrategy, output: str, *, as_json: bool) -> None:
    """What was built and written, in plain lines or as one object."""
    if as_json:
        emit_json(_record(built, output))
        return
    row, form, card = built.row, built.form, built.card
    if _verdict(built) != PROVED:
        say(f"BUT: '{built.proof.claim}' does not hold for this strategy.")
        say()
    say(
        f"SAYS WHAT IT SHOULD: {form.title} ({form.reading}), run on {card.name} with every input in every state of "
        f"the game, {built.kept.drilled.steps:,} inputs in one row."
    )
    say(
        f"{plural(row.total_words or 0, 'byte')}: {row.program_words:,} of program, {row.table_words:,} of tables, "
        f"{row.message_words:,} of messages, {row.workspace_words:,} that it writes."
    )
    if built.kept.refused:
        say(
            f"Passed over: {plural(built.kept.refused, 'shorter wording')} that the compiler gets wrong; as compiled, "
            "they do not say what they should."
        )
    if row.replies is not None:
        say(f"It works longest {in_words(row.replies.most, CYCLES)}.")
    say(f"Written to the folder {output}:")
    say()
    rows = [(name, built.titles[name], f"{len(content):,}") for name, content in built.files.items()]
    say_lines(table(("file", "what it is", "bytes"), rows, right=(2,)))
    say_next(
        f"wordtight size {typed(built.asked.file)} --machine {typed(card.name)}",
        "what do its other forms take?",
    )


def _verdict(built: CompiledStrategy) -> str:
    proof = built.form.play.proof
    assert proof is not None
    return proof.verdict


def _record(built: CompiledStrategy, output: str) -> dict[str, object]:
    walk = built.proof.walk
    return {
        "file": built.asked.file,
        "machine": built.card.name,
        "folder": output,
        "files": [
            {"name": name, "what": built.titles[name], "bytes": len(content)}
            for name, content in built.files.items()
        ],
        "left_out": [],
        "game": walk.game.name,
        "strategy": walk.strategy.name,
        "seat": PLAYERS[walk.game.seat],
        "claim": built.proof.claim,
        "house_rules": built.proof.house.name,
        "verdict": _verdict(built),
        "program": built.row.as_json(),
    }
