"""One input and its answer, held against the rules: where the game stands now, and what was wrong."""

from games.inputs import AFTER_END, LEGAL
from workbench.drill.course import Course, Judged
from workbench.drill.faults import (
    ACCEPTED,
    AFTER_END_PLAY,
    CONDUCT,
    EARLY_VERDICT,
    ENDLESS_OUTPUT,
    ILLEGAL_MOVE,
    LEGAL_REFUSED,
    NO_ANSWER,
    NO_MOVE,
    NO_VERDICT,
    NOT_CHARGED,
    OUT_OF_TURN,
    PLAY,
    STOPPED,
    VERDICTS,
    WRONG_INPUT,
    WRONG_MESSAGE,
    WRONG_VERDICT,
)
from workbench.drill.process import ENDED, FLOOD, LATE, WAITS, Heard
from workbench.drill.reading import Reader, Said
from workbench.drill.rules import Entry, Rules, outcome_in_words
from workbench.drill.worth import Worth


class Judge:
    """Holds answers against the rules, the house rules and a claim."""

    def __init__(self, rules: Rules, reader: Reader, worth: Worth, claim: str) -> None:
        self.rules = rules
        self.reader = reader
        self.worth = worth
        self.claim = claim

    def opening(self, heard: Heard) -> Judged:
        """What is printed before the first input."""
        course = Course(self.rules, self.worth, self.claim, self.rules.game.start)
        course.next_game()
        said = self.reader.read(heard.text)
        if heard.how == ENDED and heard.status == 0:
            course.stop(CONDUCT, STOPPED, "it ends before anything is keyed in")
        elif self._is_heard(course, heard, "at the start"):
            self._machine_part(course, said, None)
            self._outcome_part(course, said, None)
        return course.judged(said)

    def answer(self, code: int, *, is_over: bool, entry: Entry, heard: Heard) -> Judged:
        """What is printed after an input in a position."""
        course = Course(self.rules, self.worth, self.claim, code, is_over=is_over)
        said = self.reader.read(heard.text)
        if heard.how in (LATE, ENDED) and not is_over and self._ends_the_game(code, said, entry):
            if heard.how == LATE and not said.outcomes:
                course.stop(VERDICTS, NO_VERDICT, "the game is over, and that is not said")
                return course.judged(said)
            if (
                heard.how == ENDED
            ):  # the same as if it waited: whether it has gone already is a matter of luck
                heard = heard._replace(how=WAITS)
        if not self._is_heard(course, heard, f"after {entry.in_words}"):
            return course.judged(said)
        if is_over:
            course.next_game()
        else:
            course.enter(entry)
        if heard.how == ENDED and self._ends_well(course, said, entry, was_over=is_over):
            return course.judged(said)
        self._machine_part(course, said, entry)
        self._outcome_part(course, said, entry)
        if entry.kind == LEGAL:
            self._no_message_part(course, said, entry)
        elif entry.kind != AFTER_END or entry.stands_for_its_class:
            self._message_part(course, said, entry, code)
        course.goes_on &= heard.how != ENDED
        return course.judged(said)

    # -- the parts of an answer -----------------------------------------------------------------

    def _is_heard(self, course: Course, heard: Heard, when: str) -> bool:
        """Whether there is an answer to be judged; what is printed by a program that fails is not."""
        if heard.how == LATE:
            what = (
                "prints nothing" if not heard.text.strip() else "prints something, but asks for nothing more"
            )
            course.stop(
                CONDUCT, NO_ANSWER, f"{when} it {what} in {self.rules.manner.limits.milliseconds:,} ms"
            )
        elif heard.how == FLOOD:
            course.stop(
                CONDUCT,
                ENDLESS_OUTPUT,
                f"{when} it prints more than {self.rules.manner.limits.output_kb:,} KB",
            )
        elif heard.how == ENDED and heard.status != 0:
            course.stop(CONDUCT, STOPPED, f"{when} it ends with {_status_in_words(heard.status)}")
        return course.goes_on

    def _ends_well(self, course: Course, said: Said, entry: Entry, *, was_over: bool) -> bool:
        """Whether nothing more is to be judged of a program that has ended, which it may only when a game is over."""
        if was_over:
            course.goes_on = False  # it goes instead of playing again
        elif course.outcome is None and not said.moves and not said.outcomes:
            course.stop(CONDUCT, STOPPED, f"after {entry.in_words} it ends, and the game is not over")
        return not course.goes_on

    def _ends_the_game(self, code: int, said: Said, entry: Entry) -> bool:
        """Whether an input and the moves that are told bring the game to its end."""
        course = Course(self.rules, self.worth, self.claim, code)
        course.enter(entry)
        self._machine_part(course, said, entry)
        return course.outcome is not None

    def _machine_part(self, course: Course, said: Said, entry: Entry | None) -> None:
        """Make the machine's moves, as far as they can be made."""
        for move in said.moves:
            spot = self.rules.spot(course.code)
            if spot.outcome is not None and course.begins_at_once:
                course.next_game()
                spot = self.rules.spot(course.code)
            if not spot.machine_to_move:
                self._moved_out_of_turn(course, move, entry)
                return
            if move not in spot.moves:
                course.stop(
                    PLAY, ILLEGAL_MOVE, f"the machine plays {self.rules.name(move)}, where it may not play"
                )
                return
            course.make(move, by_machine=True)
        if course.goes_on and self.rules.spot(course.code).machine_to_move:
            self._did_not_move(course, said, entry)

    def _moved_out_of_turn(self, course: Course, move: int, entry: Entry | None) -> None:
        name = self.rules.name(move)
        if entry is not None and entry.kind == AFTER_END:
            course.stop(CONDUCT, AFTER_END_PLAY, f"the next game has begun, and the machine plays {name} too")
        elif entry is not None and entry.kind != LEGAL:
            course.stop(WRONG_INPUT, ACCEPTED, f"to {entry.in_words} the machine plays {name}")
        elif self.rules.spot(course.code).outcome is not None:
            course.stop(CONDUCT, AFTER_END_PLAY, f"the game is over, and the machine plays {name}")
        else:
            course.stop(PLAY, OUT_OF_TURN, f"the machine plays {name}, and it is the visitor's turn")

    def _did_not_move(self, course: Course, said: Said, entry: Entry | None) -> None:
        if said.outcomes:
            course.stop(
                VERDICTS,
                EARLY_VERDICT,
                f"it tells {outcome_in_words(said.outcomes[-1])}, and the game is not over",
            )
        elif entry is not None and entry.kind == LEGAL and said.texts:
            course.stop(
                WRONG_INPUT, LEGAL_REFUSED, f"{entry.shown} is a legal move, and it says '{said.texts[0]}'"
            )
        elif entry is not None and entry.kind not in (LEGAL, AFTER_END):
            course.stop(
                WRONG_INPUT, NOT_CHARGED, f"{entry.in_words} costs the turn, and the machine does not move"
            )
        elif entry is not None and entry.kind == AFTER_END:
            course.stop(CONDUCT, AFTER_END_PLAY, "the next game should begin with a move of the machine's")
        else:
            course.stop(PLAY, NO_MOVE, "it is the machine's turn, and no move of its can be read")

    def _outcome_part(self, course: Course, said: Said, entry: Entry | None) -> None:
        """Hold the outcome that is told against the one that has come about."""
        if not course.goes_on:
            return
        if entry is not None and entry.kind == AFTER_END:
            if said.outcomes and said.moves:
                course.stop(
                    CONDUCT, AFTER_END_PLAY, "the next game has hardly begun, and it tells an outcome"
                )
            return
        told = list(dict.fromkeys(said.outcomes))
        if course.outcome is None and told:
            course.stop(
                VERDICTS, EARLY_VERDICT, f"it tells {outcome_in_words(told[-1])}, and the game is not over"
            )
        elif course.outcome is not None and not told:
            texts = said.texts if entry is not None and entry.kind == LEGAL else ()
            if texts:
                course.stop(
                    WRONG_INPUT,
                    LEGAL_REFUSED,
                    f"a legal move ends the game, and it says '{texts[0]}'",
                )
                return
            course.stop(VERDICTS, NO_VERDICT, f"the game is over: {outcome_in_words(course.outcome)}")
        elif course.outcome is not None and told != [course.outcome]:
            says = " and ".join(map(outcome_in_words, told))
            course.note(VERDICTS, WRONG_VERDICT, f"it tells {says}; it is {outcome_in_words(course.outcome)}")

    def _no_message_part(self, course: Course, said: Said, entry: Entry) -> None:
        """A legal move is not answered as if it were none; one that ends the game may be followed by "again?"."""
        if said.texts and not course.findings and course.outcome is None:
            course.note(
                WRONG_INPUT, WRONG_MESSAGE, f"{entry.shown} is a legal move, and it says '{said.texts[0]}'"
            )

    def _message_part(self, course: Course, said: Said, entry: Entry, before: int) -> None:
        """Hold the answer to wrong input against the house rules."""
        number, text = self.rules.game.message(before, entry.kind)
        rule = self.rules.game.house.rules[number]
        mild = rule.counts and text == rule.say_forgiven and text != rule.say
        due = self.rules.manner.answers_to(entry.kind, text, mild=mild)
        wanted = {self.reader.knows(each) for each in due}
        if wanted and not wanted & set(said.texts):
            instead = f"says '{said.texts[0]}'" if said.texts else "says nothing that is known"
            course.note(WRONG_INPUT, WRONG_MESSAGE, f"to {entry.in_words} it {instead}; due is '{due[0]}'")
        elif set(said.texts) - wanted:
            extra = min(set(said.texts) - wanted)
            due_text = f"'{due[0]}'" if due else "nothing"
            course.note(
                WRONG_INPUT, WRONG_MESSAGE, f"to {entry.in_words} it says '{extra}'; due is {due_text}"
            )


def _status_in_words(status: int | None) -> str:
    if status is None:
        return "its output closed"
    return f"signal {-status}" if status < 0 else f"status {status}"
