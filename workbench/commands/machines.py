"""`wordtight machines`: the machines that come with Wordtight, and what the cost card of one says."""

from typing import Any

import click

from budget.card import COMPILER, OWN, CostCard, compiled_names, load_machine, machine_names
from budget.machine.pace import Pace
from workbench.output import emit_json, json_option, plural, say, say_lines, say_next, table, typed

WAYS = {"line": "whole lines", "key": "single keys"}
UNITS = ((1.0, "s"), (1e-3, "ms"), (1e-6, "us"), (1e-9, "ns"))


@click.command("machines")
@click.argument("machine", required=False, metavar="[M]")
@json_option
def command(machine: str | None, as_json: bool) -> None:
    """List the machines that come with Wordtight, or tell what the card of one says.

    M is one of them, or a .toml file of your own. None of them is one real
    machine: each stands for many of its time, in round figures.
    """
    if machine is not None:
        _tell_one(load_machine(machine), machine, as_json=as_json)
        return
    names = (*machine_names(), *compiled_names())
    cards = {name: load_machine(name) for name in names}
    if as_json:
        emit_json({"machines": [as_record(name, card) for name, card in cards.items()]})
        return
    titles = ("machine", "words", "bits", "characters", "reads")
    say_lines(table(titles, [_cells(name, card) for name, card in cards.items()], right=(1, 2)))
    say()
    say(f"Reached through a compiler: {', '.join(compiled_names())}.")
    say("A machine of your own is a .toml file: wordtight new machine writes one to begin with.")
    say_next("wordtight machines twelve-bit", "what its card says, and where the figures come from")


def as_record(name: str, card: CostCard) -> dict[str, Any]:
    """A machine by its JSON keys; a key that the card says nothing of is null."""
    program, characters = card.program, card.characters
    times = _times(program.pace) if card.programs == OWN else None
    return {
        "machine": name,
        "title": card.title,
        "from": card.origin,
        "word_bits": card.word_bits,
        "store_words": card.store_words,
        "fixed_words": card.fixed_words,
        "characters": characters.code.name,
        "characters_per_word": characters.per_word,
        "words_per_character": characters.words_each,
        "reads": list(card.reads),
        "programs": card.programs,
        "instruction_seconds": times,
        "turn_words": program.pace.turning.words if program.pace and program.pace.turning else None,
        "typed_per_second": None if program.reading is None else float(program.reading),
        "printed_per_second": None if program.printing is None else float(program.printing),
    }


def _cells(name: str, card: CostCard) -> tuple[str, ...]:
    return (name, f"{card.store_words:,}", str(card.word_bits), _packed(card), " and ".join(card.reads))


def _packed(card: CostCard) -> str:
    """How characters lie in words."""
    characters = card.characters
    if characters.words_each > 1:
        return f"{characters.code.name}, {characters.words_each} words each"
    return f"{characters.code.name}, {characters.per_word} a word"


def _times(pace: Pace | None) -> list[float] | None:
    """The times that instructions take, the shortest first, in seconds."""
    if pace is None:
        return None
    return [float(pace.cycle * cycles) for cycles in sorted(set(pace.cycles.values()))]


def _tell_one(card: CostCard, asked: str, *, as_json: bool) -> None:
    if as_json:
        emit_json(as_record(card.name, card))
        return
    say(f"{card.name}: {card.title}")
    say()
    rows = [(f"{what}:", told) for what, told in _figures(card) if told]
    width = max(len(what) for what, _ in rows)
    for what, told in rows:
        say_lines([f"{what:<{width}}  {told}"])
    say()
    say(f"Source: {card.origin.rstrip('.')}.")
    say_next(f"wordtight games --machine {typed(asked)}", "which games it could play")


def _figures(card: CostCard) -> list[tuple[str, str]]:
    """What is said of a machine, each with its name; nothing where the card says nothing."""
    fixed = f", {card.fixed_words:,} of them cannot be written" if card.fixed_words else ""
    return [
        ("store", f"{plural(card.store_words, 'word')} of {plural(card.word_bits, 'bit')}{fixed}"),
        ("characters", _packed(card)),
        ("reads", " and ".join(WAYS[way] for way in card.reads)),
        ("programs", _programs(card)),
        ("an instruction", _pace(card)),
        ("typed", _rate(card.program.reading)),
        ("printed", _rate(card.program.printing)),
    ]


def _programs(card: CostCard) -> str:
    if card.programs == COMPILER:
        return f"in C, through a compiler ({card.toolchain})"
    return "in the orders of our one-address machine" if card.programs == OWN else "in its own orders"


def _pace(card: CostCard) -> str:
    """How long an instruction takes."""
    pace = card.program.pace
    times = _times(pace)
    if card.programs != OWN or pace is None or times is None:
        return ""
    if pace.turning is not None:
        return f"a store that turns, {pace.turning.words} words a turn, a word in {short_time(float(pace.cycle))}"
    return short_time(times[0]) if len(times) == 1 else f"{short_time(times[0])} to {short_time(times[-1])}"


def _rate(rate: Any) -> str:
    return "" if rate is None else f"{float(rate):.3g} characters a second"


def short_time(seconds: float) -> str:
    """A time of a few digits, in the unit that suits it.

    >>> short_time(0.0015), short_time(1.5e-6), short_time(0.2), short_time(0.0009996)
    ('1.5 ms', '1.5 us', '200 ms', '1 ms')
    """
    told = float(f"{seconds:.3g}")  # first, or 999.6 of a unit would be told as 1e+03
    size, unit = next(each for each in UNITS if told >= each[0] or each is UNITS[-1])
    return f"{told / size:.3g} {unit}"
