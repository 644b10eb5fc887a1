"""Kept results: the same answers from a file, and nothing but a solved game is taken from one that is not as it was."""

import hashlib
import json
from contextlib import nullcontext
from pathlib import Path

import numpy as np
import pytest

from games.load import game_digest, load_game
from solver.engines import solve_plainly
from solver.kept import NAME, NotKept, cache_folder, keep, read_kept, solve_or_read

GAMES = ["four-by-three", "three-mens-morris", "hexapawn", "dodgem"]


@pytest.mark.parametrize("name", GAMES)
def test_what_is_read_back_gives_the_same_answers(name, tmp_path):
    game = load_game(name)
    solved = solve_plainly(game)
    keep(tmp_path / "kept", solved, "digest")
    kept = read_kept(tmp_path / "kept", game, "digest")
    assert (kept.start, kept.positions) == (solved.start, solved.positions)
    for codes, others in zip(solved.plies(), kept.plies(), strict=True):
        assert np.array_equal(codes, others)
        wanted, found = solved.look_up(codes), kept.look_up(codes)
        assert np.array_equal(found.value, wanted.value)
        assert np.array_equal(found.distance, wanted.distance)


@pytest.fixture
def kept_file(tmp_path):
    game = load_game("hexapawn")
    path = tmp_path / "kept"
    keep(path, solve_plainly(game), "digest")
    return game, path


def test_no_byte_of_a_kept_file_may_change(kept_file):
    game, path = kept_file
    whole = path.read_bytes()
    head = whole.index(b"\n", len(NAME)) + 1
    for place in [*range(len(NAME)), *range(head, len(whole), 7)]:
        path.write_bytes(whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :])
        with pytest.raises(NotKept):
            read_kept(path, game, "digest")


@pytest.mark.parametrize("key", ["game", "start", "positions", "layers", "check"])
@pytest.mark.parametrize("value", [None, -1, 1.5, "x", [], [0], [-1], [1 << 70], {}, True])
def test_a_header_that_says_something_else_is_refused(key, value, kept_file):
    game, path = kept_file
    name, header, payload = path.read_bytes().split(b"\n", 2)
    altered = json.loads(header) | {key: value}
    path.write_bytes(b"\n".join([name, json.dumps(altered).encode(), payload]))
    with pytest.raises(NotKept):
        read_kept(path, game, "digest")


@pytest.mark.parametrize(
    "change", [lambda b: b[:-1], lambda b: b + b"x", lambda b: b[:40], lambda b: b"", lambda b: b"\0" * 99]
)
def test_files_that_are_cut_short_or_none_are_refused(change, kept_file):
    game, path = kept_file
    path.write_bytes(change(path.read_bytes()))
    with pytest.raises(NotKept):
        read_kept(path, game, "digest")


@pytest.mark.parametrize(
    ("change", "digest", "why"),
    [
        (lambda b: b, "another digest", "the results of another game"),
        (
            lambda b: b.replace(NAME, b"wordtight solved 2\n"),
            "digest",
            "no file of kept results, or one of another version",
        ),
        (lambda b: b[:-1], "digest", "cut short, or grown"),
        (lambda b: b[:-1] + bytes([b[-1] ^ 1]), "digest", "damaged: the check sum is another"),
        (lambda b: b.replace(b"{", b"<"), "digest", "a header that is none"),
        (lambda b: b.replace(b'"start": ', b'"start": -'), "digest", "a header with impossible numbers"),
        (
            lambda b: b.replace(b'"positions": ', b'"positions": 9'),
            "digest",
            "a header with impossible numbers",
        ),
        (
            lambda b: b.replace(b'"check"', b'"chick"'),
            "digest",
            "a header that lacks the game or the check sum",
        ),
    ],
    ids=map(str, range(8)),
)
def test_it_is_said_why_a_file_is_not_taken(change, digest, why, kept_file):
    game, path = kept_file
    path.write_bytes(change(path.read_bytes()))
    with pytest.raises(NotKept) as caught:
        read_kept(path, game, digest)
    assert str(caught.value) == why


def test_the_numbers_lie_on_an_even_address_behind_two_lines_of_text(kept_file):
    _, path = kept_file
    whole = path.read_bytes()
    name, header, numbers = whole.split(b"\n", 2)
    read = json.loads(header)
    assert name + b"\n" == NAME
    assert (len(whole) - len(numbers)) % 64 == 0
    assert len(numbers) == 10 * sum(read["layers"])
    assert read["positions"] == sum(read["layers"]) == 135
    assert read["check"] == hashlib.blake2b(numbers, digest_size=16).hexdigest()


def test_what_is_half_written_stands_in_the_same_folder(tmp_path, monkeypatch):
    """From there alone it can become the whole file in one step, on any system."""
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "nowhere"))
    written = []
    monkeypatch.setattr(
        "solver.kept._write", lambda file, solved, digest: written.extend(tmp_path.rglob("*"))
    )
    keep(tmp_path / "deep" / "kept", solve_plainly(load_game("hexapawn")), "digest")
    [folder, half] = written
    assert folder == half.parent == tmp_path / "deep"
    assert half.name.startswith(".kept.")
    assert [path.name for path in folder.iterdir()] == ["kept"]


@pytest.mark.parametrize("why", [OSError, KeyboardInterrupt])
def test_what_cannot_be_written_whole_leaves_nothing(why, tmp_path, monkeypatch):
    def fails(file, solved, digest):
        file.write(b"half")
        raise why

    monkeypatch.setattr("solver.kept._write", fails)
    solved = solve_plainly(load_game("hexapawn"))
    with nullcontext() if why is OSError else pytest.raises(why):
        keep(tmp_path / "kept", solved, "digest")
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("platform", "named", "folder"),
    [
        ("linux", {"WORDTIGHT_CACHE": "/own", "XDG_CACHE_HOME": "/xdg"}, "/own"),
        ("linux", {"WORDTIGHT_CACHE": "", "XDG_CACHE_HOME": "/xdg", "LOCALAPPDATA": "/local"}, "/xdg/wordtight"),
        ("linux", {"XDG_CACHE_HOME": ""}, "/home/someone/.cache/wordtight"),
        ("win32", {"LOCALAPPDATA": "/local", "XDG_CACHE_HOME": "/xdg"}, "/local/wordtight"),
        ("win32", {}, "/home/someone/AppData/Local/wordtight"),
    ],
    ids=["named", "xdg", "home", "local", "windows-home"],
)  # fmt: skip
def test_where_results_are_kept(platform, named, folder, monkeypatch):
    for name in ("WORDTIGHT_CACHE", "XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)
    for name, value in named.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr("solver.kept.sys.platform", platform)
    monkeypatch.setattr("solver.kept.Path.home", lambda: Path("/home/someone"))
    assert cache_folder() == Path(folder)


def test_a_result_is_kept_when_it_took_its_time_and_a_damaged_one_is_made_anew(tmp_path, monkeypatch):
    monkeypatch.setattr("solver.kept.WORTH_KEEPING", 0.0)
    game = load_game("hexapawn")
    runs = []

    def solve():
        runs.append(1)
        return solve_plainly(game)

    for _ in range(2):
        assert solve_or_read(game, "d", tmp_path / "new folder", solve).positions == 135
    assert len(runs) == 1
    [path] = (tmp_path / "new folder").iterdir()
    path.write_bytes(path.read_bytes()[:-3])
    assert solve_or_read(game, "d", tmp_path / "new folder", solve).positions == 135
    assert len(runs) == 2
    assert solve_or_read(game, "d", tmp_path / "new folder", solve).positions == 135
    assert len(runs) == 2


def test_quick_results_are_not_kept(tmp_path):
    game = load_game("hexapawn")
    solve_or_read(game, "d", tmp_path, lambda: solve_plainly(game))
    assert not list(tmp_path.iterdir())


def test_a_folder_that_cannot_be_written_costs_nothing_but_time(tmp_path, monkeypatch):
    monkeypatch.setattr("solver.kept.WORTH_KEEPING", 0.0)
    game = load_game("hexapawn")
    (tmp_path / "file").write_text("in the way")
    assert solve_or_read(game, "d", tmp_path / "file", lambda: solve_plainly(game)).positions == 135


def test_digests_tell_rules_and_not_titles(tmp_path):
    text = 'kind = "game"\nfamily = "marks"\ncolumns = 3\nrows = 3\nin-a-row = 3\n'
    (tmp_path / "a.toml").write_text(text)
    (tmp_path / "b.toml").write_text(f'# a remark\n{text}title = "Another title"\n')
    (tmp_path / "c.toml").write_text(f"{text}misere = true\n")
    a, b, c = (game_digest(tmp_path / f"{name}.toml") for name in "abc")
    assert a == b == game_digest("noughts-and-crosses")
    assert a != c == game_digest("misere-noughts-and-crosses")
