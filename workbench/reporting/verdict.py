"""The first part of a page: what is proved, by what evidence, and where it fails the line that shows it."""

from collections.abc import Iterator

from games.codes import PLAYERS
from games.problems import listed
from solver.proof import ILLEGAL_ANSWER, NO_ANSWER, PROVED, Decision, Proof
from solver.record import plies
from workbench.output import plural
from workbench.pictures.html import headed_table, paragraph, section
from workbench.pictures.in_words import men_in_words
from workbench.pictures.strip import strip_html
from workbench.svg import element, words
from workbench.tell_limits import goes_round
from workbench.tell_proof import CLAIM_WORDS

HEADLINES = {
    PROVED: "PROVED",
    NO_ANSWER: "NO ANSWER",
    ILLEGAL_ANSWER: "ILLEGAL ANSWER",
}
MOST_LINES = 60
"""Lines of a strategy's file that are shown."""


def verdict_part(proof: Proof) -> str:
    """The claim and what became of it, for people who read no further."""
    game = proof.walk.game
    asked = (
        f"{game.title}; the machine moves {PLAYERS[game.seat]}, under the house rules "
        f"'{proof.house.name}'. The claim is that {CLAIM_WORDS[proof.claim]} ({proof.claim})."
    )
    verdict = element(
        "p", [words("strong", f"{HEADLINES.get(proof.verdict, 'REFUTED')}."), f" {_why(proof)}"]
    )
    return paragraph(asked) + element("div", [verdict, *map(paragraph, _lost(proof))], class_="verdict")


def _why(proof: Proof) -> str:
    if proof.verdict == PROVED:
        return "Every line of play was gone through, wrong input included; nothing was sampled."
    assert proof.failure is not None
    if proof.verdict == NO_ANSWER:
        return "In the last position of the line below no rule applies, so the machine has no move."
    if proof.verdict == ILLEGAL_ANSWER:
        return "In the last position of the line below the strategy plays where it may not."
    made = plural(len(proof.failure.line.edges), "ply", "plies")
    return f"In {made}, {proof.truth.outcome(proof.failure.line)}: the line is drawn below."


def _lost(proof: Proof) -> Iterator[str]:
    """What must be said before any rule is blamed."""
    if not proof.seat_is_lost:
        return
    if proof.house_gives_game_away:
        yield "The house rules give the game away: in fair play the machine need not lose."
    else:
        yield "This seat is lost from the start: whoever sits in it loses against best play, whatever the rules say."


def line_part(proof: Proof) -> str:
    """The line that shows why the claim does not hold; nothing where it does."""
    if proof.failure is None:
        return ""
    graph, decision = proof.walk.graph, proof.decision()
    line = proof.failure.line
    notes = {
        number: f"'{ply.input}' ({ply.wrong})"
        for number, ply in enumerate(plies(proof, line), 1)
        if ply.wrong
    }
    if decision is not None and decision.ply < len(line.edges):
        notes[decision.ply + 1] = "FIRST LOSING DECISION"
    drawn = strip_html(
        proof.walk.game, proof.walk.game.start, [int(graph.move[edge]) for edge in line.edges], notes
    )
    told = [men_in_words(proof.walk.game), *([] if decision is None else _decided(proof, decision))]
    if line.loop is not None:
        told.append(f"From ply {line.loop + 1} on, this goes round.")
    return section("The line that beats it", [drawn, paragraph(" ".join(filter(None, told)))])


def _decided(proof: Proof, decision: Decision) -> Iterator[str]:
    names, rules = proof.walk.game.move_names, proof.walk.strategy.rules
    if decision.move is not None:
        yield f"In ply {decision.ply + 1} the machine plays {names[decision.move]}."
    if decision.rule is not None:
        yield f"That is line {rules[decision.rule].line} of the strategy: '{rules[decision.rule].text}'."
    better = [names[move] for move in decision.better]
    yield f"{listed(better)} would do." if better else "No move would have helped there."


def evidence_part(proof: Proof, text: str) -> str:
    """What was met on the way, how often each rule gave the move, and the strategy's own file."""
    walk, longest = proof.walk, proof.longest_line
    facts = [
        ("positions in which the machine moves", f"{proof.positions:,}"),
        ("the same up to symmetry", f"{walk.positions_up_to_symmetry():,}"),
        ("answers that must be stored, up to symmetry", f"{walk.answers():,}"),
        ("answers on a board that is never turned", f"{walk.answers_fixed_board():,}"),
        ("plies of the longest line", goes_round(walk.game) if longest is None else str(longest)),
    ]
    rules = [
        (rule.line, rule.text, f"{times:,}" if times else "never")
        for rule, times in zip(walk.strategy.rules, walk.times_used(), strict=True)
    ]
    tables = [
        headed_table(("met", "how many"), facts, figures=(1,)),
        headed_table(("line", "rule", "gave the move"), rows=rules, figures=(0, 2)),
    ]
    return section("Evidence", [*tables, *_file(text)])


def _file(text: str) -> Iterator[str]:
    lines = text.rstrip("\n").split("\n")
    yield paragraph("The strategy as it is written:")
    yield words("pre", "\n".join(lines[:MOST_LINES]))
    if len(lines) > MOST_LINES:
        yield paragraph(f"and {plural(len(lines) - MOST_LINES, 'line')} more.")
