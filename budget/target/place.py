"""Where the words of an expanded program lie: pages, the constants, and what leads to words too far away.

Every order is one word wherever it lies, so the program itself never grows: an order that cannot reach a word goes
there through a constant that holds its address, and constants lie in page zero, which every order reaches.
"""

from collections.abc import Iterable, Sequence, Set
from itertools import pairwise
from typing import NamedTuple

from budget.target.code import LINK, ORDER, SPACE, Draft, Item, Literal, Ref
from budget.target.editing import relabelled
from budget.target.sharing import numbers_in
from budget.target.sheet import Orders, Sheet


class NoRoom(Exception):
    """The program does not fit, and why."""


class OutOfReach(NoRoom):
    """An order that leads through a word cannot reach that word."""

    def __init__(self, label: str) -> None:
        super().__init__(f"word {label} is too far away to lead anywhere")
        self.label = label


class Placed(NamedTuple):
    """A program whose words all have addresses.

    items: by address, every item with where it begins; labels: the address of each; constants: the address of each
    literal; start: where the program begins; shared: those constants that are words of the program anyway.
    """

    items: tuple[tuple[int, Item], ...]
    labels: dict[str, int]
    constants: dict[Ref, int]
    start: int
    shared: frozenset[Ref] = frozenset()

    def worth(self, ref: Ref) -> int:
        """The number that a label and an offset stand for."""
        return (self.labels[ref.label] if ref.label else 0) + ref.offset


Run = list[Item]
STUB = 2
"""Words of a link with a jump to its subroutine."""


def place(draft: Draft, sheet: Sheet, store_words: int, jump: str | None) -> Placed:
    """Give every word of a program its address; `jump` is the order that goes elsewhere.  Raises NoRoom."""
    far_links: set[str] = set()
    while True:
        try:
            return _placed(
                draft._replace(items=_with_stubs(draft.items, far_links, jump)), sheet, store_words
            )
        except OutOfReach as refusal:
            links = {label for item in draft.items if item.kind == LINK for label in item.labels}
            if refusal.label not in links - far_links or jump is None:
                raise
            far_links.add(refusal.label)


def _with_stubs(items: Sequence[Item], links: Set[str], jump: str | None) -> list[Item]:
    """The items with some links apart from their subroutines, and a jump there after each: they go into page zero."""
    kept: list[Item] = []
    stubs: list[Item] = []
    label = ""
    for item in items:
        if item.kind == LINK and links & set(item.labels):
            label = f"{item.labels[0]}.far"
            stubs += [item, Item(ORDER, item.line, names=(jump or "",), operand=Ref(label))]
            continue
        kept.append(relabelled(item, [*item.labels, label]) if label else item)
        label = ""
    return [*kept, *stubs]


def _placed(draft: Draft, sheet: Sheet, store_words: int) -> Placed:
    put = sorted(
        ((item.place, item) for item in draft.items if item.place is not None), key=lambda each: each[0]
    )
    for (address, item), (following, _) in pairwise(put):
        if address + item.size > following:
            raise NoRoom(f"the program puts two things at word {following}")
    placed = _packed(
        draft._replace(items=[item for item in draft.items if item.place is None]), sheet, store_words
    )
    room = put[0][0] if put else store_words
    end = max((address + item.size for address, item in placed.items), default=0)
    if max(end, *placed.constants.values(), 0) > room:
        raise NoRoom(f"the program ends with word {end - 1}, and it puts something at word {room} itself")
    items = sorted((*placed.items, *put), key=lambda each: each[0])
    labels = {label: address for address, item in put for label in item.labels}
    return placed._replace(items=tuple(items), labels={**placed.labels, **labels})


def _packed(draft: Draft, sheet: Sheet, store_words: int) -> Placed:
    """Addresses for all that may lie anywhere."""
    runs = runs_of(draft.items)
    temporaries = _used_temporaries(draft)
    literals = list(
        dict.fromkeys(item.operand.value for item in draft.items if isinstance(item.operand, Literal))
    )
    words = sum(map(length, runs)) + len(temporaries) + len(literals)
    zero = sheet.page_words - sheet.first_word
    pointers: list[Ref] = []
    while True:
        near, far = [*runs, temporaries], list[Run]()
        if sheet.page_words and words + len(pointers) > zero:
            near, far = _shared_out(runs, temporaries, zero - len(literals) - len(pointers))
        placed = _laid_out(draft, near, far, [*literals, *pointers], sheet, store_words)
        lacking = [ref for ref in _pointers(placed, sheet) if ref not in placed.constants]
        if not lacking:
            return placed
        pointers += dict.fromkeys(lacking)


def runs_of(items: Sequence[Item]) -> list[Run]:
    """Items that have to stay one after another: code up to where data begins, data up to where code begins."""
    runs: list[Run] = []
    for item in items:
        if runs and runs[-1][-1].is_code == item.is_code:
            runs[-1].append(item)
        else:
            runs.append([item])
    return [part for run in runs for part in (_code_runs(run) if run[0].is_code else [run])]


def _code_runs(run: Run) -> list[Run]:
    """Code cut before the links of subroutines, which nothing runs into."""
    parts: list[Run] = []
    for item in run:
        if item.kind == LINK or not parts:
            parts.append([])
        parts[-1].append(item)
    return parts


def length(run: Iterable[Item]) -> int:
    """How many words some items take."""
    return sum(item.size for item in run)


def _used_temporaries(draft: Draft) -> Run:
    used = {item.operand.label for item in draft.items if isinstance(item.operand, Ref)}
    return [Item(SPACE, 0, [label]) for label in draft.temporaries.values() if label in used]


def _shared_out(runs: Sequence[Run], temporaries: Run, room: int) -> tuple[list[Run], list[Run]]:
    """What lies in page zero, and what lies beyond it.

    The temporaries come first, then data through which orders are led, then what is named most often for its length.
    Raises NoRoom if page zero cannot even hold the temporaries.
    """
    room -= length(temporaries)
    if room < 0:
        raise NoRoom(f"page zero is {-room} words too short for the constants of this program")
    through = _led_through(runs)
    near = [temporaries]

    def rank(run: Run) -> tuple[bool, float, int]:
        labels = {label for item in run for label in item.labels}
        is_needed = bool(labels & through) and (not run[0].is_code or len(run) == STUB)
        return not is_needed, -_uses(run, labels, runs) / max(length(run), 1), runs.index(run)

    movable = [run for run in runs if not run[0].is_code or run[0].kind == LINK]
    for run in sorted(movable, key=rank):
        if 0 < length(run) <= room:
            near.append(run)
            room -= length(run)
    return near, [run for run in runs if not any(run is each for each in near)]


def _uses(run: Run, labels: Set[str], runs: Sequence[Run]) -> int:
    """How many orders elsewhere name a label of a run, to work on the word itself."""
    others = (item for each in runs if each is not run for item in each)
    return sum(isinstance(item.operand, Ref) and item.operand.label in labels for item in others)


def _led_through(runs: Sequence[Run]) -> set[str]:
    """Labels of the words through which orders are led."""
    return {
        item.operand.label
        for run in runs
        for item in run
        if item.is_indirect and isinstance(item.operand, Ref)
    }


def _laid_out(
    draft: Draft,
    near: Sequence[Run],
    far: Sequence[Run],
    constants: Sequence[Ref],
    sheet: Sheet,
    store_words: int,
) -> Placed:
    """Lay runs out: those that are near, then the constants, then those that are far from the next page on."""
    address = sheet.first_word
    items: list[tuple[int, Item]] = []
    for run in near:
        address = _lay(run, address, items)
    size = 1 << sheet.word_bits
    there = numbers_in(items, draft.unwritten, size)
    where = {
        ref: there[ref.offset % size] for ref in constants if not ref.label and ref.offset % size in there
    }
    shared = frozenset(where)
    for ref in dict.fromkeys(constants):
        if ref not in shared:
            where[ref] = address
            address += 1
    if far:
        address = max(address, sheet.page_words)
        for run in sorted(far, key=lambda run: not run[0].is_code):
            address = _lay(run, _begin(run, address, sheet.page_words), items)
    if address > store_words:
        raise NoRoom(f"the program ends with word {address - 1}, and the store with word {store_words - 1}")
    labels = {label: begin for begin, item in items for label in item.labels}
    start = labels.get(draft.start, 0)
    return Placed(tuple(sorted(items, key=lambda each: each[0])), labels, where, start, shared)


def _begin(run: Run, address: int, page_words: int) -> int:
    """Where a run begins: a subroutine in a page that holds all of it, so that its end reaches its link."""
    left = page_words - address % page_words
    return address + left if run[0].kind == LINK and left < length(run) <= page_words else address


def _lay(run: Run, address: int, items: list[tuple[int, Item]]) -> int:
    for item in run:
        items.append((address, item))
        address += item.size
    return address


def _pointers(placed: Placed, sheet: Sheet) -> Iterable[Ref]:
    """The addresses that orders cannot reach themselves, so that a constant has to lead there.

    Raises OutOfReach for an order that is led through a word already.
    """
    orders = Orders(sheet)
    for address, item in placed.items:
        operand = item.operand
        if item.kind != ORDER or not isinstance(operand, Ref) or orders.holds_number(item.names[0]):
            continue
        if not reaches(placed, sheet, address, operand):
            if item.is_indirect:
                raise OutOfReach(operand.label)
            yield operand


def reaches(placed: Placed, sheet: Sheet, address: int, ref: Ref) -> bool:
    """Whether an order at an address reaches a word itself."""
    if not sheet.page_words:
        return True
    page = placed.worth(ref) % (1 << sheet.address_bits) // sheet.page_words
    return page in (0, address // sheet.page_words)
