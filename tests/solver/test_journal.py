"""A long run that is interrupted anywhere can be taken up again, and ends with the same answers."""

import numpy as np
import pytest

from games.load import load_game
from solver.journal import Journal
from solver.layers import solve_by_layers


class Interrupted(Exception):
    pass


class Counting:
    """A game that counts how often moves are asked for, and breaks off after so many times."""

    def __init__(self, game, most):
        self._game, self._most, self.asked = game, most, 0

    def __getattr__(self, name):
        return getattr(self._game, name)

    def moves(self, codes):
        self.asked += 1
        if self.asked > self._most:
            raise Interrupted
        return self._game.moves(codes)


@pytest.mark.parametrize("after", range(0, 18, 3))
def test_an_interrupted_run_goes_on_where_it_was(after, tmp_path, monkeypatch):
    monkeypatch.setattr("solver.journal.WAIT", 0.0)
    game = load_game("noughts-and-crosses")
    whole = Counting(game, 1000)
    solved = solve_by_layers(whole)
    with pytest.raises(Interrupted):
        solve_by_layers(Counting(game, after), journal=Journal(tmp_path / "part", resume=False))
    again = Counting(game, 1000)
    resumed = solve_by_layers(again, journal=Journal(tmp_path / "part", resume=True))
    assert again.asked == whole.asked - after
    assert resumed.positions == solved.positions
    for codes in solved.plies():
        wanted, found = solved.look_up(codes), resumed.look_up(codes)
        assert np.array_equal(found.value, wanted.value)
        assert np.array_equal(found.distance, wanted.distance)


def test_without_resuming_an_old_journal_is_forgotten(tmp_path, monkeypatch):
    monkeypatch.setattr("solver.journal.WAIT", 0.0)
    game = load_game("noughts-and-crosses")
    with pytest.raises(Interrupted):
        solve_by_layers(Counting(game, 7), journal=Journal(tmp_path / "part", resume=False))
    anew = Counting(game, 1000)
    solve_by_layers(anew, journal=Journal(tmp_path / "part", resume=False))
    assert anew.asked == 18


def test_short_runs_write_nothing(tmp_path):
    solve_by_layers(load_game("noughts-and-crosses"), journal=Journal(tmp_path / "part", resume=False))
    assert not (tmp_path / "part").exists()


@pytest.mark.parametrize("damage", [b"", b"x" * 200, None])
def test_a_damaged_ply_is_worked_out_again(damage, tmp_path, monkeypatch):
    monkeypatch.setattr("solver.journal.WAIT", 0.0)
    game = load_game("noughts-and-crosses")
    with pytest.raises(Interrupted):
        solve_by_layers(Counting(game, 12), journal=Journal(tmp_path / "part", resume=False))
    path = sorted((tmp_path / "part").iterdir())[3]
    path.write_bytes(damage if damage is not None else path.read_bytes()[:-5])
    resumed = solve_by_layers(game, journal=Journal(tmp_path / "part", resume=True))
    assert resumed.positions == 5478
