"""What is due once a day: done at the start and once each day, beside the pages and never by one."""

import datetime
import os
import subprocess
import sys
import time

from desk_client import begun
from starlette.testclient import TestClient

from ampwright.desk.cases import kept_jobs
from ampwright.desk.cases.shop import open_shop, today
from ampwright.desk.web.daily import Daily
from ampwright.errors import AmpwrightError

YESTERDAY = today() - datetime.timedelta(days=1)
SERVE = "from ampwright.desk.cli import main; main()"


def test_the_work_is_done_once_a_day_and_again_where_it_could_not_be() -> None:
    days = iter([1, 1, 1, 2, 2, 2, 2])
    done: list[str] = []
    said: list[str] = []

    def work() -> None:
        done.append("tried")
        if len(done) == 2:
            raise AmpwrightError("The disk is full.")

    daily = Daily(work, said.append, lambda: datetime.date(2026, 1, next(days)))
    for _ in range(7):
        daily.look()
    # by hand: on the first day once; on the second it fails, and is done at the next look
    assert len(done) == 3
    assert said == ["The disk is full. It is tried again later."]


def test_a_page_deletes_nothing_by_being_looked_at(client: TestClient) -> None:
    number = begun(client)["number"]
    kept_jobs.set_delete_after(client.app.state.shop, number, YESTERDAY)  # type: ignore[attr-defined]
    for path in ("/", f"/job/{number}"):
        assert client.get(path).status_code == 200


def test_the_desk_deletes_what_is_due_though_no_page_is_asked_for(tmp_path) -> None:
    shop = open_shop(str(tmp_path))
    numbers = [kept_jobs.new_job(shop).number for _ in range(2)]
    kept_jobs.set_delete_after(shop, numbers[0], YESTERDAY)
    environment = {**os.environ, "AMPWRIGHT_DATA": str(tmp_path), "OPENBLAS_NUM_THREADS": "1"}
    command = [sys.executable, "-c", SERVE, "serve", "--no-browser", "--port", "0"]
    with subprocess.Popen(command, stderr=subprocess.PIPE, env=environment) as desk:
        for _ in range(600):
            found = [line.number for line in kept_jobs.recent_jobs(shop)]
            if found == numbers[1:]:
                break
            time.sleep(0.1)
        desk.terminate()
    shop.close()
    # the rule: its last day has passed
    assert found == numbers[1:]
