"""Help: what there is, by the stage of the work, and what to type for what one wants."""

import re

import pytest

from tests.workbench.running import wordtight
from workbench.main import COMMANDS, STAGES, WISHES

HELP = wordtight("--help").out


def test_the_bare_command_is_a_call_for_help():
    assert wordtight() == wordtight("-h") == wordtight("--help")
    assert wordtight().status == 0


def test_every_command_stands_under_its_stage():
    rows = HELP.partition("Commands, by the stage of the work:\n")[2].partition("\n\n")[0].splitlines()
    stage, listed = "", []
    for row in rows:
        found = re.fullmatch(r"  (\w*) +(?:([\w-]+) +(.*)|\(nothing yet in this version\))", row)
        stage = found[1] or stage
        if found[2]:
            listed.append((stage, found[2], found[3].strip()))
        assert stage in STAGES
    assert listed == [(entry.stage, name, entry.purpose) for name, entry in COMMANDS.items()]
    assert [stage for stage in STAGES if f"\n  {stage}" in HELP] == list(STAGES)


def test_the_table_of_wishes_names_commands_that_there_are():
    for wish, have, typed in WISHES:
        assert re.search(rf"^  {re.escape(wish)} +{re.escape(have)} +{re.escape(typed)}$", HELP, re.MULTILINE)
        program, command, *rest = typed.split()
        assert (program, command in COMMANDS) == ("wordtight", True)
        page = wordtight(command, "--help").out
        for option in rest:
            assert not option.startswith("--") or option in page
    assert {typed.split()[1] for _, _, typed in WISHES} <= set(COMMANDS)


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_explains_itself(command):
    ran = wordtight(command, "--help")
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.startswith(f"Usage: wordtight {command} ")
    assert wordtight(command, "-h") == ran
    for option in re.findall(r"^  (-\S*)", ran.out, re.MULTILINE):
        assert re.search(rf"^  {re.escape(option)}.*(?:\s{{2}}\S|\n\s+\S)", ran.out, re.MULTILINE), (
            "it says what for"
        )


def test_the_version_is_told():
    assert re.fullmatch(r"wordtight \d+\.\d+\.\d+\S*\n", wordtight("--version").out)
