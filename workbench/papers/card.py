"""The operator's card: what to do before visitors come, while they play, and when something goes wrong."""

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from budget.building import Product
from budget.card import CostCard
from budget.program_size import row_of_built
from budget.selftest import Entry, self_test
from games.codes import UNFINISHED
from games.game import on_board
from games.house import AT_ONCE, HouseRule, HouseRules
from games.inputs import AFTER_END, class_in_words
from games.problems import listed
from solver.fixed import FixedPlay
from workbench.fault_table import read_fault_table
from workbench.output import plural
from workbench.papers.mornings import Morning, of_self_test, of_table
from workbench.papers.request import Paper, Request
from workbench.pictures.board import board_svg
from workbench.pictures.html import section
from workbench.svg import element, words
from workbench.tell_self_test import NOTHING
from workbench.tell_size import seconds

CAUTION = (
    "Old machines hold mains and high voltages, also for a while after they have been switched off.",
    "They get hot, and parts of them move. Only qualified people take covers off. The rules of the house come first.",
    "If it smells, smokes, sparks or sounds otherwise than usual: switch it off, keep people away, and call:",
)
RUNS_ON = "The machine's code has no line ends: what it prints runs on, just as it stands here."
ROOM_TO_WRITE = "\u2026" * 24
OUTCOMES = {
    "ask": "the visitor is to move",
    "machine-moves": "the machine has moved; its move stands behind",
    "machine-wins": "the machine has won",
    "visitor-wins": "the visitor has won",
    "draw": "the game is a draw",
}
"""What the messages of the house rules mean."""
COSTS = {"nothing": "nothing", "turn": "the turn", "game": "the game"}


class Subject(NamedTuple):
    """What the card is about.

    play: what the program in the machine plays; product: the program, None where it is one of somebody's own.
    """

    request: Request
    card: CostCard
    play: FixedPlay
    product: Product | None
    morning: Morning

    @property
    def never_said(self) -> tuple[str, ...]:
        """The messages that no line of play brings about."""
        assert self.play.proof is not None
        return self.play.proof.never_said


def paper(request: Request) -> Paper:
    """The card for a strategy on a machine, with the games of a fault drill, or else those of the self-test.

    Raises BadInput where the table of faults is another program's; Refused where no program can be built.
    """
    subject = _subject(request, request.machine)
    morning = subject.morning
    games = plural(len(morning.games), "morning game")
    parts = [
        section("Take care", _caution()),
        section("In the morning", _start(subject)),
        section("A game", _game(subject)),
        section("Wrong input", _wrong_input(subject)),
        section("At the end", _end(request.proof.house)),
        section("When something is wrong", _trouble(subject)),
        section(games.capitalize(), _games(subject)),
    ]
    title = f"Operator's card: {subject.card.title}"
    body = words("h1", title) + words("p", request.heading) + element("main", parts)
    inputs = sum(map(len, morning.games))
    record = {
        "machine": subject.card.name,
        "begins": morning.begins,
        "games": len(morning.games),
        "inputs": inputs,
        "drill": request.wanted.drill,
    }
    return Paper(title, body, STYLES, record, (f"Morning games: {morning.why}",))


def _subject(request: Request, card: CostCard) -> Subject:
    """What is in the machine: what `build` makes of the strategy, or the program that was drilled."""
    file = request.wanted.drill
    if file is not None:
        morning, play = of_table(read_fault_table(file), file, request.plays, card)
        return Subject(request, card, play, None, morning)
    product = request.product(card)
    test = self_test(product, request.proof.walk.strategy.name)
    return Subject(request, card, product.form.play, product, of_self_test(test))


# What stands on it --------------------------------------------------------------------------------------------


def _caution() -> Iterator[str]:
    yield element("div", [words("p", text) for text in (*CAUTION, ROOM_TO_WRITE)], class_="caution")


def _start(subject: Subject) -> Iterator[str]:
    """From the switch to the first visitor."""
    product = subject.product
    todo = [
        "Switch it on as the house says, and let it warm up.",
        "Load the program, and press the start key.",
    ]
    if product is not None and product.check is not None:
        takes = "" if product.check.thinking is None else f", which takes {seconds(product.check.thinking)}"
        sign = product.check_sign
        todo.append(
            f"It first sums its words{takes}. If it prints {sign} and stops, one is wrong: load it again."
        )
    todo += [
        f"It prints: {_shown(subject.morning.begins)}",
        "Play the morning games. All that is printed must be as it stands there.",
        "Start it once more, and look at paper, ribbon, keys, lamps and the board for the visitors.",
    ]
    yield element("ul", [words("li", text) for text in todo], class_="ticks")
    if product is not None:
        store = plural(subject.card.store_words, "word")
        yield words("p", f"The program has {product.lowered.words.total:,} of the {store} of the store.")


def _game(subject: Subject) -> Iterator[str]:
    """How a visitor plays, and what the machine says."""
    request = subject.request
    house, game = request.proof.house, request.game
    ends = "" if house.form.kind == "key" else ", and Return"
    yield words("p", f"The visitor types a move, such as {game.move_names[0]}{ends}.")
    if on_board(game.fair) is not None:
        yield board_svg(game, game.start, named=True)
    said = [
        (_shown(text), OUTCOMES[name])
        for name, text in house.messages.items()
        if text and name not in subject.never_said
    ]
    yield _table(("it prints", "that means"), said)
    yield words("p", f"Proved: {request.claim_in_words}. If it does otherwise, something is wrong with it.")


def _wrong_input(subject: Subject) -> Iterator[str]:
    """What is answered to wrong input that can be typed while a game is on, and what it costs."""
    house, game, graph = subject.request.proof.house, subject.request.game, subject.play.graph
    on = graph.codes[(graph.mover == game.visitor) & (graph.ending == UNFINISHED)]
    possible = [name for name, where in game.possible(on).items() if where.any()]
    rows = []
    for number, rule in enumerate(house.rules):
        classes = [class_in_words(name) for name in possible if house.rule_for(name) == number]
        if classes:
            rows.append((listed(classes), *_answered(rule)))
    yield _table(("what is typed", "it prints", "and it costs"), rows)


def _answered(rule: HouseRule) -> tuple[str, str]:
    """What a house rule says, and what it costs."""
    said, cost = _shown(rule.say), COSTS[rule.cost]
    if not rule.counts:
        return said, cost
    times = f"the first {plural(rule.forgive, 'time')} of a game"
    return f"{_shown(rule.say_forgiven)} ({times}), then {said}", f"nothing ({times}), then {cost}"


def _end(house: HouseRules) -> Iterator[str]:
    if house.next_game == AT_ONCE:
        yield words("p", "The next game begins at once.")
    else:
        yield words("p", f"The next input, whatever it is, begins a new game. {_after_end(house)}")
    yield words("p", "In the evening: let the last game end, and switch off as the house says.")


def _after_end(house: HouseRules) -> str:
    said = house.rules[house.rule_for(AFTER_END)].say
    return f"It prints: {_shown(said)}" if said else ""


def _trouble(subject: Subject) -> Iterator[str]:
    """What to do, and what to write down."""
    longest = _longest_wait(subject)
    if longest is not None:
        yield words(
            "p", f"An answer never takes more than {longest:,} s. If one does, the machine has stopped."
        )
    todo = [
        "Write down the time, what was typed since the start, and what was printed, sign by sign.",
        "Finish the game by hand: the playbook has every board.",
        "Start it anew and play the morning games. If they are right, go on; if not, it is out of order.",
    ]
    if subject.request.wanted.drill is not None:
        todo.append("'wordtight suspect' names the words of the store that may be wrong.")
    yield element("ol", [words("li", text) for text in todo])


def _longest_wait(subject: Subject) -> int | None:
    """The seconds in which every answer has come, printing included; None where that is not known."""
    product = subject.product
    replies = None if product is None else row_of_built(product.built, subject.card).replies
    if replies is None or replies.slowest.thinking is None or replies.slowest.printing is None:
        return None
    return math.ceil(replies.slowest.thinking + replies.slowest.printing)


def _games(subject: Subject) -> Iterator[str]:
    morning = subject.morning
    told = [morning.why, "What the keys print as they are pressed is not shown."]
    if not subject.card.characters.code.line_end:
        told.append(RUNS_ON)
    yield words("p", " ".join(told))
    for number, game in enumerate(morning.games, 1):
        rows = [_row(entry) for entry in game]
        if number == 1 or number in morning.restarts:
            rows.insert(0, _row(Entry("(start)", morning.begins)))
        ticked = [(*row, "\u2610") for row in rows]
        yield _table(("type", "it prints", "right?"), ticked, caption=f"Game {number}", class_="typed")


def _row(entry: Entry) -> tuple[str, str]:
    return entry.typed or NOTHING, _shown(entry.printed)


def _shown(printed: str) -> str:
    """What is printed, as it can stand in a table."""
    return printed.strip("\n") or "(nothing)"


def _table(
    titles: Sequence[str], rows: Sequence[Sequence[str]], *, caption: str = "", class_: str | None = None
) -> str:
    head = element("tr", [words("th", title, scope="col") for title in titles])
    body = [element("tr", [words("td", cell) for cell in row]) for row in rows]
    above = [words("caption", caption)] if caption else []
    return element("table", [*above, element("thead", head), element("tbody", body)], class_=class_)


STYLES = """
@page { size: A4; margin: 12mm }
h1 { font-size: 15pt; margin: 0 } h1 + p { margin: 1mm 0 4mm }
h2 { font-size: 11pt; margin: 0 0 1mm; border-bottom: .3mm solid #1d2730 }
main { columns: 2; column-gap: 8mm; font-size: 9pt; line-height: 1.35 }
section { margin-bottom: 4mm } section p { margin: 1mm 0 }
.caution { border: .6mm solid #1d2730; padding: 1mm 2mm; break-inside: avoid }
ul, ol { margin: 1mm 0; padding-left: 6mm } ul.ticks { list-style: "\u2610  " }
table { margin: 1mm 0 2mm; width: 100%; break-inside: avoid } td { white-space: pre-line; padding: .4mm 2mm .4mm 0 }
.typed td:first-child { font-family: 'DejaVu Sans Mono', Menlo, Consolas, monospace }
caption { font-weight: bold } svg { display: block; height: 28mm; width: auto; margin: 1mm 0 }
"""
