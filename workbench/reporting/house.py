"""The part of a page that says how wrong input is answered, and what can never be said."""

from games.house import AT_ONCE, HouseRule
from games.inputs import class_in_words, classes_of
from games.problems import listed
from solver.proof import Proof
from workbench.output import plural
from workbench.pictures.html import headed_table, paragraph, section

WHEN = {
    "ask": "the visitor is to move",
    "machine-moves": "the machine moves",
    "machine-wins": "the machine has won",
    "visitor-wins": "the visitor has won",
    "draw": "it is a draw",
}
"""When the messages of the outcomes are said."""
COSTS = {"nothing": "nothing", "turn": "the turn", "game": "the game"}


def house_part(proof: Proof) -> str:
    """Every class of wrong input with its answer; then all that is said besides."""
    house = proof.house
    rows = []
    for name in classes_of(proof.walk.game.fair):
        rule = house.rules[house.rule_for(name)]
        rows.append((class_in_words(name), rule.say or "(nothing)", _cost(rule)))
    spoken = [(WHEN[name], text or "(nothing)") for name, text in house.messages.items()]
    next_game = "at once" if house.next_game == AT_ONCE else "after one more input"
    reads = (
        "one key at a time" if house.form.kind == "key" else f"lines of up to {house.form.longest} characters"
    )
    return section(
        f"House rules: {house.name}",
        [
            paragraph(f"Input is read as {reads}. When a game is over, the next begins {next_game}."),
            headed_table(("what is keyed in", "is answered", "costs"), rows),
            headed_table(("when", "is said"), spoken),
            paragraph(_never_said(proof)),
        ],
    )


def _cost(rule: HouseRule) -> str:
    cost = COSTS[rule.cost]
    if not rule.counts:
        return cost
    mild = f" ('{rule.say_forgiven}')" if rule.say_forgiven != rule.say else ""
    return f"nothing {plural(rule.forgive, 'time')} a game{mild}, then {cost}"


def _never_said(proof: Proof) -> str:
    messages = proof.house.all_messages()
    if not proof.never_said:
        return "Every one of these can be said."
    never = [f"'{messages[name]}' ({WHEN.get(name, name)})" for name in proof.never_said]
    return f"Whatever the visitor does, it is never said: {listed(never, 'and')}."
