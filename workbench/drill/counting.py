"""How many lines a round has, counted before they are keyed in: where every answer in them has been heard already."""

from workbench.drill.ahead import Memory
from workbench.drill.lines import RUNS, Node
from workbench.drill.tree import Tree

Kind = tuple[tuple[bytes, ...], int, int, bool, bool, bool]
"""What decides how many lines there are below a place in the tree."""


class _Unheard(Exception):
    """Some answer was not heard yet."""


def runs_due(root: Node, tree: Tree, memory: Memory) -> int:
    """How often the lines of a tree have to be keyed in, all of them together; 0 if that is not known yet."""
    known: dict[Kind, int] = {}

    def below(node: Node) -> int:
        kind = (node.stripped, node.code, node.left, node.is_first, node.is_narrow, node.is_over)
        if kind not in known:
            known[kind] = sum(after(node, place) for place in range(len(node.entries)))
        return known[kind]

    def after(node: Node, place: int) -> int:
        heard = memory.recall(node, node.entries[place])
        if heard is None:
            raise _Unheard
        return 1 if heard.judged.is_next else below(tree.child(node, node.entries[place], heard.judged))

    try:
        return RUNS * below(root)
    except _Unheard:
        return 0
