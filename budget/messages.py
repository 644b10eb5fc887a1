"""What a program says, packed in the characters of a machine.

Each message begins in a word of its own and ends with the code's end mark, which takes a character too.  The same
text is stored once, whichever messages say it, and a message without text takes nothing.
"""

from collections.abc import Collection

import numpy as np

from budget.card import CostCard
from budget.packing import Words, as_array, as_words
from games.house import HouseRules
from games.problems import BadInput, Problem


def pack_message(card: CostCard, text: str) -> Words:
    """A message in words of store.  Raises BadInput where the machine's code lacks a character."""
    code = card.characters.code
    codes = np.array([*code.encode(text), code.end], dtype=np.uint64)
    return as_words(card.message_fields.pack(codes))


def read_message(card: CostCard, words: Words) -> str:
    """The text that packed words print."""
    fields = card.message_fields
    places = np.arange(fields.count_in(len(words)))
    return card.characters.code.decode(tuple(fields.read(as_array(words), places).tolist()))


def message_words(card: CostCard, text: str) -> int:
    """How many words a message takes."""
    return len(pack_message(card, text))


def words_of_messages(house: HouseRules, card: CostCard, left_out: Collection[str] = ()) -> int:
    """How many words all messages of some house rules take, but for those `left_out` by name.

    Raises BadInput with a line for each character of a message that the machine's code lacks; RuntimeError if a
    packed message does not read back, which would be a fault of ours.
    """
    messages = {name: text for name, text in house.all_messages().items() if name not in left_out}
    by_text = {text: name for name, text in reversed(messages.items()) if text}
    problems: list[Problem] = []
    total = 0
    for text, name in reversed(by_text.items()):
        try:
            words = pack_message(card, text)
        except BadInput as bad:
            problems.extend(_of_message(house, name, problem) for problem in bad.problems)
            continue
        if read_message(card, words) != card.characters.code.printed(text):
            raise RuntimeError(f"the message {text!r} does not read back in {card.characters.code.name}")
        total += len(words)
    if problems:
        raise BadInput(problems)
    return total


def _of_message(house: HouseRules, name: str, problem: Problem) -> Problem:
    """The same mistake, with the message that has it."""
    return Problem("", 0, 0, f"house rules '{house.name}', message '{name}': {problem.message}")
