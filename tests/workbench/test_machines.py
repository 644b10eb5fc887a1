"""`wordtight machines`: what is told is what stands in the cards, which are read here as plain TOML."""

import json
import shlex
import tomllib
from pathlib import Path

import pytest

import budget
from budget.card import compiled_names, machine_names
from tests.workbench.running import wordtight

CARDS = Path(budget.__file__).parent / "machines"
NAMES = [*machine_names(), *compiled_names()]


def card_of(name):
    file = CARDS / ("compiled" if name in compiled_names() else ".") / f"{name}.toml"
    return tomllib.loads(file.read_text("utf-8"))


def test_every_machine_is_in_the_list():
    told = json.loads(wordtight("machines", "--json").out)["machines"]
    assert [each["machine"] for each in told] == NAMES
    assert [json.loads(wordtight("machines", name, "--json").out) for name in NAMES[:2]] == told[:2]
    page = wordtight("machines").out
    assert [line.split()[0] for line in page.splitlines()[2 : 2 + len(NAMES)]] == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_what_is_told_stands_in_its_card(name):
    told, card = json.loads(wordtight("machines", name, "--json").out), card_of(name)
    assert (told["title"], told["from"]) == (card["title"], card["from"])
    assert (told["word_bits"], told["store_words"]) == (card["word-bits"], card["store-words"])
    assert told["fixed_words"] == card.get("fixed-words", 0)
    assert told["characters"] == card["characters"]["code"]
    assert told["reads"] == card.get("reads", ["line", "key"])
    assert told["programs"] == card.get("programs", "own")
    assert told["turn_words"] == card.get("time", {}).get("turning", {}).get("words")
    page = wordtight("machines", name).out
    assert page.startswith(f"{name}: {card['title']}\n")
    assert f"{card['store-words']:,} words of {card['word-bits']} bits" in page
    assert " ".join(card["from"].split()) in " ".join(page.split())


def test_times_are_told_in_units_that_suit_them():
    """3,700 turns of 64 words a minute are a word in 60 / 3700 / 64 s; the others as docs/machines.md has them."""
    lines = {
        name: next(
            (line for line in wordtight("machines", name).out.splitlines() if "instruction:" in line), ""
        )
        for name in ("twelve-bit", "relay-256", "kit-96", "delay-line", "drum-desk", "avr")
    }
    assert {name: line.partition(":")[2].strip() for name, line in lines.items()} == {
        "twelve-bit": "1.5 us to 3 us",
        "relay-256": "200 ms",
        "kit-96": "10 ms",
        "delay-line": "1.5 ms",
        "drum-desk": "a store that turns, 64 words a turn, a word in 253 us",
        "avr": "",
    }
    told = json.loads(wordtight("machines", "twelve-bit", "--json").out)
    assert told["instruction_seconds"] == [1.5e-6, 3e-6]
    assert (told["typed_per_second"], told["printed_per_second"]) == (10.0, 10.0)


def test_a_card_of_ones_own_is_told_and_the_next_command_can_be_typed(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    text = (CARDS / "kit-96.toml").read_text("utf-8")
    source = card_of("kit-96")["from"]
    Path("my kit.toml").write_text(text.replace(source, f"{source}."), encoding="utf-8")
    page = wordtight("machines", "my kit.toml").out
    assert ".." not in page
    line = next(line for line in page.splitlines() if line.startswith("Next: "))
    assert shlex.split(line.removeprefix("Next: ").partition("  (")[0]) == [
        "wordtight", "games", "--machine", "my kit.toml",
    ]  # fmt: skip
