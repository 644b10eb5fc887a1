"""What is sure of an order with its operand, wherever it stands."""

from typing import NamedTuple

from budget.target.effect import Effect
from budget.target.knowing import Known
from budget.target.meaning import Meaning


class Facts(NamedTuple):
    """Found out once for each order and operand: see `Meanings.facts`.

    meaning: what it does; effect: the same as the sheet has it; kills: the registers and temporaries that it makes
    anew; always: those that matter before it in any case; when: those that matter before it if another does after it;
    holds: what is known of the word that it works on, None where that hangs on the state; word: the name of that word,
    None where nobody knows which it is; tests: a register that is 0 where the order goes on so many items further.
    """

    meaning: Meaning
    effect: Effect
    kills: frozenset[str]
    always: frozenset[str]
    when: tuple[tuple[str, frozenset[str]], ...]
    holds: Known | None
    word: str | None
    tests: tuple[str, int] | None

    def asked_before(self, later: frozenset[str]) -> frozenset[str]:
        """The registers and temporaries that matter before it, if those of `later` matter after it."""
        asked = later - self.kills | self.always
        for own, depends in self.when:
            if own in later:
                asked |= depends
        return asked
