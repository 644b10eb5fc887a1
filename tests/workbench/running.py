"""The command run inside the test's own process, as a shell would see it: status, standard output, standard error."""

import io
import sys
from typing import NamedTuple

from workbench.main import main


class Ran(NamedTuple):
    """What a run of the command has left behind."""

    status: int
    out: str
    err: str


class _Stream(io.TextIOWrapper):
    """A stream over bytes that stay at hand when the command has closed it."""

    def __init__(self, given=b"", encoding="utf-8"):
        self.bytes = io.BytesIO(given)
        super().__init__(self.bytes, encoding=encoding, newline="\n", write_through=True)

    def close(self):
        self.flush()

    def text(self):
        return self.bytes.getvalue().decode(self.encoding)


def wordtight(*arguments, stdin=b"", encoding="utf-8"):
    """Run ``wordtight`` with these arguments and give its status and both outputs."""
    streams = sys.stdin, sys.stdout, sys.stderr
    out, err = _Stream(encoding=encoding), _Stream(encoding=encoding)
    sys.stdin, sys.stdout, sys.stderr = _Stream(stdin), out, err
    try:
        main([str(argument) for argument in arguments])
    except SystemExit as left:
        return Ran(left.code, out.text(), err.text())
    finally:
        sys.stdin, sys.stdout, sys.stderr = streams
    raise AssertionError("the command came back without an exit status")
