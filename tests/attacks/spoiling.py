"""Good files made bad: bytes flipped, lines dropped and doubled, numbers made huge, odd signs, deep nesting."""

import re

from hypothesis import strategies as st

ODD = [
    b"", b"\n", b"\0", b"\xff", b"\xef\xbb\xbf", b"\xff\xfe", b"\r", b"\t", b" ", b"=", b":", b",", b";", b"/", b"#",
    b'"', b"'", b'"""', b"[", b"]", b"[[", b"{", b"}", b"-1", b"0", b"1e999", b"-Infinity", b"NaN", b"nan", b"null",
    b"true", b'""', b"[]", b"{}", b"[[]]", b'[""]', b"9" * 30, b"9" * 5000, b"0x7f", b"%s", b"{0}", b"\\u0000", b"../",
    b"/dev/zero", "\u2028".encode(), "\u0663".encode(), "\u00b2".encode(), "\u0130".encode(), "\u201c".encode(),
    b"\xed\xa0\x80", b"\x1b[31m", b"\x1a", b"[" * 20_000, b'{"a":' * 20_000, b"a" * 50_000, b"(" * 3_000,
]  # fmt: skip
"""What is likely to upset a reader."""
NUMBER = re.compile(rb"\d+")
HUGE = [b"0", b"-1", b"1e400", b"2147483648", b"18446744073709551616", b"9" * 400, b"9" * 4400, b"0.5"]


@st.composite
def spoilt(draw, samples):
    """One of the good files with a few things done to it."""
    raw = draw(st.sampled_from(samples))
    for _ in range(draw(st.integers(1, 4))):
        raw = draw(st.sampled_from(WAYS))(draw, raw)
    return raw


def one_byte_flipped(draw, raw):
    if not raw:
        return b"\x80"
    at = draw(st.integers(0, len(raw) - 1))
    return raw[:at] + bytes([raw[at] ^ 1 << draw(st.integers(0, 7))]) + raw[at + 1 :]


def something_put_in(draw, raw):
    at = draw(st.integers(0, len(raw)))
    return raw[:at] + draw(st.sampled_from(ODD) | st.binary(max_size=4)) + raw[at + draw(st.integers(0, 8)) :]


def cut_short(draw, raw):
    return raw[: draw(st.integers(0, len(raw)))]


def a_line_dropped_doubled_or_swapped(draw, raw):
    lines = raw.split(b"\n")
    at, other = (draw(st.integers(0, len(lines) - 1)) for _ in range(2))
    lines[at : at + 1] = draw(st.sampled_from([[], [lines[at]] * 2, [lines[other]], [lines[at]] * 300]))
    return b"\n".join(lines)


def a_number_made_another(draw, raw):
    found = list(NUMBER.finditer(raw))
    if not found:
        return raw
    place = draw(st.sampled_from(range(len(found))))
    number = draw(st.sampled_from(HUGE) | st.integers(0, 300).map(lambda each: str(each).encode()))
    return raw[: found[place].start()] + number + raw[found[place].end() :]


def a_value_made_another(draw, raw):
    """What stands behind an equals sign or a colon, up to the end of the line or the next comma."""
    found = list(re.finditer(rb"[=:] *([^,\n]+)", raw))
    if not found:
        return raw
    place = draw(st.sampled_from(range(len(found))))
    value = draw(st.sampled_from(ODD[:-4]) | st.sampled_from(HUGE))
    return raw[: found[place].start(1)] + value + raw[found[place].end(1) :]


WAYS = [
    one_byte_flipped,
    something_put_in,
    cut_short,
    a_line_dropped_doubled_or_swapped,
    a_number_made_another,
    a_value_made_another,
]
