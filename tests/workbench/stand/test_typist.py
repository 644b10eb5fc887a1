"""Lines that are waited for: in order, cut where they are too long, and not waited for longer than asked."""

import os

import pytest

from workbench.stand.typist import LONGEST_LINE, Lines, TypedOut


@pytest.fixture
def pipe():
    reading, writing = os.pipe()
    with os.fdopen(reading, "rb", buffering=0) as ours, os.fdopen(writing, "wb", buffering=0) as theirs:
        yield ours, theirs


def test_lines_come_in_order_and_then_the_end(pipe):
    ours, theirs = pipe
    with Lines(ours) as typist:
        theirs.write(b"1\n\r\n a1 \r\n\xff\n")
        assert [typist.line(60) for _ in range(4)] == [b"1", b"", b" a1 ", b"\xff"]
        theirs.write(b"no end")
        theirs.close()
        assert typist.line(60) == b"no end"
        with pytest.raises(TypedOut):
            typist.line(60)


def test_silence_is_not_waited_for_longer_than_asked(pipe):
    ours, theirs = pipe
    with Lines(ours) as typist:
        assert typist.line(0.01) is None
        theirs.write(b"late\n")
        assert typist.line(60) == b"late"
        theirs.close()
        with pytest.raises(TypedOut):
            typist.line(60)


def test_the_rest_of_a_line_that_is_too_long_is_no_line_of_its_own(pipe):
    ours, theirs = pipe
    with Lines(ours) as typist:
        theirs.write(b"x" * (2 * LONGEST_LINE + 5) + b"\n5\n")
        assert typist.line(60) == b"x" * LONGEST_LINE
        assert typist.line(60) == b"5"
        theirs.close()
        with pytest.raises(TypedOut):
            typist.line(60)
