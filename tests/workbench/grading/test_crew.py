"""Processes that are ended one by one: what happens to one task happens to no other."""

import json
import math
import os
import subprocess
import sys
import time

import pytest

from tests.workbench.processes import ROOT, posix_only
from workbench.grading.crew import Crew, ProcessEnded, TookTooLong


def test_what_one_task_does_to_its_process_harms_no_other():
    with Crew(2, seconds=120) as crew:
        roots = [crew.submit(math.sqrt, number * number) for number in range(4)]
        ended = crew.submit(os._exit, 3)
        printed = crew.submit(os.write, 1, b"")
        wrong = crew.submit(json.loads, "{")
        more = [crew.submit(math.sqrt, number * number) for number in range(4, 8)]
        assert [each.result() for each in (*roots, *more)] == list(range(8))
        with pytest.raises(ProcessEnded):
            ended.result()
        with pytest.raises(json.JSONDecodeError):
            wrong.result()
        assert printed.result() == 0


def test_a_task_that_takes_too_long_is_ended_and_the_next_is_done():
    with Crew(1, seconds=2) as crew:
        slow, quick = crew.submit(time.sleep, 600), crew.submit(math.sqrt, 9)
        with pytest.raises(TookTooLong):
            slow.result()
        assert quick.result() == 3


def test_each_process_is_prepared_first_and_that_counts_for_no_task():
    with Crew(1, seconds=4, prepare=(time.sleep, (4.5,))) as crew:
        assert crew.submit(math.sqrt, 9).result() == 3
    with Crew(1, seconds=120, prepare=(os._exit, (3,))) as crew, pytest.raises(ProcessEnded):
        crew.submit(math.sqrt, 9).result()


def test_all_can_be_ended_at_once():
    crew = Crew(1, seconds=600)
    first, second = crew.submit(time.sleep, 600), crew.submit(time.sleep, 600)
    while not first.running():
        time.sleep(0.01)
    crew.shutdown(cancel_futures=True)
    assert second.cancelled()
    with pytest.raises(ProcessEnded):
        first.result()


def test_a_task_has_no_keyword_arguments():
    with Crew(1, seconds=1) as crew, pytest.raises(TypeError):
        crew.submit(sorted, [2, 1], reverse=True)


WHOEVER_SENDS = """
import time
from workbench.grading.crew import Crew
crew = Crew(1, seconds=600)
crew.submit(exec, "import os, time; os.write(2, b'begun'); time.sleep(600)")
time.sleep(600)
"""


@posix_only
def test_a_process_ends_with_the_one_that_has_sent_its_task():
    with subprocess.Popen([sys.executable, "-c", WHOEVER_SENDS], cwd=ROOT, stderr=subprocess.PIPE) as sender:
        assert sender.stderr.read(5) == b"begun"
        sender.kill()
        sender.communicate(
            timeout=300
        )  # both have the pipe of errors open: it ends when the last of them has ended
