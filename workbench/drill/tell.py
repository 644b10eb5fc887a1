"""What a drill has found, in plain words: the verdict first, then battery by battery, then what it rests on."""

from collections.abc import Iterator, Sequence

from games.codes import PLAYERS
from games.problems import listed
from workbench.drill.asked import Asked
from workbench.drill.faults import BATTERIES, CLAIM_FAILS, IN_WORDS, VERDICTS, Fault, Step
from workbench.drill.report import FAULT, NO_FAULT, SAMPLED, UNFINISHED, Found
from workbench.drill.sampling import MODEL
from workbench.output import plural, say, say_lines, table
from workbench.tell_proof import CLAIM_WORDS
from workbench.timeleft import in_words

NAMES = {
    "play": "Play",
    "wrong-input": "Wrong input",
    "verdicts": "Verdicts",
    "conduct": "Conduct",
}
MOST_PRINTED = 12
"""Lines of one answer that are shown: the last of them."""


def tell(found: Found, asked: Asked, shown: str) -> None:
    """The whole report."""
    game = asked.game
    say(f"{shown}: {game.title}, machine moves {PLAYERS[game.seat]}, house rules '{asked.house.name}'")
    say(f"Claim {asked.judge.claim}: {CLAIM_WORDS[asked.judge.claim]}.")
    say()
    if asked.judge.worth.seat_is_lost:
        say(f"THIS SEAT IS LOST FROM THE START: whoever moves {PLAYERS[game.seat]} loses against best play.")
        say()
    say(_headline(found))
    say()
    say_lines(table(("battery", "verdict", "what was gone through"), _battery_rows(found)))
    for fault in found.faults:
        say()
        _tell_fault(fault, asked)
    say()
    _tell_rounds(found)
    say()
    _tell_ground(found)


def _headline(found: Found) -> str:
    if found.verdict == FAULT:
        return f"FAULT FOUND. {plural(len(found.faults), 'cause')}, each with its shortest line below."
    if found.verdict == NO_FAULT:
        return "NO FAULT FOUND. Every line was gone through; what that rests on stands below."
    if found.verdict == SAMPLED and found.sampled is not None:
        bound = found.sampled.bound or 1.0
        return (
            f"SAMPLED: no fault in {plural(found.sampled.games, 'game')} at random, which is no proof. With 95 % "
            f"confidence fewer than {100 * bound:.2g} % of the games of such a visitor show one: {MODEL}."
        )
    if found.given_up:
        return "NOT FINISHED. The program plays by chance, and some answers did not come again."
    assert found.verdict == UNFINISHED
    return f"NOT FINISHED. No fault was found so far, and there was no time for all lines.{_rest(found)}"


def _rest(found: Found) -> str:
    """How much of the last round is left, and how long that would take at the same pace."""
    if found.left is None:
        return ""
    last = found.rounds[-1]
    return (
        f" Of the {last.due:,} lines with {plural(last.wrong, 'wrong input')}, {last.lines:,} were keyed in; "
        f"the others take {in_words(found.left)} more, if the machine is as busy as now."
    )


def _battery_rows(found: Found) -> Iterator[tuple[str, str, str]]:
    for battery in BATTERIES:
        causes = [fault for fault in found.faults if fault.battery == battery]
        verdict = plural(len(causes), "fault") if causes else "no fault"
        yield NAMES[battery], verdict, _gone_through(found, battery)


def _gone_through(found: Found, battery: str) -> str:
    if battery == "play":
        first = found.rounds[0]
        return "every line without wrong input" if first.is_whole else "some of the lines"
    if battery == "wrong-input":
        whole = [each.wrong for each in found.rounds if each.wrong and each.is_whole]
        return f"up to {whole[-1]} in a line" if whole else "none gone through whole"
    if battery == VERDICTS:
        return f"{found.finals:,} of {found.all_finals:,} final positions came up"
    after = "it ends after a game" if found.ends_by_itself else "many games in one run"
    return f"every answer in time; {after}" if not found.broken_off else "broken off"


def _tell_fault(fault: Fault, asked: Asked) -> None:
    say(
        f"{NAMES[fault.battery].upper()}: {IN_WORDS[fault.cause]}. {fault.detail[:1].upper()}{fault.detail[1:]}."
    )
    times = "on this line only" if fault.times == 1 else f"{fault.times:,} times; the shortest line"
    say(f"Seen {times}:")
    say_lines(f"  {line}" for line in transcript(fault.line))
    if fault.cause == CLAIM_FAILS:
        _tell_decision(fault, asked)


def _tell_decision(fault: Fault, asked: Asked) -> None:
    """The machine's first move after which the claim can no longer hold."""
    worth, rules, claim = asked.judge.worth, asked.judge.rules, asked.judge.claim
    place = worth.decision(claim, fault.plies)
    if place is None:
        say("No move of the machine's is to blame: the seat is lost, or the line was left before.")
        return
    ply = fault.plies[place]
    better = [
        rules.name(move) for move in worth.better_moves(claim, ply.before, rules.spot(ply.before).moves)
    ]
    say(
        f"Ply {place + 1} is the first losing decision: the machine plays {rules.name(ply.move)}; "
        f"{listed(better)} would do."
    )
    say_lines(f"  {row}" for row in asked.game.drawing(ply.before, asked.game.seat, named=True))


def transcript(line: Sequence[Step]) -> list[str]:
    """A line as it goes over the terminal: what is keyed in behind an arrow, what is printed below it."""
    rows = []
    for step in line:
        if step.entry is not None:
            rows.append(f"--> {step.entry.in_words}")
        printed = [piece.line for piece in step.pieces]
        left_out = len(printed) - MOST_PRINTED
        rows += [f"    ({plural(left_out, 'line')} before)"] * (left_out > 0)
        rows += [f"    {short(text)}" for text in printed[-MOST_PRINTED:]]
    return rows


def short(text: str, room: int = 70) -> str:
    """A line that a program has printed, in plain signs, so that it does not steer the terminal; cut if it is long."""
    plain = "".join(sign if sign.isascii() and sign.isprintable() else "?" for sign in text.rstrip())
    return plain if len(plain) <= room else f"{plain[: room - 3]}..."


def _tell_rounds(found: Found) -> None:
    """How much was keyed in: as few times as can be done with a program that cannot be copied."""
    rows = [
        (
            each.wrong,
            f"{each.lines:,}" if each.is_whole else f"{each.lines:,} (not all)",
            f"{each.inputs:,}",
            f"{each.branches:,}",
            f"{each.at_once:,}",
        )
        for each in found.rounds
    ]
    titles = ("wrong inputs", "lines", "inputs", "branches", "at once")
    say_lines(table(titles, rows, right=(0, 1, 2, 3, 4)))
    say(
        "Each line was keyed in at least twice, by two copies. Branches: the inputs that a program would be given that "
        f"could be taken back. At once: lines whose answers were known. The program was started "
        f"{plural(found.starts, 'time')}."
    )


def _tell_ground(found: Found) -> None:
    if found.learned:
        say(f"Taken for waiting (# is a number): {listed([repr(each) for each in found.learned], 'and')}.")
    say("What this rests on:")
    for each in found.assumptions:
        say(f"{each}.", indent="  ")
