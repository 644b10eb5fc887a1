"""Programs in our orders made at random, which the simulated machine and an expanded image must obey alike."""

from random import Random

from budget.machine.orders import ORDER_NAMED, Operand

VARIABLES = ("x", "y", "z")
PLAIN = (
    "load", "store", "add", "subtract", "and", "look", "count", "set", "plus", "negate", "carry", "left", "right",
    "output", "input",
)  # fmt: skip
BRANCHES = ("ifzero", "ifnonzero", "ifminus")
NUMBERS = (0, 0, 1, 2, 3, 4, 6, 7, -1, -2, -3, 9, 100, 1023, 1024, 2046, 2047, -2048, -2047, -1024, -1025)


def random_program(seed, length=40, *, with_carry=True, with_keys=True):
    """A text of about so many orders: a main part, a few subroutines, a table, and a list of jumps."""
    return _Writer(Random(seed), length, with_carry, with_keys).text()


class _Writer:
    def __init__(self, random, length, with_carry, with_keys):
        self.random = random
        self.length = length
        self.orders = [
            name for name in PLAIN if (with_carry or name != "carry") and (with_keys or name != "input")
        ]
        self.lines = []

    def text(self):
        subroutines = self.random.randrange(3)
        self.part("m", self.length, [f"s{number}" for number in range(subroutines)])
        self.lines.append("        halt")
        for number in range(subroutines):
            self.lines.append(f"s{number}:")
            self.part(f"s{number}p", 4 + self.length // 4, [f"s{other}" for other in range(number)])
            self.lines.append("        back")
        self.lines += [f"list:   jump m{self.random.randrange(4)}" for _ in range(3)][:1]
        self.lines += [f"        jump m{self.random.randrange(4)}" for _ in range(2)]
        self.lines += ["table:  word 3, -1, 9, 0x7FF", "near:   word table, x, y, table+1"]
        self.lines += [f"{name}:      word {self.random.choice(NUMBERS)}" for name in VARIABLES]
        self.lines += ["small:  word 2", "there:  space 1", "spare:  space 8"]
        return "\n".join(self.lines) + "\n"

    def part(self, name, length, callable_):
        """Orders with four labels among them; jumps lead to labels of the same part."""
        marks = sorted(self.random.sample(range(length), 4))
        for number in range(length):
            if number in marks:
                self.lines.append(f"{name}{marks.index(number)}:")
            self.order(name, callable_)

    def order(self, name, callable_):
        random = self.random
        kind = random.random()
        if kind < 0.12:
            self.lines.append(f"        {random.choice(BRANCHES)} {name}{random.randrange(4)}")
        elif kind < 0.16:
            self.lines += [f"        count {random.choice(VARIABLES)}"]
            self.lines += [f"        {random.choice(BRANCHES)} {name}{random.randrange(4)}"]
        elif kind < 0.2:
            self.lines += [f"        subtract {random.choice(VARIABLES)}"]
            self.lines += [f"        {random.choice(BRANCHES)} {name}{random.randrange(4)}"]
        elif kind < 0.23 and callable_:
            self.lines.append(f"        call {random.choice(callable_)}")
        elif kind < 0.25 and name == "m":
            self.lines += [
                "        load small",
                "        and =1",
                "        store small",
                "        by small",
                "        jump list",
            ]
        elif kind < 0.26 and name == "m":
            self.lines += [f"        set {name}{random.randrange(4)}", "        store there", "        set 5"]
            self.lines += ["        by there", "        jump 0"]
        else:
            self.plain(random.choice(self.orders))

    def plain(self, what):
        random = self.random
        order = ORDER_NAMED[what]
        by = random.random() < 0.2
        if what == "look":
            self.lines += ["        and =3", "        look table"]
        elif order.operand is Operand.WORD and by:
            self.lines += self.near(what)
        elif order.operand is Operand.WORD:
            constant = what not in ("store", "count", "look") and random.random() < 0.2
            operand = f"={random.choice(NUMBERS)}" if constant else random.choice(VARIABLES)
            self.lines.append(f"        {what} {operand}")
        elif order.operand is Operand.NONE:
            self.lines.append(f"        {what}")
        elif order.operand is Operand.AMOUNT:
            if by:
                self.lines.append("        by small")
            self.lines.append(f"        {what} {random.randrange(14)}")
        else:
            if by:
                self.lines.append(f"        by {random.choice(VARIABLES)}")
            number = random.choice(NUMBERS)
            self.lines.append(f"        {what} {0 if by and random.random() < 0.5 else number}")

    def near(self, what):
        """An order on a word that another word leads to."""
        random = self.random
        if random.random() < 0.5:
            return [f"        by near+{random.randrange(1, 3)}", f"        {what} 0"]
        chain = ["        by small"] if random.random() < 0.5 else ["        by =1", "        by small"]
        if what in ("store", "count"):
            return [*chain, f"        {what} spare"]
        return [*chain, f"        {what} table"]
