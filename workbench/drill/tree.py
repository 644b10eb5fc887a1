"""How the tree of lines grows: which inputs there are at each place, and where an answer leads."""

from games.inputs import LEGAL
from workbench.drill.course import Judged
from workbench.drill.lines import Node, finished
from workbench.drill.rules import Entry, Rules


class Tree:
    """Makes the places of a tree; the lines of one tree all have the same number of wrong inputs."""

    def __init__(self, rules: Rules) -> None:
        self._rules = rules
        self.avoided: set[bytes] = set()
        """Wrong inputs that are keyed in no more."""

    def root(self, code: int, wrong: int, skip: tuple[bytes, ...] = ()) -> Node:
        """The beginning of a game in which there are to be so many wrong inputs.

        skip: a line before which, in the order of the tree, everything is done.
        """
        return Node(code, wrong, (), self._entries(code, wrong, is_first=True), is_over=False, skip=skip)

    def child(self, node: Node, entry: Entry, judged: Judged) -> Node:
        """Where an answer leads."""
        if judged.is_next or not judged.goes_on:
            return finished(judged.code)
        left = node.left - (entry.kind != LEGAL and node.left > 0)
        changes_nothing = entry.is_wrong and self._rules.is_same_board(node.code, judged.code)
        stripped = node.stripped if changes_nothing else (*node.stripped, entry.typed)
        is_narrow = node.is_narrow or (entry.is_wrong and not entry.stands_for_its_class)
        is_first = node.is_first and not entry.is_wrong
        if judged.is_over:
            entries = self._rules.after_end_entries() if left == 1 else [self._rules.again()]
        else:
            entries = self._entries(judged.code, left, is_first=is_first)
        return Node(
            judged.code,
            left,
            stripped,
            entries[:1] if is_narrow else entries,
            is_over=judged.is_over,
            is_narrow=is_narrow,
            is_first=is_first,
            skip=node.skip[1:] if node.skip[:1] == (entry.typed,) else (),
        )

    def _entries(self, code: int, left: int, *, is_first: bool) -> list[Entry]:
        """Every move; and while wrong inputs are left these too, all of them only where there is one in a line."""
        legal = self._rules.legal_entries(code)
        if not left:
            return legal
        wrong = self._rules.wrong_entries(code, all_of_them=is_first and left == 1)
        return [*legal, *(entry for entry in wrong if entry.typed not in self.avoided)]
