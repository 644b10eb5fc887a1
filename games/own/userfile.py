"""A Python file of the user's: loaded, asked, and blamed in one clear line when something in it goes wrong.

It is code that the user trusts, as trusted as any program that they start themselves; so it is loaded only when it is
named on the command line.  Whatever it prints goes to standard error, since standard output is the command's own.
"""

import ast
import sys
from collections.abc import Callable, Sequence
from contextlib import redirect_stdout
from importlib.machinery import SourceFileLoader
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from types import CodeType, TracebackType
from typing import Any

from games.problems import BadInput, Problem, bad, closest
from games.tomlfile import read_text


class _AlwaysFresh(SourceFileLoader):
    """Reads the file itself, never a compiled copy of it, and leaves none beside it."""

    def get_code(self, fullname: str) -> CodeType:
        code: CodeType = self.source_to_code(self.get_data(self.path), self.path)
        return code


class UserFile:
    """A loaded file: what it defines by name, its lines for messages, and its mistakes so far.

    Raises BadInput if the file cannot be read, is no Python, or stops while it is loaded.
    """

    __slots__ = ("_values", "path", "problems", "text")

    def __init__(self, path: str | Path) -> None:
        self.path = str(path)
        self.text = read_text(path)
        self.problems: list[Problem] = []
        self._values = self._loaded()

    @property
    def stem(self) -> str:
        """The file's name without its ending."""
        return Path(self.path).stem

    def _loaded(self) -> dict[str, Any]:
        name = f"_file_of_the_user_{self.stem}"
        loader = _AlwaysFresh(name, self.path)
        spec = spec_from_file_location(name, self.path, loader=loader)
        assert spec is not None
        module = module_from_spec(spec)
        sys.modules[name] = module  # where dataclasses and the like look for the module that they stand in
        try:
            self._run("the file", "", lambda: loader.exec_module(module))
        except BaseException:
            del sys.modules[name]
            raise
        return vars(module)

    def __contains__(self, name: str) -> bool:
        return self._values.get(name) is not None

    def __getitem__(self, name: str) -> Any:
        """What the file calls by this name."""
        return self._values[name]

    @property
    def doc(self) -> str:
        """The text on top of the file."""
        return str(self._values.get("__doc__") or "")

    def call(self, function: str, *arguments: Any, kept: Sequence[type[Exception]] = (), **named: Any) -> Any:
        """Ask a function of the file.  Whatever it raises becomes BadInput, but for the `kept` kinds of exceptions."""
        return self._run(function, function, lambda: self._values[function](*arguments, **named), kept)

    def _run(
        self, what: str, function: str, action: Callable[[], Any], kept: Sequence[type[Exception]] = ()
    ) -> Any:
        try:
            with redirect_stdout(sys.stderr):
                return action()
        except (BadInput, MemoryError):
            raise
        except SyntaxError as error:
            raise self._no_python(error) from None
        except (Exception, SystemExit) as error:  # the code is not ours: anything can come
            if isinstance(error, tuple(kept)):
                raise
            raise self.fails(what, error, function) from None

    def _no_python(self, error: SyntaxError) -> BadInput:
        if error.filename != self.path:
            message = f"{Path(error.filename or '').name} is not Python: {error.msg}"
            return bad(message, self.path, self._last_line(error.__traceback__))
        line, lines = error.lineno or 0, self.text.split("\n")
        shown = lines[line - 1] if 0 < line <= len(lines) else ""
        return BadInput(
            [Problem(self.path, line, error.offset or 0, f"this is not Python: {error.msg}", shown)]
        )

    def fails(self, what: str, error: BaseException, function: str = "") -> BadInput:
        """That something raised an exception, at the last line of this file that it came by."""
        said = _first_line(str(error))
        if "read-only" in said:
            said = "the arrays that a function is given belong to the caller; expected work on a copy"
        elif isinstance(error, SystemExit):
            said = "it wants to end the whole program"
        kind = "" if isinstance(error, SystemExit) else f" with {type(error).__name__}"
        line = self._last_line(error.__traceback__) or self.line(function)
        return bad(f"{what} stops{kind}: {said}" if said else f"{what} stops{kind}", self.path, line)

    def _last_line(self, trace: TracebackType | None) -> int:
        line = 0
        while trace is not None:
            if trace.tb_frame.f_code.co_filename == self.path:
                line = trace.tb_lineno
            trace = trace.tb_next
        return line

    def line(self, name: str) -> int:
        """The line on which the file defines a name; 0 if it does not."""
        found = 0
        for statement in ast.parse(self.text).body:
            if isinstance(statement, ast.FunctionDef | ast.ClassDef):
                names = [statement.name]
            else:
                names = [
                    node.id for node in ast.walk(statement) if isinstance(node, ast.Name) and _is_bound(node)
                ]
            if name in names:
                found = statement.lineno
        return found

    def wrong(self, name: str, message: str) -> None:
        """Note a mistake in what a name stands for."""
        self.problems.append(Problem(self.path, self.line(name), 0, message))

    def missing(self, name: str, example: str) -> None:
        """Note that something is missing which the file must define."""
        close = closest(name, tuple(word for word in self._values if not word.startswith("__")))
        hint = f"; is it '{close}' on line {self.line(close)}?" if close else ""
        self.wrong("", f"'{name}' is missing; expected {example}{hint}")

    def raise_problems(self) -> None:
        """Raise BadInput if the file has mistakes."""
        if self.problems:
            raise BadInput(sorted(self.problems, key=lambda problem: problem.line))


def _is_bound(name: ast.Name) -> bool:
    return isinstance(name.ctx, ast.Store)


def _first_line(text: str) -> str:
    return text.strip().partition("\n")[0]
