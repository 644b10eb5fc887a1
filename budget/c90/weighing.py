"""*Take the heaviest cell* in a C program: what cells and lines weigh is added up, and the first heaviest is taken."""

from budget.c90.marks import MarksBoard
from budget.c90.setting import Setting
from solver.meanings import CellWeight, Heaviest, LineWeight


def weigh(meaning: Heaviest, setting: Setting, board: MarksBoard) -> None:
    """Write the rule; it always has a cell where one is free."""
    text = setting.text
    by_cell = [0] * setting.cells
    for weight in meaning.weights:
        if isinstance(weight, CellWeight):
            by_cell = [each + weight.weight * (weight.cells >> cell & 1) for cell, each in enumerate(by_cell)]
    kind = _kind(meaning)
    text.array("weight", setting.cells, "of each cell", kind)
    text.local("at", "a place")
    _begin(by_cell, setting)
    lines = [each for each in meaning.weights if isinstance(each, LineWeight)]
    if lines:
        _lines(lines, kind, setting, board)
    text.put("""
for (at = CELLS, move = CELLS; at != 0;) {
    --at;
    if (board[at] == 0 && (move == CELLS || weight[at] >= weight[move]))
        move = at;
}
if (move != CELLS)
    goto found;
""")


def _kind(meaning: Heaviest) -> str:
    """The type that holds any sum of weights."""
    most = sum(
        abs(each.weight) * (len(each.lines) if isinstance(each, LineWeight) else 1)
        for each in meaning.weights
    )
    return "signed char" if most < 128 else "long" if most > 32_000 else "int"


def _begin(by_cell: list[int], setting: Setting) -> None:
    """What cells weigh by their place."""
    text = setting.text
    text.put("for (at = 0; at < CELLS; ++at)\n    weight[at] = 0;")
    for cell, weight in enumerate(by_cell):
        if weight:
            text.put(f"weight[{cell}] = {weight};")


def _lines(weights: list[LineWeight], kind: str, setting: Setting, board: MarksBoard) -> None:
    """What lines weigh: a function that adds one weight to every cell of those lines that hold just these marks."""
    text = setting.text
    sets = [sum(1 << cell for cell in line) for line in board.lines]
    body = board.each_line(
        "sum = 0;\n        number = 0;",
        "sum += board[cell];\n            inside[number] = cell;\n            ++number;",
        "if (sum == wanted && FETCH(weighed + at) != 0)\n"
        "            for (number = 0; number < LENGTH; ++number)\n"
        "                weight[inside[number]] = "
        f"({kind})(weight[inside[number]] + each);\n        ++at;",
        "sum",
        "number",
        "at = 0",
    )
    text.array("inside", board.length, "the cells of a line")
    text.function(
        "weigh",
        f"""
/* Add a weight to the cells of those lines of a list (1 for each that counts) whose marks add up to this. */
static void weigh(FIXED_AT weighed, byte wanted, {kind} each)
{{{body}
}}""",
    )
    for each in weights:
        counted = [int(line in each.lines) for line in sets]
        name = "weighed_" + "".join(map(str, counted))
        text.table(name, counted, "the lines that count")
        text.put(f"weigh({name}, {each.mine} * MINE + {each.visitors} * VISITORS, {each.weight});")
