"""The command `wordtight`: finds the command that is asked for and loads no more than it needs.

Help knows every command's name and purpose without loading it, so that it comes at once.
"""

import contextlib
import sys
from collections.abc import Sequence
from typing import NamedTuple

import click

from workbench.statuses import STATUS_INTERRUPTED, STATUS_UNFINISHED, STATUS_UNUSABLE

LINE = 80


class Entry(NamedTuple):
    """A command as help knows it; its code stands in ``workbench.commands.<name>`` as ``command``."""

    stage: str
    purpose: str


STAGES = ("choose", "write", "prove", "fit", "load", "class", "day")
COMMANDS = {
    "games": Entry("choose", "list the games that come with Wordtight"),
    "show": Entry("choose", "draw a game's board, its cells, lines and rules"),
    "solve": Entry("choose", "who wins under best play, how many positions it has"),
    "graph": Entry("choose", "draw every position and move of a small game"),
    "machines": Entry("choose", "list the machines that come with Wordtight"),
    "new": Entry("write", "start a rule sheet, machine, program, game, ..."),
    "check": Entry("write", "is a file well written? every mistake with its line"),
    "prove": Entry("prove", "does it never lose? the proof, or a line to beat it"),
    "check-evidence": Entry("prove", "check a proof by a program of its own"),
    "explain": Entry("prove", "why it plays this here, or what is wrong in all"),
    "repair": Entry("prove", "the least change that makes it hold"),
    "compare": Entry("prove", "two strategies: where they differ, what each loses"),
    "size": Entry("fit", "does it fit a machine's store? programs to the word"),
    "tighten": Entry("fit", "the least strategy that holds, and why none is less"),
    "plan": Entry("fit", "the ways that fit a machine: words against waiting"),
    "assemble": Entry("load", "a program in words of store, or every mistake"),
    "run": Entry("load", "run a program: what it prints, its time, its traces"),
    "build": Entry("load", "files that a machine loads: records, tape, listing"),
    "proofread": Entry("load", "was it typed right? every slip, and how to mend it"),
    "drill": Entry("load", "play a program through every line, wrong input too"),
    "report": Entry("class", "one page: verdict, sizes and a game, for any browser"),
    "grade": Entry("class", "judge a folder of attempts: mistakes, points, pages"),
    "play": Entry("class", "play against a strategy and try to find its hole"),
    "hunt": Entry("class", "faulty strategies to beat, and the odds to find how"),
    "paper": Entry("day", "print it: cut-outs, playbook, card, poster, traces"),
    "suspect": Entry("day", "it prints what is wrong: which words may be bad?"),
    "serve": Entry("day", "visitors play at a stand; a log survives a power cut"),
    "odds": Entry("day", "are games finished on a machine that fails at times?"),
}
WISHES = (
    ("see what games there are", "nothing yet", "wordtight games"),
    ("see what machines to use", "nothing yet", "wordtight machines"),
    ("see a game's board", "a game", "wordtight show GAME"),
    ("know who wins it", "a game", "wordtight solve GAME"),
    ("write a first strategy", "nothing yet", "wordtight new rules"),
    ("know that it never loses", "a rule sheet", "wordtight prove my.rules"),
    ("doubt a proof", "evidence", "wordtight check-evidence FILE"),
    ("know why it plays that", "a position", "wordtight explain my.rules 1 5 9"),
    ("mend it with the least", "a rule sheet", "wordtight repair my.rules"),
    ("pick the better of two", "two sheets", "wordtight compare A B"),
    ("let a class find its hole", "a rule sheet", "wordtight play GAME --against my.rules"),
    ("let a class hunt holes", "nothing yet", "wordtight hunt"),
    ("know what to teach again", "a folder", "wordtight grade DIR --game G --seat S"),
    ("charge for wrong input", "a rule sheet", "wordtight new house-rules"),
    ("know that it fits", "a rule sheet", "wordtight size my.rules --machine M"),
    ("store as little as I can", "a game", "wordtight tighten GAME --seat second"),
    ("fit a game to a machine", "a game", "wordtight plan GAME --machine M"),
    ("describe my own machine", "its handbook", "wordtight new machine"),
    ("see a program's words", "a program", "wordtight assemble FILE --machine M"),
    ("act a program out", "a program", "wordtight run FILE --machine M --trace"),
    ("load it, or type it in", "a program", "wordtight build FILE --machine M -o D"),
    ("check what was typed", "two images", "wordtight proofread A B --machine M"),
    ("test a finished program", "a program", "wordtight drill FILE --game G --seat S"),
    ("find a bad word of store", "a print-out", "wordtight suspect TABLE --printed T"),
    ("show it on one page", "a strategy", "wordtight report FILE -o page.html"),
    ("let visitors play", "a strategy", "wordtight serve STRATEGY"),
    ("know if a day goes well", "a record", "wordtight odds --mean-hours H"),
    ("act the machine on paper", "a strategy", "wordtight paper FILE cutouts"),
    ("find spelling mistakes", "any file", "wordtight check FILE"),
)


class Workbench(click.Group):
    """The group of all commands; each is imported when it is first asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Every command, in the order of the stages."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import the command's module."""
        if cmd_name not in COMMANDS:
            return None
        from importlib import import_module

        module = cmd_name.replace("-", "_")
        command: click.Command = import_module(f"workbench.commands.{module}").command
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As usual, but with a word about the command that was probably meant."""
        if args and args[0] == "help":  # what people type who have not read that it is an option
            args = [*args[1:2], "--help"]
            if len(args) == 1:
                raise click.exceptions.Exit(self._say_help(ctx))
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            from games.problems import near_miss

            hint = near_miss(args[0], tuple(COMMANDS)) or f"; expected one of {', '.join(COMMANDS)}"
            raise click.UsageError(f"there is no command '{args[0]}'{hint}")
        if args[:1] == ["drill"] and _names_machine(args[1:]):
            from workbench.commands.drill_image import command

            return "drill", command, args[1:]
        return super().resolve_command(ctx, args)

    def _say_help(self, ctx: click.Context) -> int:
        click.echo(self.get_help(ctx))
        return 0

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The commands by stage, and the table of wishes."""
        with formatter.section("Commands, by the stage of the work"):
            formatter.write_dl([row for stage in STAGES for row in _stage_rows(stage)])
        widths = [max(len(row[column]) for row in WISHES) for column in (0, 1)]
        formatter.write("\n")
        titles = ("I want to ...", "I have ...", "so I type")
        for wish, have, typed in (titles, *WISHES):
            formatter.write(f"  {wish:<{widths[0]}} {have:<{widths[1]}}  {typed}\n")


def _names_machine(arguments: Sequence[str]) -> bool:
    """Whether a drill is of an image on a simulated machine; what stands behind -- is the outside program's."""
    ours = arguments[: arguments.index("--")] if "--" in arguments else arguments
    return any(each.split("=")[0] == "--machine" for each in ours)


def _stage_rows(stage: str) -> list[tuple[str, str]]:
    rows = [(name, entry.purpose) for name, entry in COMMANDS.items() if entry.stage == stage]
    if not rows:
        return [(stage, "(nothing yet in this version)")]
    return [
        (f"{stage:<7} {name}" if place == 0 else f"{'':<7} {name}", purpose)
        for place, (name, purpose) in enumerate(rows)
    ]


@click.group(
    cls=Workbench,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": LINE},
    epilog="Each command has a help page of its own: wordtight COMMAND --help",
)
@click.version_option(package_name="wordtight", message="wordtight %(version)s")
def commands() -> None:
    """Be sure of a board game on a machine with almost no memory.

    That it never loses, that it answers wrong input as it should, and that it
    fits the store: proved, not tried.
    """


def main(arguments: Sequence[str] | None = None) -> None:
    """Run `wordtight` and leave with the exit status that the design promises."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")  # a console that lacks a sign shows its number
    if not (sys.argv[1:] if arguments is None else arguments):
        arguments = ["--help"]
    output = sys.stdout
    try:
        status = commands.main(args=arguments, prog_name="wordtight", standalone_mode=False)
    except (click.exceptions.Exit, SystemExit) as left:
        status = left.exit_code if isinstance(left, click.exceptions.Exit) else left.code
    except click.ClickException as error:
        from workbench.mistyped import in_one_line

        status = _tell(in_one_line(error))
    except click.Abort:
        click.echo("interrupted", err=True)
        status = STATUS_INTERRUPTED
    except MemoryError:
        click.echo("this needs more memory than there is", err=True)
        status = STATUS_UNFINISHED
    except Exception as error:  # noqa: BLE001 - told apart just below
        status = _status_of(error)
    if sys.stdout is not output:
        status = STATUS_INTERRUPTED  # click saw that our reader has left; this is what it does about that
    sys.exit(status if isinstance(status, int) else 0)


def _tell(message: str) -> int:
    click.echo(message, err=True)
    return STATUS_UNUSABLE


def _status_of(error: Exception) -> int:
    """Tell bad input, limits that were reached, and output that has no place; anything else is a fault of ours."""
    from games.problems import BadInput

    if isinstance(error, BadInput):
        return _tell("\n".join(problem.with_caret() for problem in error.problems))
    if isinstance(error, OSError):
        _forget_output()
        return _tell(f"{error.filename or 'the output cannot be written'}: {error.strerror}")
    from budget.closing import Unfinished
    from solver.graph import TooLarge

    if isinstance(error, TooLarge | Unfinished):
        click.echo(f"no full answer: {error}", err=True)
        return STATUS_UNFINISHED
    import traceback

    traceback.print_exception(error)
    click.echo("this is a fault of Wordtight's own, and no answer: please report the lines above", err=True)
    return STATUS_UNFINISHED


def _forget_output() -> None:
    """Let what is still to be written go nowhere, so that Python does not fail once more on leaving."""
    import os

    with contextlib.suppress(OSError, ValueError):  # there may be no file behind the stream
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
