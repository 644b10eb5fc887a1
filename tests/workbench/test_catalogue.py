"""The catalogue: what is stored of its games is true, and what is said of them on a machine is what comes out."""

import json
import re
import tomllib
from pathlib import Path

import pytest

from budget.card import load_machine, machine_names
from budget.size import row_of, size_play, workspace_words
from games.house import load_house_rules
from games.load import FAMILIES, catalogue_names, load_game
from solver.best import prove_best
from solver.fixed import fixed_plays
from solver.load import load_strategy
from solver.proof import prove
from solver.solve import solve
from solver.strategy import OPEN
from tests import naive
from tests.twins import catalogue_twins
from tests.workbench.running import wordtight
from tests.workbench.slow_catalogue import SlowGame
from workbench import catalogue, fits, stored
from workbench.catalogue import PAGE, page, work_out
from workbench.stored import FAMILY_TITLES, RESULTS, as_text, stored_entries

ROOT = Path(__file__).parent.parent.parent
ENTRIES = stored_entries()
QUICK = {name for name, entry in ENTRIES.items() if entry.positions <= 500}
"""Games of every family that are worked out in a part of a second."""
MARKS = stored_entries("marks")
WRITE_ANEW = "work it out: python -m workbench.catalogue GAME"
SLOW = (
    "two-by-two", "crosses-only", "pong-hau-ki", "small-mu-torere", "mu-torere", "hexapawn", "giveaway-pawns", "dodgem",
    "nim-1-2-3", "twenty-one", "chomp-four-by-three", "domineering-four", "boxes-three-by-one",
)  # fmt: skip
"""Games of at most a few thousand positions, of every family: some that loop, score, or depend on who begins."""


# What is stored -----------------------------------------------------------------------------------------------


def test_every_game_has_stored_results_and_nothing_else_has():
    assert list(json.loads(RESULTS.read_text("utf-8"))) == list(catalogue_names()), WRITE_ANEW


def test_at_least_twenty_five_games_come_from_somewhere():
    assert len(catalogue_names()) >= 25
    for name in catalogue_names():
        game = load_game(name)
        assert game.origin.strip(), name
        assert "\n" not in game.origin
        assert f"From: {game.origin}" in " ".join(wordtight("show", name).out.split())


def test_the_families_are_those_that_can_be_read():
    assert set(FAMILY_TITLES) == set(FAMILIES)
    for name, entry in ENTRIES.items():
        path = ROOT / "games" / "catalogue" / f"{name}.toml"
        assert entry.family == tomllib.loads(path.read_text("utf-8"))["family"]


def test_the_files_are_what_the_script_writes():
    assert RESULTS.read_text("utf-8") == as_text(ENTRIES)
    assert PAGE.read_text("utf-8") == page(ENTRIES), WRITE_ANEW


@pytest.mark.parametrize("name", sorted(QUICK))
def test_stored_results_come_out_again(name):
    assert work_out(name) == ENTRIES[name], WRITE_ANEW


@pytest.mark.long
@pytest.mark.parametrize("name", sorted(set(ENTRIES) - QUICK))
def test_stored_results_of_large_games_come_out_again(name):
    assert work_out(name) == ENTRIES[name], WRITE_ANEW


@pytest.mark.parametrize("name", SLOW)
def test_stored_results_are_those_of_plain_rounds(name):
    entry, game = ENTRIES[name], load_game(name)
    slow = SlowGame(game)
    assert (entry.size, entry.positions, entry.value, entry.distance, entry.loops) == (
        game.size, len(slow.moves), slow.value, slow.distance, slow.loops,
    )  # fmt: skip
    assert entry.positions_up_to_symmetry == slow.up_to_symmetry
    if game.other_start is None:
        assert entry.value_if_second_begins is None
    else:
        assert entry.value_if_second_begins == SlowGame(game, game.other_start).value
    for seat, player in enumerate(("first", "second")):
        assert entry.is_lost(seat) == slow.lost(seat)
        answers = entry.answers[player]
        assert (answers and answers._asdict()) == (None if slow.lost(seat) else slow.answers(seat))


def test_the_slow_games_are_of_every_kind():
    slow = [ENTRIES[name] for name in SLOW]
    assert {entry.family for entry in slow} == set(FAMILIES)
    assert {entry.loops for entry in slow} == {True, False}
    assert any(isinstance(entry.value, int) for entry in slow)
    assert any(entry.value_if_second_begins not in (None, entry.value) for entry in slow)


def test_a_game_in_which_nothing_comes_back_does_not_loop_though_its_family_can():
    assert load_game("harbour-crossing").can_repeat
    assert not ENTRIES["harbour-crossing"].loops


@pytest.mark.long
def test_plain_rounds_find_nothing_that_comes_back_there():
    assert not SlowGame(load_game("harbour-crossing")).loops


class NaiveBest:
    """Best play of a game of marks on boards of text, which shares no code with the rooms."""

    def __init__(self, name, seat):
        self.game, self.seat = catalogue_twins(name).naive, seat
        self.housed = naive.Housed(self.game, naive.House(), seat)

    def best(self, board):
        state = naive.State(board, self.seat)
        after = self.housed.next(state).items()
        return min(move for move, child in after if self.housed.keeps("quickest", state, child))

    def best_turned(self, board):
        least, turn = self.game.least_image(board)
        return self.game.turned_back(turn, self.best(least))

    def met(self, choose):
        """The boards in which the machine moves, and its moves."""

        def follow(state):
            after = self.housed.next(state)
            return {m: after[m] for m in [choose(state.board)]} if state.turn == self.seat else after

        return {
            state.board: choose(state.board)
            for state in naive.every_state(self.housed, follow)
            if state.turn == self.seat and self.housed.result(state) is None
        }

    def table(self, turning):
        """A file that says what is played."""
        met = self.met(self.best_turned if turning == "turned" else self.best)
        signs = {"FS"[self.seat]: "M", "SF"[self.seat]: "V", naive.FREE: "_"}
        rows = {}
        for board, move in met.items():
            key = self.game.least_image(board)[0] if turning == "turned" else board
            text = "/".join(self.game.written([signs[sign] for sign in board], "."))
            rows.setdefault(key, f"{text},{self.game.move_names[move]}")
        return "\n".join(["position,move", *rows.values()]) + "\n", len(rows)


@pytest.fixture(scope="module")
def marks_at_home():
    return told_of("marks", "home-1k")


@pytest.mark.parametrize(
    ("name", "seat"),
    [("noughts-and-crosses", 0), ("noughts-and-crosses", 1), ("plain-rows", 1), ("two-by-two", 0)],
)
def test_answers_and_words_are_those_of_tables_written_by_plain_recursion(
    name, seat, tmp_path, monkeypatch, marks_at_home
):
    monkeypatch.chdir(tmp_path)
    best, player = NaiveBest(name, seat), ("first", "second")[seat]
    sizes, counts = {}, {}
    for turning in ("turned", "plain"):
        rows, counts[turning] = best.table(turning)
        head = f"game: {name}\nseat: {player}\nclaim: best-value\nturning: {turning}\n\n"
        Path("t.csv").write_text(head + rows, encoding="utf-8")
        written = load_strategy("t.csv")
        proof = prove(written.strategy(seat), written.claim, written.house)
        tables = size_play(fixed_plays(proof), proof.house, load_machine("home-1k"), proof.never_said)
        for row in tables.encodings:
            if row.reading == turning and row.reason is None:
                sizes[row.total_words, row.encoding, row.reading] = row.fits
    assert ENTRIES[name].answers[player] == (counts["turned"], counts["plain"])
    told = marks_at_home[name, player]
    assert (told["least_words"], told["encoding"], told["reading"]) == min(sizes)
    assert told["verdict"] == ("fits" if sizes[min(sizes)] else "does not fit as a table")


# The list -----------------------------------------------------------------------------------------------------


def assert_plain_and_narrow(out):
    assert out.isascii()
    assert all(len(line) <= 80 and line == line.rstrip() and line.isprintable() for line in out.split("\n"))
    assert re.search(r"^Next: wordtight ", out, re.MULTILINE)


def test_the_list_says_what_is_stored_of_every_game():
    ran = wordtight("games")
    assert (ran.status, ran.err) == (0, "")
    assert_plain_and_narrow(ran.out)
    rows = {
        line.split()[0]: line.split("  ") for line in ran.out.split("\n") if line.partition(" ")[0] in ENTRIES
    }
    assert set(rows) == set(ENTRIES)
    for name, entry in ENTRIES.items():
        cells = [cell.strip() for cell in rows[name] if cell.strip()]
        value = entry.value if isinstance(entry.value, str) else value_in_words(entry.value)
        assert cells == [
            name, entry.size, f"{entry.positions:,}", value, str(entry.distance or "-"), ("no", "yes")[entry.loops],
        ]  # fmt: skip
        if entry.value_if_second_begins is not None:
            assert f"{name}: {entry.value_if_second_begins}" in " ".join(ran.out.split())


def value_in_words(difference):
    return f"{'first' if difference > 0 else 'second'} by {abs(difference)}"


def test_the_list_by_json():
    told = json.loads(wordtight("games", "--json").out)
    assert [each["game"] for each in told["games"]] == list(catalogue_names())
    for each in told["games"]:
        game, entry = load_game(each["game"]), ENTRIES[each["game"]]
        assert each == {
            "game": game.name, "title": game.title, "size": game.size, "from": game.origin, "family": entry.family,
            "positions": entry.positions, "positions_up_to_symmetry": entry.positions_up_to_symmetry,
            "value": entry.value, "distance": entry.distance,
            "value_if_second_begins": entry.value_if_second_begins, "loops": entry.loops,
        }  # fmt: skip


@pytest.mark.parametrize("family", FAMILIES)
def test_one_family_alone(family):
    told = json.loads(wordtight("games", family, "--json").out)
    assert [each["game"] for each in told["games"]] == [n for n, e in ENTRIES.items() if e.family == family]
    assert_plain_and_narrow(wordtight("games", family).out)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["cards"], "'cards' is not one of 'marks', 'steps', 'advance', 'take', 'fill'"),
        (["--seat", "first"], "a --seat is a machine's; expected --machine M beside it"),
        (["--machine", "twelve"], "there is no machine called 'twelve'"),
        (["--machine", "twelve-bit", "--seat", "both"], "'both' is not one of 'first', 'second'"),
    ],
)
def test_what_cannot_be_listed(arguments, message):
    ran = wordtight("games", *arguments)
    assert (ran.status, ran.out) == (2, "")
    assert message in ran.err
    assert ran.err.count("\n") == 1


# On a machine -------------------------------------------------------------------------------------------------


def told_of(family, machine, *seat):
    ran = wordtight("games", family, "--machine", machine, *seat, "--json")
    assert (ran.status, ran.err) == (0, "")
    return {(each["game"], each["seat"]): each for each in json.loads(ran.out)["games"]}


@pytest.fixture(scope="module")
def all_on_a_small_machine():
    """What is said of every game, by JSON and by text."""
    arguments = ("games", "--machine", "relay-256")
    return wordtight(*arguments, "--json"), wordtight(*arguments)


def test_every_game_and_seat_is_told(all_on_a_small_machine):
    by_json, by_text = all_on_a_small_machine
    told = json.loads(by_json.out)
    card = load_machine("relay-256")
    assert (told["machine"], told["title"]) == (card.name, card.title)
    assert (told["word_bits"], told["store_words"]) == (card.word_bits, card.store_words)
    assert [(each["game"], each["seat"]) for each in told["games"]] == [
        (name, seat) for name in catalogue_names() for seat in ("first", "second")
    ]
    assert by_text.status == by_json.status == 0
    assert by_text.err == by_json.err == ""
    assert_plain_and_narrow(by_text.out)


def test_verdicts_follow_from_what_is_known(all_on_a_small_machine):
    for each in json.loads(all_on_a_small_machine[0].out)["games"]:
        entry = ENTRIES[each["game"]]
        answers = entry.answers[each["seat"]]
        assert each["positions"] == entry.positions
        assert (each["answers"], each["answers_fixed_board"]) == (answers or (None, None))
        if entry.is_lost(("first", "second").index(each["seat"])):
            assert (each["verdict"], each["least_words"]) == ("seat is lost", None)
        else:
            assert each["verdict"] == ("fits" if each["least_words"] <= 256 else "does not fit as a table")
            assert each["reason"] is None
    verdicts = {each["verdict"] for each in json.loads(all_on_a_small_machine[0].out)["games"]}
    assert verdicts == {"fits", "does not fit as a table", "seat is lost"}


@pytest.mark.parametrize("machine", machine_names())
def test_every_seat_that_is_not_lost_has_a_figure(machine):
    """However large the game: best play of 9,722,011 positions is a table too.  What cannot be keyed in has none."""
    by_line = "line" in load_machine(machine).reads
    for each in told_of("marks", machine).values():
        if each["verdict"] == "seat is lost":
            assert each["least_words"] is None
        elif by_line or max(map(len, load_game(each["game"]).move_names)) == 1:
            assert each["least_words"] > 0
        else:
            assert each["verdict"] == "no table"
            assert "the machine reads single keys" in each["reason"]


def test_a_machine_that_cannot_say_the_usual_messages_is_told_the_rest():
    """A kit with one hexadecimal digit says nothing of what the usual house rules would have it say."""
    ran = wordtight("games", "marks", "--machine", "kit-96", "--json")
    told = json.loads(ran.out)
    assert not told["messages_counted"]
    assert json.loads(wordtight("games", "marks", "--machine", "relay-256", "--json").out)["messages_counted"]
    out = " ".join(wordtight("games", "marks", "--machine", "kit-96").out.split())
    assert "Nor are messages: kit-96 has not the characters to say those" in out
    game, card = load_game("noughts-and-crosses"), load_machine("kit-96")
    shapes = ENTRIES["noughts-and-crosses"].tables["first"]
    house = load_house_rules("usual", game)
    words = [row_of(shape, card, 0, workspace_words(game, house, card)).total_words for shape in shapes]
    [found] = [
        each for each in told["games"] if (each["game"], each["seat"]) == ("noughts-and-crosses", "first")
    ]
    assert found["least_words"] == min(words)


@pytest.mark.parametrize("machine", ["relay-256", "drum-desk"])
@pytest.mark.parametrize("name", sorted(QUICK))
def test_words_by_shape_are_those_of_the_table_packed_for_the_machine(name, machine):
    game, entry, card = load_game(name), ENTRIES[name], load_machine(machine)
    house = load_house_rules("usual", game)
    solved = solve(game).solved
    for seat, player in enumerate(("first", "second")):
        if entry.is_lost(seat):
            assert entry.tables[player] is None
            continue
        plays = fixed_plays(prove_best(solved, seat, OPEN, house))
        possible = [row for row in size_play(plays, house, card).encodings if row.reason is None]
        least = min(possible, key=lambda row: (row.total_words, row.encoding, row.reading))
        assert fits.least_words(game, entry, seat, card) == least
        shapes = {(shape.encoding, shape.reading) for shape in entry.tables[player]}
        assert {(row.encoding, row.reading) for row in possible} <= shapes


def test_a_table_larger_than_any_store_is_none():
    """The dense table of five-by-three fits in the largest store with words of 31 bits, and not with words of 8."""
    shape = next(each for each in ENTRIES["five-by-three"].tables["first"] if each.encoding == "dense")
    assert row_of(shape, load_machine("drum-desk"), 0, 0).table_words == shape.on(31).words(31)
    row = row_of(shape, load_machine("relay-256")._replace(word_bits=4), 0, 0)
    assert (row.fits, row.table_words) == (False, None)
    assert "of the largest store" in row.reason


def test_the_table_and_the_picture_say_the_same(all_on_a_small_machine):
    by_json, by_text = all_on_a_small_machine
    first, second = re.split(r"^Machine moves second: ", by_text.out, flags=re.MULTILINE)
    for seat, text in (("first", first), ("second", second)):
        rows = [each for each in json.loads(by_json.out)["games"] if each["seat"] == seat]
        lines = {}
        for line in text.split("\n"):
            lines.setdefault(line.partition(" ")[0], []).append(line)
        lost = re.search(
            rf"Machine moves {seat}, and its seat is lost against best play: (.*?)\.", text, re.DOTALL
        )
        assert lost[1].replace("\n", " ").split(", ") == [
            each["game"] for each in rows if each["verdict"] == "seat is lost"
        ]
        for each in rows:
            if each["verdict"] == "seat is lost":
                continue
            shown = re.split(" {2,}", lines[each["game"]][0])
            fewest = min(each["answers"], each["answers_fixed_board"])
            words = "-" if each["least_words"] is None else f"{each['least_words']:,}"
            said = {"does not fit as a table": "does not fit"}
            verdict = said.get(each["verdict"], each["verdict"])
            assert shown[1:] == [f"{each['positions']:,}", f"{fewest:,}", words, verdict]
            bar = lines[each["game"]][1:]
            assert len(bar) == (each["least_words"] is not None)
            if bar:
                assert (re.search(r"\|#", bar[0]) is not None) == (each["verdict"] != "fits")
                assert bar[0].endswith(f" {words}")


CARD = """\
kind = "machine"
title = "A machine of the club's"
from = "made up"
word-bits = 12
store-words = {words}
reads = ["{reads}"]
[characters]
code = "six-bit"
"""


def test_one_word_decides(tmp_path):
    path = tmp_path / "club.toml"

    def verdict(words):
        path.write_text(CARD.format(words=words, reads="line"), encoding="utf-8")
        told = told_of("advance", path, "--seat", "second")["hexapawn", "second"]
        return told["least_words"], told["verdict"]

    words, fitting = verdict(4096)
    assert fitting == "fits"
    assert verdict(words) == (words, "fits")
    assert verdict(words - 1) == (words, "does not fit as a table")


def test_a_machine_that_reads_single_keys_plays_what_can_be_keyed_in(tmp_path):
    path = tmp_path / "keys.toml"
    path.write_text(CARD.format(words=4096, reads="key"), encoding="utf-8")
    told = told_of("marks", path, "--seat", "first")
    assert told["noughts-and-crosses", "first"]["verdict"] == "fits"
    assert told["four-by-three", "first"]["verdict"] == "no table"
    assert (
        told["four-by-three", "first"]["reason"]
        == "the machine reads single keys, and moves such as 'a1' are longer"
    )
    out = wordtight("games", "marks", "--machine", path, "--seat", "first").out
    assert_plain_and_narrow(out.replace(str(path), "keys.toml"))
    assert "moves such as 'a1' are longer" in " ".join(out.split())


def test_the_keys_are_documented(all_on_a_small_machine):
    page_on_json = (ROOT / "docs" / "json.md").read_text("utf-8")
    documented = {key for quoted in re.findall("`(.*?)`", page_on_json) for key in quoted.split(", ")}
    on_machine = json.loads(all_on_a_small_machine[0].out)
    listed = json.loads(wordtight("games", "take", "--json").out)
    for record in (on_machine, on_machine["games"][0], listed, listed["games"][0]):
        assert set(record) <= documented


# The script ---------------------------------------------------------------------------------------------------


def run_script(monkeypatch, tmp_path, *games):
    monkeypatch.setattr(catalogue, "RESULTS", tmp_path / "results.json")
    monkeypatch.setattr(stored, "RESULTS", tmp_path / "results.json")
    monkeypatch.setattr(catalogue, "PAGE", tmp_path / "page.md")
    catalogue.main(list(games), standalone_mode=False)
    return json.loads((tmp_path / "results.json").read_text("utf-8")), (tmp_path / "page.md").read_text(
        "utf-8"
    )


def test_the_script_writes_results_and_their_page(monkeypatch, tmp_path):
    results, written = run_script(monkeypatch, tmp_path, "two-by-two", "hexapawn")
    known = json.loads(RESULTS.read_text("utf-8"))
    assert results == {name: known[name] for name in ("hexapawn", "two-by-two")}
    assert written == page({name: ENTRIES[name] for name in results})
    assert next(line for line in PAGE.read_text("utf-8").split("\n") if "`hexapawn`" in line) in written


def test_the_script_forgets_games_that_are_gone_and_changes_only_those_named(monkeypatch, tmp_path):
    known = json.loads(RESULTS.read_text("utf-8"))
    spoilt = {"gone": known["hexapawn"], "hexapawn": known["dodgem"], "kayles": known["dodgem"]}
    (tmp_path / "results.json").write_text(json.dumps(spoilt), encoding="utf-8")
    results, _ = run_script(monkeypatch, tmp_path, "hexapawn")
    assert results == {"hexapawn": known["hexapawn"], "kayles": known["dodgem"]}


def test_the_script_knows_only_games_of_the_catalogue(monkeypatch, tmp_path):
    with pytest.raises(Exception, match="the catalogue has no game 'chess'"):
        run_script(monkeypatch, tmp_path, "chess")
