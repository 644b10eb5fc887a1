"""S-records, with addresses of two, three or four bytes.

After the manual page of Motorola's format in "M68000 Family Programmer's Reference Manual", appendix C (from memory).
A record is S, its type, the number of bytes that follow, an address or a count, the data, and a check byte: what is
lacking to 255 in the sum of all other bytes modulo 256.  S0 is a heading; S1, S2 and S3 hold data at addresses of two,
three and four bytes; S5 and S6 count these records in two and three bytes; S9, S8 and S7 end them, with the start.
"""

from budget.card import CostCard
from budget.images.image import Image, Reading, wrong_check
from budget.images.octets import Piece, bytes_a_word, pieces_of, start_byte, words_a_record
from budget.images.records import Frame, Gathered, Record

NAME = "s-records"
TITLE = "S-records"
SUFFIX = ".srec"
ORDER = 2
NAMED = ""
HEADING = "S0"
DATA = {"S1": 2, "S2": 3, "S3": 4}
COUNT = {"S5": 2, "S6": 3}
END = {"S9": 2, "S8": 3, "S7": 4}
ADDRESS = {HEADING: 2, **DATA, **COUNT, **END}
"""Bytes of the address, or of the count, of each type."""
FRAME = Frame("S[0-35-9]", "S1130000", uncounted=1, least=4)
LONGEST_HEADING = 32
"""Characters of a program's name that go into the heading."""


def begins(raw: bytes) -> bool:
    """Whether a file is meant to be S-records: its first sign is S, and a figure follows."""
    first = raw.removeprefix(b"\xef\xbb\xbf").lstrip()[:2].upper()
    return first[:1] == b"S" and first[1:].isdigit()


def words_a_row(card: CostCard) -> int:
    """How many words a record holds at most."""
    return words_a_record(card)


def check_byte(values: bytes) -> int:
    """What is lacking to 255 in the sum of some bytes, modulo 256.

    >>> f"{check_byte(bytes.fromhex('07FEDC210080CF')):02X}"
    'AE'
    """
    return ~sum(values) % 256


def write(image: Image, card: CostCard) -> bytes:
    """The file: a heading with the program's name, records of whole words, their count, and the start."""
    start = start_byte(image.start or 0, card)
    last = max([start, *((address + 1) * bytes_a_word(card) - 1 for address in image.words)])
    data, end = next(types for types in zip(DATA, END, strict=True) if last >> 8 * ADDRESS[types[0]] == 0)
    heading = image.name[:LONGEST_HEADING].encode("ascii", errors="replace")
    records = [_record(data, address, values) for address, values in pieces_of(image, card)]
    count = "S5" if len(records) >> 16 == 0 else "S6"
    lines = [_record(HEADING, 0, heading), *records, _record(count, len(records)), _record(end, start)]
    return "".join(f"{line}\n" for line in lines).encode()


def _record(kind: str, address: int, data: bytes = b"") -> str:
    body = address.to_bytes(ADDRESS[kind], "big") + data
    values = bytes([len(body) + 1]) + body
    return f"{kind}{values.hex().upper()}{check_byte(values):02X}"


def read(raw: bytes, card: CostCard, file: str) -> Reading:
    """What the file says.  Raises BadInput with every record that is none."""
    gathered = Gathered(raw, file, card, FRAME)
    for record in gathered.records():
        if _is_shaped(record, gathered):
            _obey(record, gathered)
    if not gathered.ended:
        gathered.fault(None, 0, "the end record is missing; expected S9, S8 or S7")
    return gathered.reading()


def _is_shaped(record: Record, gathered: Gathered) -> bool:
    """Whether a record has room for its address and no data that it must not have; if not, it is noted."""
    kind, length = record.mark, len(record.values)
    size = ADDRESS[kind] + 2
    if length < size:
        gathered.note(record, 0, f"{kind} has {size} bytes at least, not {length}")
    elif length > size and kind in (*COUNT, *END):
        gathered.note(record, 0, f"{kind} has {size} bytes, not {length}")
    else:
        return True
    return False


def _obey(record: Record, gathered: Gathered) -> None:
    """Take what a record says."""
    kind = record.mark
    head = 1 + ADDRESS[kind]
    number = record.number(1, head)
    check = record.check(check_byte(record.values[:-1]))
    if kind in DATA:
        data, columns = record.values[head:-1], record.columns[head:-1]
        gathered.pieces.append(Piece(record.line, number, data, columns, check))
        return
    if check.is_wrong:
        gathered.fault(record, -1, wrong_check(check))
    if kind in COUNT and number != len(gathered.pieces):
        gathered.fault(record, 1, f"counts {number} records of data, and there are {len(gathered.pieces)}")
    elif kind in END:
        gathered.ended = record.line
        gathered.begin_at(record, 1, number)
