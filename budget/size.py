"""The size of a strategy on a machine: its answers in every encoding, its messages and its workspace.

Nothing here is estimated: every table is packed, read back from its words and compared with the strategy in every
position that it can meet before its words are counted.
"""

from collections.abc import Collection, Sequence
from typing import Any, NamedTuple

from budget.boards import stored_answers
from budget.card import LONGEST_WORD, CostCard
from budget.encodings import Encoding, encodings, verify
from budget.entropy import bits_of_this_play
from budget.messages import words_of_messages
from budget.packed import NotApplicable, Shape
from budget.packing import Fields, bits_for
from games.game import Game, on_board
from games.house import HouseRules
from games.problems import bad, listed
from games.repetition import repetition_limit
from solver.fixed import FixedPlay
from solver.limit_cost import REPETITIONS, cost_of_plies, cost_of_repetitions, plies_limited

PROGRAM_IS_NOT_IN_IT = "The words of the program itself are not in these figures."


class Row(NamedTuple):
    """One encoding of a play in one reading; where it is not applicable, the reason, and None for all figures.

    answers: boards whose move is stored; table_bits: those of table_words that mean something;
    margin: the words of store that are left, below 0 if it does not fit; notes: sentences for people.
    """

    encoding: str
    title: str
    reading: str
    answers: int | None
    table_words: int | None
    table_bits: int | None
    message_words: int
    workspace_words: int | None
    total_words: int | None
    fits: bool
    margin: int | None
    reason: str | None
    notes: tuple[str, ...]


class LimitWords(NamedTuple):
    """What a limit of plies or of repetitions costs a play, fixed in a reading; see `solver.limit_cost.LimitCost`.

    positions, positions_without: of plies, the boards on which the machine moves, as stored with their plies and
    without; of repetitions, all that can be met.  words: those of the counts, which belong to the workspace.
    """

    reading: str
    kind: str
    limit: int
    bits: int
    counts: int
    positions: int
    positions_without: int
    words: int


class Size(NamedTuple):
    """A strategy sized on a machine.

    fits: whether some encoding does; message_words: all messages; never_said: those that no line of play can bring
    about, by name; words_saved: what leaving them out saves; limits: what the game's limit costs in each reading, if it
    has one; fewest_bits: by reading, below which no table goes that could hold any play on the same boards
    (`budget.entropy`); remark: what is not in the figures, in words.
    """

    machine: str
    title: str
    word_bits: int
    store_words: int
    fits: bool
    message_words: int
    never_said: tuple[str, ...]
    words_saved: int
    limits: tuple[LimitWords, ...]
    fewest_bits: dict[str, float]
    encodings: tuple[Row, ...]
    remark: str

    def as_json(self) -> dict[str, Any]:
        """The same as plain lists and dictionaries."""
        rows = [{**row._asdict(), "notes": list(row.notes)} for row in self.encodings]
        limits = [limit._asdict() for limit in self.limits]
        return {**self._asdict(), "never_said": list(self.never_said), "limits": limits, "encodings": rows}


def size_play(
    plays: Sequence[FixedPlay], house: HouseRules, card: CostCard, never_said: Collection[str] = ()
) -> Size:
    """Size the same strategy, fixed in one reading or more, in every encoding.

    `never_said` names messages as ``house.all_messages`` does.  Raises BadInput where the machine cannot read as the
    house rules ask, or cannot say a message; RuntimeError if a table does not read back, a fault of ours.
    """
    check_reading(house, card)
    messages = words_of_messages(house, card)
    workspace = workspace_words(plays[0].game.fair, house, card)
    limits = {play.reading: cost for play in plays if (cost := limit_words(play, card)) is not None}
    rows = tuple(
        _sized(play, encoding, card, messages, workspace + _comings_counted(limits.get(play.reading)))
        for play in plays
        for encoding in encodings().values()
    )
    return Size(
        card.name,
        card.title,
        card.word_bits,
        card.store_words,
        any(row.fits for row in rows),
        messages,
        tuple(never_said),
        messages - words_of_messages(house, card, never_said),
        tuple(limits.values()),
        {play.reading: bits_of_this_play(play) for play in plays},
        rows,
        PROGRAM_IS_NOT_IN_IT,
    )


def check_reading(house: HouseRules, card: CostCard) -> None:
    """Raise BadInput where a machine cannot read as the house rules ask."""
    if house.form.kind not in card.reads:
        raise bad(
            f"the house rules '{house.name}' read by {house.form.kind}, and the machine '{card.name}' reads by "
            f'{listed(card.reads)}; expected house rules with input = "{card.reads[0]}", or another machine'
        )


def workspace_words(game: Game, house: HouseRules, card: CostCard) -> int:
    """The words in which any program for this game keeps what changes, before those of its encoding.

    The board, a word for each cell (where there are no cells, as many words as hold a position); whose turn it is; the
    plies played, up to the limit if there is one; the character that was keyed in; the move found; and a counter for
    each house rule that forgives.  What does not fit in one word takes two or more.
    """
    limited = plies_limited(game)
    board_game = game if limited is None else limited.unlimited
    on_cells = on_board(board_game)
    cells = on_cells.board.size if on_cells else 0
    plies = cells if limited is None else limited.limit
    counters = [rule.forgive.bit_length() for rule in house.rules if rule.counts]
    one_each = [1, bits_for(plies + 1), card.characters.bits, bits_for(len(game.move_names)), *counters]
    return (cells or card.words_holding(board_game.bits)) + sum(map(card.words_holding, one_each))


def limit_words(play: FixedPlay, card: CostCard) -> LimitWords | None:
    """What the limit of a play's game costs on a machine; None where it has none."""
    limited, comings = plies_limited(play.game), repetition_limit(play.game)
    if limited is not None:
        boards, _ = stored_answers(play)
        cost = cost_of_plies(limited, boards)
        return LimitWords(play.reading, *cost, card.words_holding(cost.bits))
    if comings is not None:
        cost = cost_of_repetitions(comings, play.graph)
        return LimitWords(play.reading, *cost, Fields.of(cost.bits, card.word_bits).words_for(cost.counts))
    return None


def _comings_counted(limit: LimitWords | None) -> int:
    """The words of workspace in which comings are counted; the plies have their word in that of any program."""
    return limit.words if limit is not None and limit.kind == REPETITIONS else 0


def _sized(play: FixedPlay, encoding: Encoding, card: CostCard, messages: int, workspace: int) -> Row:
    """Pack a play, make sure of it, and count."""
    try:
        table = encoding.lay_out(play)
        packed = table.pack(card.word_bits)
    except NotApplicable as refusal:
        return _not_applicable(encoding.NAME, play.reading, messages, str(refusal))
    verify(play, packed)
    row = row_of(table.shape, card, messages, workspace)
    if len(packed.words) != row.table_words:
        raise RuntimeError(
            f"encoding {encoding.NAME} has {len(packed.words)} words instead of {row.table_words}"
        )
    return row


def proved_shapes(play: FixedPlay) -> list[Shape]:
    """The shapes of a play's tables in every encoding that can hold it, in the order of their names.

    Each table is packed in the longest words there are and read back before it counts, as for a machine.
    """
    shapes = []
    for encoding in encodings().values():
        try:
            table = encoding.lay_out(play)
            packed = table.pack(LONGEST_WORD)
        except NotApplicable:
            continue
        verify(play, packed)
        shapes.append(table.shape)
    return shapes


def row_of(shape: Shape, card: CostCard, messages: int, workspace: int) -> Row:
    """The figures of a table by its shape; `messages` and `workspace`: the words of those of any program."""
    try:
        layout = shape.on(card.word_bits)
    except NotApplicable as refusal:
        return _not_applicable(shape.encoding, shape.reading, messages, str(refusal))
    words = layout.words(card.word_bits)
    workspace += shape.workspace.on(card)
    total = words + messages + workspace
    return Row(
        shape.encoding,
        encodings()[shape.encoding].TITLE,
        shape.reading,
        shape.answers,
        words,
        layout.bits,
        messages,
        workspace,
        total,
        total <= card.store_words,
        card.store_words - total,
        None,
        (layout.note,),
    )


def _not_applicable(encoding: str, reading: str, messages: int, reason: str) -> Row:
    return Row(
        encoding,
        encodings()[encoding].TITLE,
        reading,
        None,
        None,
        None,
        messages,
        None,
        None,
        fits=False,
        margin=None,
        reason=reason,
        notes=(),
    )
