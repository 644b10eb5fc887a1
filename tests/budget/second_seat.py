"""What a program for the second seat of noughts and crosses may say, told from the rules of the game alone.

The visitor keys digits; the machine answers with a digit and W or D at an end, or with ``?`` for wrong input.
"""

from functools import cache

from budget.machine.channel import printed

LINES = ("123", "456", "789", "147", "258", "369", "159", "357")
NEW_GAME = ("", "")


def judge_of(card):
    """The judge of what is said in the characters of a machine."""

    @cache
    def judged(game, key, sent):
        """The game after a key, (visitor's cells, machine's); fails if the machine has said what it must not."""
        visitor, machine = game
        sign, said = printed(card, [key]), printed(card, sent)
        free = set("123456789") - set(visitor + machine)
        if sign not in free:
            assert said == "?"
            return game
        visitor += sign
        assert not has_line(visitor), f"the visitor has won: {visitor} against {machine}"
        if free == {sign}:
            assert said == "D"
            return NEW_GAME
        move, letter = said[0], said[1:]
        assert move in free - {sign}
        machine += move
        assert letter == ("W" if has_line(machine) else "")
        return NEW_GAME if letter else (visitor, machine)

    return judged


def has_line(cells):
    """Whether some line is among these cells."""
    return any(set(line) <= set(cells) for line in LINES)
