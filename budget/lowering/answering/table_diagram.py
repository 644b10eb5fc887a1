"""A decision diagram in a program: from node to node, as the digits say."""

from budget.lowering.answering.table_moves import Moves
from budget.lowering.answering.table_words import Stored, row_of
from budget.lowering.ground import Ground, Setting
from budget.lowering.text import NotLowered, WrongWay
from budget.lowering.wide import Wide
from budget.packed import Packed


class Walked:
    """The answer to which the board's digits lead from the first node."""

    def __init__(self, setting: Setting, ground: Ground, packed: Packed) -> None:
        self._text = setting.text
        self._packed = packed
        self._row = row_of(ground.digits())
        if self._row is None:
            raise NotLowered("the words of its board do not lie one after the other")
        if packed.columns[0][0] > setting.text.word_bits:
            raise WrongWay("a word does not hold the place of a node")
        self._moves = Moves(setting, ground, bool(packed.constants["by place"]))

    def answer(self, found: str) -> None:
        """From the first node on."""
        text, known = self._text, self._packed.constants
        nodes = Stored(text, "nodes", self._packed, 0)
        again, inner = text.fresh("node_"), text.fresh("inner")
        short = 1 << text.word_bits - 1
        text.number(known["root"])
        text.label(again)
        if nodes.run.total <= short and not nodes.has_several:
            node = text.variable("node", remark="its place")
            text.ops(f"store {node}", f"look {nodes.name}", f"look {self._row}", f"add {node}")
            text.op("look", f"{nodes.name}+1")
        else:
            self._fetch(nodes)
        if (1 << nodes.run.bits) <= short:
            text.plus(-known["leaf"])
            text.op("ifminus", inner)
        else:
            next_ = text.variable("next_node")
            text.op("store", next_)
            text.plus(-known["leaf"])
            text.ops("carry", f"ifzero {inner}", f"load {next_}")
            text.plus(-known["leaf"])
        self._moves.settle(found)
        text.label(inner)
        if (1 << nodes.run.bits) <= short:
            text.plus(known["leaf"])
        else:
            text.op("load", "next_node")
        text.op("jump", again)

    def _fetch(self, nodes: Stored) -> None:
        """A becomes what the node at A says of the board."""
        text = self._text
        node = Wide(text, "node", nodes.run.total - 1, signed=nodes.has_several)
        text.op("store", node.words[0])  # the only one: a number of the row holds any place in it
        digit = text.variable("looked_at")
        text.routine("node_at", lambda: self._write_at(nodes, node))
        text.ops(f"look {self._row}", f"store {digit}", f"load {node.words[0]}", f"add {digit}")
        text.plus(1)
        text.op("store", node.words[0])
        text.routine("node_at", lambda: self._write_at(nodes, node))

    def _write_at(self, nodes: Stored, node: Wide) -> None:
        nodes.at(node)
        self._text.op("back")
