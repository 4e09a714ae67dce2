"""Pages worked out in other processes are the same, and one that dies holds nobody up."""

import os
import signal

import pytest
from desk_work import FAULTS, process_of, refused

from ampwright.desk.cases import edit, kept_jobs
from ampwright.desk.cases.jobs import demo_document
from ampwright.desk.cases.shop import open_shop
from ampwright.desk.web.job_view import job_html
from ampwright.desk.web.workers import Desk, Workers
from ampwright.errors import BadRecord


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


def test_when_a_process_dies_the_work_is_done_here(workers):
    there = workers.run(process_of)
    assert there != os.getpid()
    os.kill(there, signal.SIGKILL)
    assert "Job 101" in workers.run(job_html, "101")
