"""A writer killed in the middle of its writing: what it was told was kept is kept, and the database is whole."""

import random
import sqlite3
import subprocess
import sys
import time
from contextlib import closing

from shops import document, shop_in

from ampwright.desk.cases import kept_jobs

KILLS = 20
WRITER = """
import sys
from ampwright.desk.cases import kept_jobs
from ampwright.desk.cases.shop import open_shop
shop, number = open_shop(sys.argv[1]), sys.argv[2]
job = kept_jobs.open_kept(shop, number)
print("begun", flush=True)
while True:
    title = f"state {job.revision + 1} " + "x" * 300
    job = kept_jobs.change(shop, number, job.revision, lambda held: held | {"title": title}, title)
    print(job.revision, flush=True)
"""


def test_nothing_acknowledged_is_lost_when_the_writer_is_killed(tmp_path):
    shop = shop_in(tmp_path)
    number = kept_jobs.new_job(shop, document()).number
    shop.close()
    dice = random.Random(20)
    written = 0
    for _ in range(KILLS):
        told = _killed_writer(tmp_path, number, dice.uniform(0.0, 0.12))
        shop = shop_in(tmp_path)
        job = kept_jobs.open_kept(shop, number)
        states = kept_jobs.history(shop, number)
        shop.close()
        # the rule: what was acknowledged is there, at most one more was kept and not yet told, and none is missing
        assert max(told, default=0) <= job.revision
        assert [state.revision for state in states] == list(range(job.revision, 0, -1))
        assert job.revision == 1 or job.document["title"].startswith(f"state {job.revision} ")
        with closing(sqlite3.connect(tmp_path / "shop.sqlite")) as connection:
            assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        written += len(told)
    # some were killed while they wrote, or nothing was tried
    assert written > KILLS


def _killed_writer(folder, number, after_s):
    """The revisions that a writer was told are kept, before it was killed."""
    command = [sys.executable, "-c", WRITER, str(folder), number]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as writer:
        assert writer.stdout.readline() == "begun\n"
        time.sleep(after_s)
        writer.kill()
        lines = writer.stdout.read().splitlines(keepends=True)
    return [int(line) for line in lines if line.endswith("\n")]
