"""A strategy as data that a page can play from: the words of its table, and the positions that play can reach.

The answers are in the words alone: sorted keys (`budget.encodings.sorted_keys`), packed for a machine as `size` packs
them.  The page looks them up; of a position in which the machine moves it is told only the key to seek, through which
symmetry the move found is to be turned back, and what each move leads to.  All else is said by the house rules.
"""

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from budget.boards import numberings
from budget.encodings import sorted_keys, verify
from budget.packed import NotApplicable, Packed
from games.board import FREE, MINE, VISITORS
from games.codes import FIRST, UNFINISHED, Bytes, Codes, Flags, win_of
from games.game import inverse_symmetries, least_images, on_board, scored
from games.house import AT_ONCE
from games.housed import HousedGame
from games.inputs import AFTER_END, class_in_words, classes_of, refusal_class
from games.repetition import repetition_limit
from solver.fixed import TURNED, FixedPlay
from solver.graph import Graph
from workbench.pictures.positions import without_counts

MOST_POSITIONS = 10_000
"""That a page holds: more would make it slow to open."""
MACHINE_MOVES, VISITOR_MOVES, OVER = 0, 1, 2
"""What a position asks for, as the page's script knows it."""
NOTHING = -1
"""In place of answers: none hold after the end; in place of a move: nothing changes."""


class NotPlayable(Exception):
    """The strategy cannot be played on a page; the message is the reason, in words."""


class Stored(NamedTuple):
    """A play and the table of its answers in the words of a machine."""

    play: FixedPlay
    packed: Packed


def smallest_table(plays: list[FixedPlay], word_bits: int) -> Stored:
    """The smallest table of sorted keys among some readings of a strategy; of equal ones the first.

    Only layouts that say moves by their numbers: a page does not know which moves are legal on a turned board.
    Raises NotPlayable, with the reason, where there is none.
    """
    found: list[Stored] = []
    reason = "it has no answer everywhere"
    for play in plays:
        try:
            table = sorted_keys.lay_out(play)
            by_number = [at for at, layout in enumerate(table.layouts) if not layout.constants["by place"]]
            packed = min((table.pack_as(at, word_bits) for at in by_number), key=lambda each: len(each.words))
        except NotApplicable as refusal:
            reason = str(refusal)
            continue
        verify(play, packed)
        found.append(Stored(play, packed))
    if not found:
        raise NotPlayable(reason)
    return min(found, key=lambda stored: len(stored.packed.words))


def playable(stored: Stored) -> dict[str, Any]:
    """Everything that the page's script needs, as plain lists and dictionaries.

    Raises NotPlayable, with the reason, where that is too large for a page.
    """
    play = stored.play
    game, graph = play.game, play.graph
    if len(graph) > MOST_POSITIONS:
        raise NotPlayable(
            f"{len(graph):,} positions can come up, and a page holds {MOST_POSITIONS:,} at most"
        )
    boards = _boards(game, graph.codes)
    pictures = list(dict.fromkeys(boards))
    number_of = {board: number for number, board in enumerate(pictures)}
    answers, profile = _answers(game, graph.codes)
    return {
        **_said(game),
        "scores": scored(game) is not None,
        "answers": answers,
        "start": graph.start,
        "boards": pictures,
        "positions": _positions(stored, [number_of[board] for board in boards], profile),
        "store": _store(stored.packed),
        "back": _turning_back(play) if play.reading == TURNED else [],
    }


def _said(game: HousedGame) -> dict[str, Any]:
    """How input is read, and what is said."""
    house, fair = game.house, game.fair
    classes = classes_of(fair)
    return {
        "names": [name.lower() for name in fair.move_names],
        "form": game.house.form._asdict(),
        "shape": game.shape.pattern,
        "says": house.messages,
        "after_end": house.rules[house.rule_for(AFTER_END)].say,
        "at_once": house.next_game == AT_ONCE,
        "limit": repetition_limit(game),
        "classes": [class_in_words(name) for name in classes],
        "class_ids": {name: number for number, name in enumerate(classes)},
        "reasons": [classes.index(refusal_class(refusal, game.seat)) for refusal in fair.refusals],
        "effects": list(game.move_names[game.fair_moves :]),
        "seat": game.seat,
    }


def _answers(game: HousedGame, codes: Codes) -> tuple[list[list[list[Any]]], list[int]]:
    """What is said to each class of wrong input and which move it amounts to, once for each state of the counters.

    Returns those, and for each position (n,) which of them holds there.
    """
    rules = range(len(game.house.rules))
    states: dict[tuple[int, ...], int] = {}
    holds: list[int] = []
    answers: list[list[list[Any]]] = []
    counted = zip(*(game.times_forgiven(codes, rule).tolist() for rule in rules), strict=True)
    unfinished = (game.ending(codes) == UNFINISHED).tolist()
    for code, state, goes_on in zip(codes.tolist(), counted, unfinished, strict=True):
        if not goes_on:
            holds.append(NOTHING)
            continue
        if state not in states:
            states[state] = len(answers)
            answers.append([_answer(game, code, name) for name in classes_of(game.fair)])
        holds.append(states[state])
    return answers, holds


def _answer(game: HousedGame, code: int, input_class: str) -> list[Any]:
    move = game.answer(code, input_class)
    return [game.message(code, input_class)[1], NOTHING if move is None else move]


def _boards(game: HousedGame, codes: Codes) -> list[str]:
    """Each position as a sign for each cell; where there are no cells as the game draws it, with names to type."""
    bare, strip = without_counts(game)
    board_game = on_board(bare)
    inner = strip(codes)
    if board_game is None:
        return ["\n".join(bare.drawing(code, game.seat, named=True)) for code in inner.tolist()]
    held = board_game.holdings(inner)
    signs = np.full((len(codes), board_game.board.size), FREE)
    for sets, sign in ((held[game.seat], MINE), (held[game.visitor], VISITORS)):
        cells = np.arange(board_game.board.size, dtype=np.uint64)
        signs[(sets[:, None] >> cells & np.uint64(1)).astype(bool)] = sign
    return ["".join(row) for row in signs.tolist()]


def _positions(stored: Stored, boards: list[int], profile: list[int]) -> list[list[Any]]:
    """For each position what it asks for, its board, what belongs to that, and its moves.

    The moves are in one row, three numbers each: the move, where it leads, and what it brings the machine.
    MACHINE_MOVES: the key to seek and the symmetry; VISITOR_MOVES: for each move why it may not be played (0: it
    may), and which answers hold; OVER: who has won, as the name of what is said.
    """
    play = stored.play
    game, graph = play.game, play.graph
    is_machine: Flags = graph.mover == game.seat
    keys, by = _keys(stored, game.fair_codes(graph.codes))
    reasons = _reasons(game, graph.codes)
    says = {win_of(game.seat): "machine-wins", win_of(game.visitor): "visitor-wins"}
    edges = np.stack([graph.move, graph.child, _gains(game, graph)], axis=1).ravel().tolist()
    positions: list[list[Any]] = []
    for place in range(len(graph)):
        ending = int(graph.ending[place])
        if ending != UNFINISHED:
            positions.append([OVER, boards[place], says.get(ending, "draw")])
            continue
        about: list[Any] = (
            [MACHINE_MOVES, boards[place], f"{int(keys[place]):x}", int(by[place])]
            if is_machine[place]
            else [VISITOR_MOVES, boards[place], reasons[place], profile[place]]
        )
        positions.append([*about, edges[3 * graph.first_edge[place] : 3 * graph.first_edge[place + 1]]])
    return positions


def _gains(game: HousedGame, graph: Graph) -> npt.NDArray[np.int64]:
    """What each move of a graph brings the machine at once, (m,): nothing where moves do not score.

    A game that is lost by wrong input is an ending that says who has won, and brings nothing here.
    """
    scores = scored(game)
    if scores is None:
        return np.zeros(len(graph.move), dtype=np.int64)
    gains = scores.gains(graph.codes[graph.parent], graph.move).astype(np.int64)
    gains[graph.move >= game.fair_moves] = 0
    return gains if game.seat == FIRST else -gains


def _keys(stored: Stored, boards: Codes) -> tuple[Codes, Bytes]:
    """The number under which the table knows each board, and the symmetry that leads to the board that it stores."""
    game = stored.play.game
    numbering = numberings(game)[stored.packed.constants["numbering"]]
    if stored.play.reading != TURNED:
        return numbering(boards), np.zeros(len(boards), dtype=np.uint8)
    least, by = least_images(game.fair, boards)
    return numbering(least), by


def _reasons(game: HousedGame, codes: Codes) -> list[str]:
    """For each position a digit for every move of the fair game: why it may not be played, 0 if it may."""
    digits = np.zeros((len(codes), game.fair_moves), dtype=np.uint8)
    for move in range(game.fair_moves):
        digits[:, move] = game.why_not(codes, np.full(len(codes), move, dtype=np.uint16))
    return ["".join(map(str, row)) for row in digits.tolist()]


def _store(packed: Packed) -> dict[str, Any]:
    """The words as one row of hexadecimal digits, and how the table lies in them."""
    digits = -(-packed.word_bits // 4)
    return {
        "word_bits": packed.word_bits,
        "digits": digits,
        "words": "".join(f"{word:0{digits}x}" for word in packed.words),
        "columns": [list(column) for column in packed.columns],
        "key_bits": packed.constants["key bits"],
    }


def _turning_back(play: FixedPlay) -> list[list[int]]:
    """For each symmetry what every move is called when it is turned back."""
    fair = play.game.fair
    moves = np.arange(play.game.fair_moves, dtype=np.uint16)
    return [fair.turned_move(inverse, moves).tolist() for inverse in inverse_symmetries(fair)]
