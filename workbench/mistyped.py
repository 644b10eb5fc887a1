"""A mistake on the command line, said in one line: what is wrong, what was expected, and where to read on.

`click` finds the mistake.  Here it is told in our words, for people who will read that line and nothing else.
"""

import re

import click

from games.problems import closest, listed

LONGEST = 60
"""Characters of what was typed too much: a whole folder may have been named, file by file."""
EXPECTED = {
    "STRATEGY": "a rule sheet or a table ('wordtight new rules' writes one)",
    "GAME": "a game's name ('wordtight games' lists them) or its file",
    "FOLDER": "the folder with the attempts",
    "A": "two strategies to compare",
    "B": "a second strategy to compare with the first",
}
"""What stands for an argument that is missing, where its name alone does not say it."""
FOR_A_FOLDER = "'wordtight grade' takes a whole folder"


def in_one_line(error: click.ClickException) -> str:
    """The line that is shown, with the command before it and its help behind it."""
    context = getattr(error, "ctx", None)
    where = context.command_path if context is not None else "wordtight"
    message = " ".join((_in_our_words(error, context) or error.format_message()).split())
    return f"{where}: {message[:1].lower()}{message[1:].rstrip('.')} (see {where} --help)"


def _in_our_words(error: click.ClickException, context: click.Context | None) -> str:
    """What is wrong, where we can say it more plainly than `click`; else nothing."""
    if context is None:
        return ""
    if isinstance(error, click.NoSuchOption):
        return _no_such_option(error.option_name, context)
    if isinstance(error, click.MissingParameter):
        return _missing(error.param)
    if isinstance(error, click.BadParameter):
        return _folder_for_file(error)
    extra = re.fullmatch(r"Got unexpected extra arguments? \((.+)\)\.?", error.message, re.DOTALL)
    return _too_much(extra[1], context) if extra else ""


def _no_such_option(name: str, context: click.Context) -> str:
    known = [
        option.opts[-1] for option in context.command.get_params(context) if isinstance(option, click.Option)
    ]
    close = closest(name.lstrip("-"), [each.lstrip("-") for each in known])
    meant = f"did you mean '--{close}'?" if close else f"expected one of {listed(known)}"
    return f"there is no option '{name}' here; {meant}"


def _missing(param: click.Parameter | None) -> str:
    """Which option or argument is missing, and what it is for: an option's own help says that."""
    if isinstance(param, click.Option) and param.help:
        purpose = param.help.rstrip(".")
        return f"missing option '{param.opts[-1]}'; expected {purpose[:1].lower()}{purpose[1:]}"
    name = "" if param is None else param.human_readable_name
    return f"missing argument '{name}'; expected {EXPECTED[name]}" if name in EXPECTED else ""


def _folder_for_file(error: click.BadParameter) -> str:
    folder = re.fullmatch(r"File '(.+)' is a directory\.?", error.message, re.DOTALL)
    if not folder:
        return ""
    whole = f"; {FOR_A_FOLDER}" if isinstance(error.param, click.Argument) else ""
    return f"'{folder[1]}' is a folder; expected a file{whole}"


def _too_much(typed: str, context: click.Context) -> str:
    """More was typed than the command takes: several files, or a name with spaces that had no quotes round it."""
    arguments = [each for each in context.command.get_params(context) if isinstance(each, click.Argument)]
    names = " and ".join(each.human_readable_name for each in arguments)
    expected = (
        f"expected {names} and no more, in quotes where a name has spaces" if names else "expected no more"
    )
    whole = f"; {FOR_A_FOLDER}" if names == "STRATEGY" else ""
    shown = typed if len(typed) <= LONGEST else f"{typed[:LONGEST]} ..."
    return f"'{shown}' is too much; {expected}{whole}"
