"""How a C program prints its messages and the names of moves."""

from budget.c90.setting import Setting
from budget.c90.text import character
from budget.lowering.units import codes_of, message_unit

IN_TEXTS, IN_SAY = "in the texts", "in say"
SAY = """
/* Print a message. */
static void say(FIXED_AT text)
{
    byte sign;
%s
    while ((sign = FETCH(text)) != 0) {
        put_char(sign);
        ++text;
    }
}
"""


class Saying:
    """Writes what prints; the same text is stored once."""

    def __init__(self, setting: Setting) -> None:
        self._setting = setting
        self._text = setting.text
        self._house = setting.play.game.house
        units = [
            message_unit(self._house, setting.code, name, said)
            for name, said in self._house.all_messages().items()
        ]
        self._line_end = tuple(setting.code.line_end)
        begins = bool(self._line_end) and all(
            unit[: len(self._line_end)] == self._line_end for unit in units if len(unit) > 1
        )
        ways = (IN_SAY, IN_TEXTS) if begins and any(len(unit) > 1 for unit in units) else (IN_TEXTS,)
        self._in_say = setting.choices.pick("line ends", ways) == IN_SAY
        self._stored: dict[tuple[int, ...], str] = {}

    def sign(self, name: str) -> int | None:
        """The code of a message that is one sign; else None."""
        unit = self._unit(name)
        return unit[0] if len(unit) == 1 else None

    def say(self, name: str) -> None:
        """Print a message by its name (as in ``house.all_messages``)."""
        unit = self._unit(name)
        if len(unit) == 1:
            self._text.put(f"put_char({character(unit[0])});")
        elif unit:
            self._text.function("say", SAY % self._begin())
            self._text.put(f"say({self._message(unit)});")

    def _unit(self, name: str) -> tuple[int, ...]:
        """The codes of a message."""
        return message_unit(self._house, self._setting.code, name, self._house.all_messages()[name])

    def _begin(self) -> str:
        codes = self._line_end if self._in_say else ()
        return "".join(f"\n    put_char({character(code)});" for code in codes)

    def _message(self, unit: tuple[int, ...]) -> str:
        if unit not in self._stored:
            name = f"text{len(self._stored) + 1}"
            codes = unit[len(self._line_end) :] if self._in_say else unit
            self._stored[unit] = self._text.message(name, codes)
        return self._stored[unit]


class Names:
    """The names of moves: consecutive signs, or a table in which each takes as much room as the longest."""

    def __init__(self, setting: Setting) -> None:
        self._text = setting.text
        self.codes = [codes_of(setting.code, name.upper()) for name in setting.play.game.fair.move_names]
        self.longest = max(map(len, self.codes))
        self.count = len(self.codes)

    @property
    def first(self) -> int | None:
        """The sign of the first move where the others have those after it; else None."""
        first = self.codes[0][0]
        consecutive = [(first + number,) for number in range(self.count)]
        return first if self.codes == consecutive else None

    def table(self) -> str:
        """The table, with zeros after shorter names."""
        padded = [code for name in self.codes for code in (*name, *[0] * (self.longest - len(name)))]
        return self._text.table("names", padded, f"of the moves, {self.longest} signs each")

    def print_move(self) -> None:
        """Print the name of `move`."""
        if self.first is not None:
            self._text.put(f"put_char((byte)(move + {character(self.first)}));")
            return
        at, end = self._text.local("sign", "of a name"), self.longest
        if end == 1:
            self._text.put(f"put_char(FETCH({self.table()} + move));")
            return
        self._text.put(f"""
for ({at} = 0; {at} < {end}; ++{at})
    if (FETCH({self.table()} + (byte)(move * {end} + {at})) != 0)
        put_char(FETCH(names + (byte)(move * {end} + {at})));
""")
