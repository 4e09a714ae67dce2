"""Pages worked out in other processes are the same, and one that dies holds nobody up."""

import os
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from pathlib import Path

import pytest
from desk_work import FAULTS, deadly, process_of, refused, slow

from ampwright.desk.cases import edit, kept_jobs
from ampwright.desk.cases.jobs import demo_document
from ampwright.desk.cases.shop import open_shop
from ampwright.desk.web.job_view import job_html
from ampwright.desk.web.workers import Desk, Workers
from ampwright.errors import AmpwrightError, BadRecord


@pytest.fixture(scope="module")
def workers(tmp_path_factory):
    """A desk with one process beside it and one job."""
    shop = open_shop(str(tmp_path_factory.mktemp("shop")))
    kept_jobs.new_job(shop, edit.without_number(demo_document("two-wires-unmarked")))
    made = Workers(Desk(shop, "a ticket"))
    made.start(1)
    yield made
    made.stop()
    shop.close()


def test_a_page_is_the_same_wherever_it_is_worked_out(workers):
    assert workers.run(process_of) != os.getpid()
    # second method: the same page worked out here
    assert workers.run(job_html, "101") == job_html(workers.desk, "101")


def test_a_change_made_here_is_seen_there(workers):
    kept = kept_jobs.open_kept(workers.desk.shop, "101")
    kept_jobs.change(workers.desk.shop, "101", kept.revision, lambda held: held | {"title": "seen there"}, "title")
    assert "seen there" in workers.run(job_html, "101")


def test_a_fault_comes_back_as_it_was_raised(workers):
    with pytest.raises(kept_jobs.NotKept, match="999"):
        workers.run(job_html, "999")
    with pytest.raises(BadRecord) as fault:
        workers.run(refused)
    assert (fault.value.where, fault.value.faults) == ("the part", FAULTS)


def test_long_work_goes_one_at_a_time(workers):
    # one that has no process beside it, so that nothing but the turn keeps two apart
    alone = Workers(workers.desk)
    with ThreadPoolExecutor(3) as asking:
        found = sorted(each.result() for each in [asking.submit(alone.run_long, slow) for _ in range(3)])
        together = sorted(each.result() for each in [asking.submit(alone.run, slow) for _ in range(3)])
    assert all(end <= begun for (_, end), (begun, _) in pairwise(found))
    # other work takes no turn
    assert all(end > begun for (_, end), (begun, _) in pairwise(together))


def test_work_that_kills_its_process_does_not_kill_the_desk(workers):
    # the rule: it is tried in a process of its own once more, and then a sentence is said
    with pytest.raises(AmpwrightError, match="could not be worked out"):
        workers.run(deadly)
    assert "Job 101" in workers.run(job_html, "101")


def test_a_process_that_was_killed_holds_nobody_up(workers):
    workers.start(1)
    there = workers.run(process_of)
    assert there != os.getpid()
    os.kill(there, signal.SIGKILL)
    assert "Job 101" in workers.run(job_html, "101")


def test_processes_end_with_the_desk_that_started_them(tmp_path):
    program = """
import os, sys, time
from ampwright.desk.cases.shop import open_shop
from ampwright.desk.web.workers import Desk, Workers
import desk_work
if __name__ == "__main__":
    made = Workers(Desk(open_shop(sys.argv[1]), "t"))
    made.start(1)
    print(made.run(desk_work.process_of), flush=True)
    time.sleep(60)
"""
    script = tmp_path / "desk.py"
    script.write_text(program, encoding="utf-8")
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    command = [sys.executable, str(script), str(tmp_path)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as desk:
        there = int(desk.stdout.readline())
        desk.kill()
    for _ in range(100):
        if not Path(f"/proc/{there}").exists() and not is_running(there):
            return
        time.sleep(0.1)
    pytest.fail("it is still there")


def is_running(process: int) -> bool:
    """Whether a process is there; one that ended and was not asked after is not."""
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True
