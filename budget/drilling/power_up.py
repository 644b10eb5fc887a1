"""What a program makes of a store full of noise, of being started anew in the middle of a game, and of the next game.

It is held against its start on a clean store: where it stands alike, in all that is carried on, it will do alike.
"""

import random
from collections.abc import Iterator
from typing import NamedTuple

from budget.closing import LONGEST_REPLY, Differs
from budget.drilling.lines import START
from budget.drilling.sound import Sound, play_sound
from budget.drilling.stores import MixedFleet
from budget.machine.simulator import WAITING

NOISES = 4
"""Stores of noise drawn at random, the same every time; before them come those full of zeros and of ones."""


class PowerUp(NamedTuple):
    """What came of it.

    noises: how often every line was played with something else left in the store; restarts: the waits at which the
    machine was started anew; next_games: the endings after which the next game was begun; kept: the addresses of words
    in which something goes from one game into the next.
    """

    noises: int
    restarts: int
    next_games: int
    kept: tuple[int, ...]


def power_up(sound: Sound) -> PowerUp:
    """Try all that.  Raises Differs where the program does anything else than at its first start."""
    noises = list(_noises(sound))
    for noise in noises:
        played = play_sound(sound.program, sound.lines, noise)
        if not _stand_alike(sound, played):
            raise Differs("what stood in the store before the start makes a difference")
    for fleet in sound.fleets:
        _start_anew(sound, fleet)
    begun = list(_beginnings(sound))
    kept = (sound.words[begun] != sound.words[START]).any(axis=0) & sound.matters
    addresses = tuple(sound.interest[kept].tolist())
    return PowerUp(len(noises), len(sound.lines.waits), len(begun), addresses)


def _noises(sound: Sound) -> Iterator[list[int]]:
    """What may stand in the words of a store."""
    card, rng = sound.program.card, random.Random(1)  # noqa: S311 - noise, and no secret
    most = (1 << card.word_bits) - 1
    yield [0] * card.store_words
    yield [most] * card.store_words
    for _ in range(NOISES):
        yield [rng.randint(0, most) for _ in range(card.store_words)]


def _stand_alike(sound: Sound, other: Sound) -> bool:
    """Whether two runs stand alike after every input, in all that is carried on."""
    words = (sound.words[:, sound.matters] == other.words[:, sound.matters]).all()
    return bool(
        words and (sound.registers == other.registers).all() and (sound.carried == other.carried).all()
    )


def _start_anew(sound: Sound, fleet: MixedFleet) -> None:
    """Press the start key at each wait of a level."""
    machines = fleet.restarted(sound.program.start)
    machines.run((), LONGEST_REPLY)
    alike = (machines.rows.words(sound.interest) == sound.words[START])[:, sound.matters].all(axis=1)
    alike &= (machines.registers(sound.links) == sound.registers[START]).all(axis=1)
    says = [sent == list(sound.lines.begins) for sent in machines.sent]
    waits = [status == WAITING for status in machines.statuses()]
    if not (alike.all() and all(says) and all(waits)):
        raise Differs("started anew in the middle of a game, it does not do what it does at its first start")


def _beginnings(sound: Sound) -> Iterator[int]:
    """The steps by which the next game begins."""
    lines = sound.lines
    for number, step in enumerate(lines.steps):
        if lines.waits[step.wait].over or (step.ends and not step.after.over):
            yield number
