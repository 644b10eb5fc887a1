"""A program in the orders of a real machine, drilled as one in our own is; each faulty machine also plays alone."""

from functools import cache

from budget.card import load_machine
from budget.closing import close
from budget.conversation import Conversation
from budget.drilling.drill import drill
from budget.drilling.faults import BIT, faults_of
from budget.drilling.judging import Judge
from budget.drilling.lines import Texts, lines_of
from budget.drilling.power_up import power_up
from budget.drilling.sound import play_sound
from budget.machine.assembler import assemble
from budget.target.program import expand
from games.house import parse_house_rules
from games.load import parse_game
from solver.fixed import PLAIN, fix
from solver.proof import prove
from solver.sheet.reader import SheetReader
from solver.strategy import Strategy
from tests.budget.drilling.small import Small, terse
from tests.budget.drilling.test_drill import Alone

GAME = 'kind = "game"\nfamily = "take"\nplay = "heaps"\nheaps = [3]\ntake = [1, 2]\n'
ORDERS = """\
start:  set 0
again:  input
        plus -'1'
        ifzero one
        plus -1
        ifzero two
        set '?'
        output
        jump again
one:    set '2'
        jump moved
two:    set '1'
moved:  output
        set 'W'
        output
        input
        jump again
"""


AT_ONCE = ORDERS.replace("        input\n        jump again\n", "        jump again\n")


@cache
def three(machine, next_game="asked-for"):
    """Who takes the last of three counters wins: a program of a few words, for a machine in its own orders."""
    game = parse_game(GAME, "three.toml")
    house = parse_house_rules(terse(next_game), "terse.toml", game)
    rules = SheetReader("", ["look ahead 3 plies"], game).read(0)
    play = fix(prove(Strategy("s", "", game, 1, rules), "never-loses", house), PLAIN)
    card = load_machine(machine)
    orders = AT_ONCE if next_game == "at-once" else ORDERS
    program = (assemble if card.sheet is None else expand)(orders, card)
    talk = Conversation(play, card, thorough=False)
    texts = Texts(play, card, talk)
    lines = lines_of(texts, talk)
    return Small(play, talk, texts, lines, program, play_sound(program, lines), orders)


def test_the_same_lines_are_played_on_a_machine_of_either_kind():
    found = []
    for machine in ("twelve-bit", "twelve-bit-orders"):
        case = three(machine)
        assert close(case.program, Conversation(case.play, case.program.card)).states >= 3
        found.append((power_up(case.sound), case.lines.games))
    assert found[0] == found[1]


def test_every_bit_of_a_program_of_an_order_sheet_comes_to_what_the_machine_alone_comes_to():
    case = three("twelve-bit-orders")
    faults = [fault for fault in faults_of(case.sound) if fault.kind == BIT][::7]
    found = drill(case.sound, faults, case.texts, Judge(case.talk, None))
    for fault, outcome in zip(faults, found, strict=True):
        kind, shown = Alone(case, fault).run()
        assert outcome.is_whole
        if not outcome.leans:
            assert (outcome.found, sorted({each.step for each in outcome.shown})) == (kind, sorted({*shown}))
    assert len({outcome.found for outcome in found}) >= 3


def test_a_game_that_is_over_in_one_input_ends_though_the_next_begins_at_once():
    case = three("twelve-bit", "at-once")
    assert [case.lines.steps[number].text for number in case.lines.endings()] == ["1", "2"]
    assert (power_up(case.sound).next_games, len(case.lines.waits)) == (2, 1)
    faults = [fault for fault in faults_of(case.sound) if fault.kind == BIT][::5]
    found = drill(case.sound, faults, case.texts, Judge(case.talk, None))
    for fault, outcome in zip(faults, found, strict=True):
        kind, shown = Alone(case, fault).run()
        if not outcome.leans:
            assert (outcome.found, sorted({each.step for each in outcome.shown})) == (kind, sorted({*shown}))


def test_a_word_that_was_declared_harmless_is_no_left_over():
    case, word = three("twelve-bit"), "games:  space 1\n"
    counting = ORDERS.replace(
        "        input\n        jump", "        count games\n        input\n        jump"
    )
    program = assemble(word + counting, case.program.card)
    sound = play_sound(program, case.lines, harmless=[program.labels["games"]])
    assert program.labels["games"] not in {*sound.junk.tolist(), *sound.interest[sound.matters].tolist()}
