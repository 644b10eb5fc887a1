"""Intel HEX, of 8, 16 and 32 bits of address.

After "Hexadecimal Object File Format Specification, revision A", Intel, 1988.  A record is a colon, the number of its
data bytes, an offset of two bytes, its type, the data, and a check byte that makes all its bytes add up to 0 modulo
256.  We write data (00), the upper half of addresses (04) where it changes, the start (05) and the end (01); we read
also the segments of 16 bytes (02, 03).
"""

from budget.card import CostCard
from budget.images.image import Image, Reading, wrong_check
from budget.images.octets import Piece, pieces_of, start_byte, words_a_record
from budget.images.records import Frame, Gathered, Record

NAME = "intel-hex"
TITLE = "Intel HEX"
SUFFIX = ".hex"
ORDER = 1
NAMED = ""
MARK = ":"
DATA, END, SEGMENT, SEGMENT_START, UPPER, START = range(6)
LENGTHS = {END: 0, SEGMENT: 2, SEGMENT_START: 4, UPPER: 2, START: 4}
"""Data bytes of each type but DATA."""
HEAD = 4
"""Bytes before the data."""
FRAME = Frame(MARK, ":10000000", uncounted=HEAD + 1, least=HEAD + 1)
PAGE = 1 << 16
"""Bytes that an offset reaches."""


def begins(raw: bytes) -> bool:
    """Whether a file is meant to be Intel HEX: its first sign is a colon."""
    return raw.removeprefix(b"\xef\xbb\xbf").lstrip().startswith(MARK.encode())


def words_a_row(card: CostCard) -> int:
    """How many words a record holds at most."""
    return words_a_record(card)


def check_byte(values: bytes) -> int:
    """What makes the bytes of a record add up to 0 modulo 256.

    >>> f"{check_byte(bytes.fromhex('03012300010203')):02X}"
    'D3'
    """
    return -sum(values) % 256


def write(image: Image, card: CostCard) -> bytes:
    """The file: records of whole words, cut only where the upper half of the address changes; then start and end."""
    lines: list[str] = []
    upper = 0
    for begin, values in pieces_of(image, card):
        room = PAGE - begin % PAGE
        for address, part in ((begin, values[:room]), (begin + room, values[room:])):
            if part and address // PAGE != upper:
                upper = address // PAGE
                lines.append(_record(0, UPPER, upper.to_bytes(2, "big")))
            if part:
                lines.append(_record(address % PAGE, DATA, part))
    if image.start is not None:
        lines.append(_record(0, START, start_byte(image.start, card).to_bytes(4, "big")))
    lines.append(_record(0, END, b""))
    return "".join(f"{line}\n" for line in lines).encode()


def _record(offset: int, kind: int, data: bytes) -> str:
    values = bytes([len(data), *offset.to_bytes(2, "big"), kind, *data])
    return f"{MARK}{values.hex().upper()}{check_byte(values):02X}"


def read(raw: bytes, card: CostCard, file: str) -> Reading:
    """What the file says.  Raises BadInput with every record that is none."""
    gathered = Gathered(raw, file, card, FRAME)
    base = 0
    for record in gathered.records():
        kind, data = record.values[3], record.values[HEAD:-1]
        if not _is_shaped(record, gathered):
            continue
        check = record.check(check_byte(record.values[:-1]))
        if kind == DATA:
            address = base + record.number(1, 3)
            gathered.pieces.append(Piece(record.line, address, data, record.columns[HEAD:-1], check))
        elif check.is_wrong:
            gathered.fault(record, -1, wrong_check(check))
        if kind in (SEGMENT, UPPER):
            base = int.from_bytes(data, "big") << (4 if kind == SEGMENT else 16)
        elif kind == START:
            gathered.begin_at(record, HEAD, int.from_bytes(data, "big"))
        elif kind == SEGMENT_START:
            gathered.begin_at(
                record, HEAD, 16 * record.number(HEAD, HEAD + 2) + record.number(HEAD + 2, HEAD + 4)
            )
        elif kind == END:
            gathered.ended = record.line
    if not gathered.ended:
        gathered.fault(None, 0, "the end record is missing; expected :00000001FF")
    return gathered.reading()


def _is_shaped(record: Record, gathered: Gathered) -> bool:
    """Whether a record has a type that there is, and as many data bytes as that type needs; if not, it is noted."""
    length, kind = record.values[0], record.values[3]
    if kind > START:
        gathered.note(record, 3, f"there is no type {kind:02X}; expected 00 to 05")
    elif length != LENGTHS.get(kind, length):
        gathered.note(record, 0, f"a record of type {kind:02X} has {LENGTHS[kind]} data bytes, not {length}")
    elif kind == DATA and record.number(1, 3) + length > PAGE:
        gathered.note(record, 1, "runs over the end of its 65,536 bytes; expected a new record there")
    else:
        return True
    return False
