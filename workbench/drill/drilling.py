"""The drill itself: every line of play, keyed in from its start, first without wrong input, then with more of it."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from games.inputs import LEGAL
from workbench.drill.ahead import Batch, Memory, Planned
from workbench.drill.counting import runs_due
from workbench.drill.course import Judged
from workbench.drill.faults import (
    BOARD_CHANGED,
    CONDUCT,
    TWO_ANSWERS,
    WRONG_INPUT,
    Finding,
    Ledger,
    Step,
)
from workbench.drill.judging import Judge
from workbench.drill.lines import RUNS, STUBBORN, Node
from workbench.drill.player import Player
from workbench.drill.process import FLOOD, LATE
from workbench.drill.round import GoesOn, Round
from workbench.drill.rules import Entry
from workbench.drill.tree import Tree

MOST_PAUSES = 12
"""Answers that never came, or never ended, before the drill is broken off: each of them is waited for."""


Listen = Callable[[Sequence[Step]], None]
Choose = Callable[[Node], int | None]
"""Which input of a place in the tree is keyed in next; None where there is nothing more to do."""


class Drill:
    """Plays one program through everything, and keeps the ledger."""

    def __init__(self, judge: Judge, start: Callable[[], Player], listen: Listen | None = None) -> None:
        """listen: told every line that was keyed in, and how each game began that did not begin as it should."""
        self.judge = judge
        self._listen = listen
        self.ledger = Ledger()
        self.finals: set[int] = set()
        self.given_up = 0
        """Answers that came once and not again, so that what comes after them was not gone through."""
        self.broken_off = False
        self.ends_by_itself = False
        """Whether the program ends after a game instead of playing again."""
        self._players = [start() for _ in range(RUNS)]
        self._memory = Memory()
        self._tree = Tree(judge.rules)
        self._pauses = 0
        self.rounds: list[Round] = []
        """Every round that was begun."""
        self.last_line: tuple[bytes, ...] = ()
        """What was keyed in on the last line of the round that was begun last; nothing before its first."""
        self.skip: tuple[bytes, ...] = ()
        """The line before which everything in the round that was begun last is done already."""
        self._bad: set[tuple[bytes, ...]] = set()
        """What was keyed in, without wrong input, where something was found."""

    @property
    def starts(self) -> int:
        """How often the program was started."""
        return sum(player.starts for player in self._players)

    def close(self) -> None:
        """End what still runs."""
        for player in self._players:
            player.stop()

    @property
    def bad(self) -> frozenset[tuple[bytes, ...]]:
        """Beginnings without wrong input after which something was found."""
        return frozenset(self._bad)

    def mark_bad(self, lines: Iterable[tuple[bytes, ...]]) -> None:
        """The same as they were in a drill that is taken up again."""
        self._bad.update(lines)

    def round(self, wrong: int, goes_on: GoesOn) -> Round:
        """Key in every line that has this many wrong inputs; a round that was begun is taken up again."""
        if not self.rounds or self.rounds[-1].wrong != wrong:
            self.rounds.append(Round(wrong))
            self.skip = self.last_line = ()
        for done in self._lines_of(self.rounds[-1], goes_on):
            self.rounds[-1] = done
        return self.rounds[-1]

    def _lines_of(self, done: Round, goes_on: GoesOn) -> Iterator[Round]:
        """How far a round is, after each line."""
        roots: dict[int, Node] = {}
        wrong = done.wrong
        turn = idle = 0
        while goes_on(done) and not self.broken_off:
            player = self._players[turn % RUNS]
            turn += 1
            before = done.inputs
            root = self._root(player, roots, wrong)
            if root is None:
                return
            if not done.lines:
                done = done._replace(due=runs_due(root, self._tree, self._memory))
            batch = self._planned(root, roots)
            if batch.lines and self._all_at_once(batch, root.code):
                self.last_line = tuple(each.entry.typed for each in batch.lines[-1])
                lines = RUNS * len(batch.lines)
                done = done.plus(lines, RUNS * batch.inputs, batch.branches, at_once=True)
            else:
                root = self._root(player, roots, wrong)
                if root is None:
                    return
                self.last_line, branches = self._line(player, root)
                done = done.plus(1, len(self.last_line), branches)
            if all(each.is_done for each in roots.values()):
                yield done._replace(is_whole=True)
                return
            yield done
            idle = idle + 1 if done.inputs == before else 0
            if idle >= STUBBORN:  # it once began otherwise, and does not do so again
                self.given_up += 1
                return

    @property
    def can_begin(self) -> bool:
        """Whether the program has begun a game when it was last asked to."""
        return self._players[0].opening().goes_on

    def one_game(self, wrong: int, choose: Choose) -> int | None:
        """Play one game as `choose` says; how many inputs it had, None where the program does not begin one."""
        root = self._root(self._players[0], {}, wrong)
        return None if root is None else len(self._line(self._players[0], root, choose)[0])

    # -- a line one input at a time -------------------------------------------------------------

    def _root(self, player: Player, roots: dict[int, Node], wrong: int) -> Node | None:
        """The place in the tree at which the next game of a player begins; None if it does not begin."""
        opening = player.opening()
        if opening.findings:
            self._note(opening, (player.begun,), ())
            self._tell((player.begun,))
        if not opening.goes_on:
            player.stop()
            return None
        if opening.code not in roots:
            if roots:
                self._two_answers((player.begun,))
            roots[opening.code] = self._tree.root(opening.code, wrong, self.skip)
        return roots[opening.code]

    def _line(
        self, player: Player, node: Node, choose: Choose = Node.choose
    ) -> tuple[tuple[bytes, ...], int]:
        """Key in one line; its inputs, and how many branches were new."""
        path: list[Node] = []
        steps = [player.begun]
        codes = {node.code}
        branches = 0
        while not node.is_done:
            place = choose(node)
            assert place is not None
            judged, is_new, kid = self._step(player, node, place, steps)
            branches += is_new
            path.append(node)
            node = kid
            if judged.is_next or not judged.goes_on:
                break
            if judged.plies and kid.code in codes:
                kid.is_done = True  # play that comes back to a position goes on as it did there
            codes.add(kid.code)
        else:
            player.stop()  # somewhere in a game, where there is nothing more to do
        self._tell(steps)
        self.given_up += sum(each.settle() for each in reversed(path))
        for each in path:
            each.forget()
        return tuple(step.entry.typed for step in steps if step.entry), branches

    def _step(self, player: Player, node: Node, place: int, steps: list[Step]) -> tuple[Judged, bool, Node]:
        """Key in one input and hear what comes of it."""
        entry = node.entries[place]
        heard = player.enter(entry)
        judged = self.judge.answer(node.code, is_over=node.is_over, entry=entry, heard=heard)
        steps.append(Step(entry, judged.said.pieces, judged.plies, heard.ending))
        self._memory.keep(node, entry, heard.text, judged)
        if heard.how in (LATE, FLOOD):
            self._pause(entry)
        player.pass_on(judged)
        self.finals.update(judged.finals)
        kid, is_new, is_other = node.arrive(
            place, judged.meaning, lambda: self._tree.child(node, entry, judged)
        )
        if is_new:
            self._note(judged, tuple(steps), (*node.stripped, entry.typed))
        if is_other:
            self._two_answers(tuple(steps))
        if not judged.goes_on:
            self.ends_by_itself |= not judged.findings
            player.stop()
        return judged, is_new, kid

    # -- lines at once ---------------------------------------------------------------------------

    def _planned(self, root: Node, roots: Mapping[int, Node]) -> Batch:
        """The next lines as a whole, as far as all of their answers are known."""
        batch = Batch(self.judge.rules.manner.limits.output_kb * 1024)
        node: Node | None = root
        while self._memory.serves and node is not None and len(batch.lines) < self._memory.together:
            line = self._planned_line(node)
            if line is None or not batch.put(line):
                break
            node = roots.get(batch.ends.code)
        return batch

    def _planned_line(self, node: Node) -> list[Planned] | None:
        """The next line, where all of its answers are known; else None."""
        line: list[Planned] = []
        while True:
            place = node.choose()
            if place is None:
                return None
            entry = node.entries[place]
            known = self._memory.recall(node, entry)
            if known is None:
                return None
            kid = node.peek(place, known.judged.meaning) or self._tree.child(node, entry, known.judged)
            line.append(Planned(node, place, known, kid))
            if known.judged.is_next:
                return line
            node = kid

    def _all_at_once(self, batch: Batch, code: int) -> bool:
        """Key in lines at once, in every copy of the program; whether all have printed what was known."""
        if any(not self._begins_at(player, code) for player in self._players):
            batch.take_back()
            return False
        begun = self._players[0].begun
        for player in self._players:
            player.key_in(batch.typed)
        heard = [player.hears(batch.printed, len(batch.lines)) for player in self._players]
        for player, is_known in zip(self._players, heard, strict=True):
            if is_known:
                player.pass_on(batch.ends)
            else:
                player.stop()
        if all(heard):
            self._memory.no_surprise()
            batch.keep()
            for line in batch.lines:
                answers = [Step(each.entry, each.known.judged.said.pieces, ()) for each in line]
                self._tell((begun, *answers))
        else:
            self._memory.surprise()
            batch.take_back()
        return all(heard)

    def _begins_at(self, player: Player, code: int) -> bool:
        opening = player.opening()
        return opening.goes_on and opening.code == code

    # -- what is noted ---------------------------------------------------------------------------

    def _note(self, judged: Judged, line: tuple[Step, ...], stripped: tuple[bytes, ...]) -> None:
        """Put findings into the ledger; what happens only after wrong input that should change nothing is its fault.

        stripped: what was keyed in, but for such input before.
        """
        entry = line[-1].entry
        spared = [step.entry for step in line[:-1] if step.entry and self._changes_nothing(step)]
        for finding in judged.findings:
            if not spared or (entry and entry.is_wrong):
                self._bad.add(stripped)
                self.ledger.note(finding, line)
            elif stripped not in self._bad:
                detail = f"{finding.detail}; without {spared[0].in_words} before it, that does not happen"
                self.ledger.note(Finding(WRONG_INPUT, BOARD_CHANGED, detail), line)

    def _tell(self, line: Sequence[Step]) -> None:
        if self._listen is not None:
            self._listen(line)

    def _pause(self, entry: Entry) -> None:
        """An answer did not come or did not end; that of wrong input is not waited for anywhere else."""
        self._pauses += 1
        self.broken_off |= self._pauses >= MOST_PAUSES
        if entry.kind != LEGAL:
            self._tree.avoided.add(entry.typed)

    def _changes_nothing(self, step: Step) -> bool:
        """Whether an input was wrong and left the board as it was."""
        is_same = self.judge.rules.is_same_board
        return bool(step.entry and step.entry.is_wrong) and all(
            is_same(ply.before, ply.after) for ply in step.plies
        )

    def _two_answers(self, line: tuple[Step, ...]) -> None:
        detail = "another run of the same line was answered otherwise"
        self.ledger.note(Finding(CONDUCT, TWO_ANSWERS, detail), line)
