"""The machine of docs/programs.md once more, written down as slowly and plainly as can be, with bits as text.

It shares nothing with budget.machine but the card's plain figures.
"""

ADDRESS_ORDERS = ("load", "store", "add", "subtract", "and", "look", "by", "count")
PLACE_ORDERS = ("jump", "ifzero", "ifnonzero", "ifminus", "call")
NUMBER_ORDERS = ("set", "plus")
CODES = {
    "0001": "load",
    "0010": "store",
    "0011": "add",
    "0100": "subtract",
    "0101": "and",
    "0110": "look",
    "0111": "by",
    "1000": "count",
    "1001": "jump",
    "1010": "ifzero",
    "1011": "ifnonzero",
    "1100": "ifminus",
    "1101": "call",
    "1110": "set",
    "1111": "plus",
}
DETAILS = ("halt", "back", "input", "output", "negate", "carry", "high", "left", "right")


def bits(number, length):
    return format(number % 2**length, f"0{length}b")


def unsigned(text):
    return int(text, 2)


def with_sign(text):
    return int(text, 2) - 2 ** len(text) * (text[0] == "1")


def covering(count):
    """The least power of two that covers so many."""
    power = 1
    while power < count:
        power *= 2
    return power


class Stop(Exception):
    """The machine stands still: how, and why."""


class SlowMachine:
    def __init__(
        self, w, size, shape, paged, links, fixed, cycles, turn, spacing, sends, store, start, angle
    ):
        self.w, self.size, self.shape, self.paged = w, size, shape, paged
        self.most_links, self.fixed = links, fixed
        self.cycles_of, self.turn, self.spacing = cycles, turn, spacing
        self.sends = sends
        self.store = [bits(word, w) for word in store]
        self.a, self.m, self.carry, self.p, self.links = "0" * w, 0, 0, start, []
        self.keyboard, self.printed, self.count, self.cycles = [], [], 0, 0
        self.angle, self.angle_given = angle, angle is not None
        self.touched, self.written = set(), set()
        self.per_word = 2 if shape == "two-a-word" else 1
        self.addresses, self.places = covering(size), covering(size * self.per_word)
        self.m_size = max(2**w, self.places)

    def run(self, limit):
        for _ in range(limit):
            try:
                self.one()
            except Stop as stop:
                return stop.args
        return "limit reached", ""

    # -- reading an instruction

    def word(self, address):
        if address >= self.size:
            raise Stop("fault", f"no such address: {address}")
        return self.store[address]

    def instruction(self):
        """Order, operand (before M), how many words it lies in, the place after it."""
        if self.p >= self.size * self.per_word:
            raise Stop("fault", f"no such address: {self.p}")
        if self.fixed and self.p // self.per_word < self.size - self.fixed:
            raise Stop("fault", f"no program here: {self.p}")
        if self.shape == "words":
            return self.from_words()
        word = self.word(self.p // self.per_word)
        if self.shape == "two-a-word":
            half = self.w // 2
            word = (
                word[len(word) - half :] if self.p % 2 == 0 else word[len(word) - 2 * half : len(word) - half]
            )
        code, field = word[:4], word[4:]
        if code == "0000":
            order = self.detail(unsigned(field[-4:]))
            operand = unsigned(field[:-4]) if order in ("left", "right") else 0
        elif CODES[code] in NUMBER_ORDERS:
            order, operand = CODES[code], with_sign(field)
        elif self.paged:
            page = 2 ** (len(field) - 1)
            order, operand = CODES[code], unsigned(field[1:])
            if field[0] == "1":
                operand += self.p // page * page
        else:
            order = CODES[code]
            operand = unsigned(field) % (self.places if order in PLACE_ORDERS else self.addresses)
        return order, operand, 1, self.p + 1

    def detail(self, number):
        if number >= len(DETAILS):
            raise Stop("fault", f"not an order: code 0 with {number}")
        return DETAILS[number]

    def from_words(self):
        at = self.p
        whole = 1
        while 2 ** (self.w * whole) < self.size:
            whole += 1
        first = self.word(at)
        form = 0
        if self.w >= 8:
            code, rest = unsigned(first) // 16, unsigned(first) % 16
            at += 1
            if code > 15:
                raise Stop(
                    "fault", f"not an order: code {code}" + (f" with {rest}" if rest and code == 0 else "")
                )
            if code == 0:
                order = self.detail(rest)
            else:
                order, form = CODES[bits(code, 4)], rest
        else:
            code = unsigned(first)
            at += 1
            if code > 15:
                raise Stop("fault", f"not an order: code {code}")
            if code == 0:
                order = self.detail(unsigned(self.word(at)))
                at += 1
            else:
                order = CODES[bits(code, 4)]
        takes, base = 0, 0
        if order in ("left", "right") or order in NUMBER_ORDERS:
            takes = 1
            if form:
                raise Stop("fault", f"not an order: code {code} with {form}")
        elif order in ADDRESS_ORDERS + PLACE_ORDERS:
            has_forms = self.w >= 8 and whole > 1
            if form > (2 if has_forms else 0):
                raise Stop("fault", f"not an order: code {code} with {form}")
            takes = 1 if has_forms and form < 2 else whole
            if form == 1:
                base = self.p // 2**self.w * 2**self.w
        text = ""
        for _ in range(takes):
            text = self.word(at) + text
            at += 1
        operand = 0
        if order in NUMBER_ORDERS:
            operand = with_sign(text)
        elif text:
            operand = unsigned(text) + base
            if order in ADDRESS_ORDERS + PLACE_ORDERS:
                operand %= self.addresses
        return order, operand, at - self.p, at

    # -- time

    def pass_word(self, address):
        if not self.turn:
            return
        wanted = address * self.spacing % self.turn
        if self.angle is None:
            self.cycles += self.turn - 1
            self.angle = wanted
        while self.angle % self.turn != wanted:
            self.angle += 1
            self.cycles += 1
        self.angle += 1
        self.cycles += 1

    # -- one instruction

    def one(self):
        order, n, words, after = self.instruction()
        begin = self.p // self.per_word
        e = self.with_index(order, n)
        if order == "call" and len(self.links) == self.most_links:
            raise Stop("fault", "links full")
        if order == "back" and not self.links:
            raise Stop("fault", "no link")
        if order == "input" and not self.keyboard:
            raise Stop("waiting for input", "")
        self.pass_words(order, e, range(begin, begin + words))
        self.count += 1
        self.obey(order, e, after)
        if order in ("store", "count"):
            self.written.add(e)
        if order in ("input", "output") and not self.angle_given:
            self.angle = None
        if order == "halt":
            raise Stop("halted", "")

    def with_index(self, order, n):
        """The operand with M, and for look with A, too."""
        e = n if order == "by" else n + self.m
        if order == "look":
            e += with_sign(self.a)
        if order in PLACE_ORDERS:
            return e % self.places
        if order not in ADDRESS_ORDERS:
            return e % self.m_size
        e %= self.addresses
        self.word(e)
        if order in ("store", "count") and self.fixed and e >= self.size - self.fixed:
            raise Stop("fault", f"fixed store: {e}")
        return e

    def pass_words(self, order, e, instruction):
        """The time that an instruction takes: its own words, what it is about, and the order itself."""
        for number in instruction:
            self.pass_word(number)
        if order in ADDRESS_ORDERS:
            self.pass_word(e)
            self.touched.add(e)
        if order == "count":
            self.pass_word(e)
        self.cycles += self.cycles_of.get(order, 0)
        if self.angle is not None:
            self.angle += self.cycles_of.get(order, 0)

    def obey(self, order, e, after):
        m, self.m, self.p = self.m, 0, after
        a = unsigned(self.a)
        if order in {"load", "look"}:
            self.a = self.store[e]
        elif order == "store":
            self.store[e] = self.a
        elif order == "add":
            self.add(unsigned(self.store[e]))
        elif order == "subtract":
            self.carry = 1 if a >= unsigned(self.store[e]) else 0
            self.a = bits(a - unsigned(self.store[e]), self.w)
        elif order == "and":
            self.a = "".join(
                "1" if x == y == "1" else "0" for x, y in zip(self.a, self.store[e], strict=True)
            )
        elif order == "by":
            self.m = (m + with_sign(self.store[e])) % self.m_size
        elif order == "count":
            self.a = bits(unsigned(self.store[e]) + 1, self.w)
            self.store[e] = self.a
        elif order == "jump":
            self.p = e
        elif order == "ifzero":
            self.p = e if "1" not in self.a else after
        elif order == "ifnonzero":
            self.p = e if "1" in self.a else after
        elif order == "ifminus":
            self.p = e if self.a[0] == "1" else after
        elif order == "call":
            self.links.append(after)
            self.p = e
        elif order == "set":
            self.a = bits(e, self.w)
        elif order == "plus":
            self.add(e % 2**self.w)
        elif order == "back":
            self.p = self.links.pop()
        elif order == "input":
            self.a = bits(self.keyboard.pop(0), self.w)
        elif order == "output":
            self.printed.append(unsigned(self.a[-self.sends :]))
        elif order == "negate":
            self.a = bits(-a, self.w)
        elif order == "carry":
            self.a = bits(self.carry, self.w)
        elif order == "high":
            self.m = m * 2**self.w % self.m_size
        elif order == "left":
            self.a = (self.a + "0" * min(e, self.w))[-self.w :]
        elif order == "right":
            self.a = ("0" * min(e, self.w) + self.a)[: self.w]

    def add(self, number):
        total = unsigned(self.a) + number
        self.carry = 1 if total >= 2**self.w else 0
        self.a = bits(total, self.w)
