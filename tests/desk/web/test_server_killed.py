"""The desk's own process killed in the middle of writes: what it acknowledged is there when it is started again."""

import http.client
import os
import random
import re
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from contextlib import closing
from urllib.parse import urlencode

from ampwright.desk.cases import kept_jobs
from ampwright.desk.cases.shop import open_shop

KILLS = 20
SERVE = "from ampwright.desk.cli import main; main()"


def test_nothing_acknowledged_is_lost_when_the_server_is_killed_twenty_times(tmp_path):
    shop = open_shop(str(tmp_path))
    numbers = [kept_jobs.new_job(shop).number for _ in range(3)]
    shop.close()
    dice, acknowledged = random.Random(5), dict.fromkeys(numbers, 0)
    written = 0
    for _ in range(KILLS):
        told = _killed_server(tmp_path, numbers, dice.uniform(0.0, 0.4))
        written += sum(map(len, told.values()))
        shop = open_shop(str(tmp_path))
        for number in numbers:
            names = [state.what for state in kept_jobs.history(shop, number)]
            # the rule: every title that was answered for stands in the history, in order and once
            assert all(names.count(f"title: {title}") == 1 for title in told[number])
            assert kept_jobs.open_kept(shop, number).revision == len(names)
            acknowledged[number] += len(told[number])
            assert len(names) > acknowledged[number]
        shop.close()
        with closing(sqlite3.connect(tmp_path / "shop.sqlite")) as connection:
            assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    # some were killed while they wrote, or nothing was tried
    assert written > KILLS


def _killed_server(folder, numbers, after_s):
    """By job, the titles that the desk answered for before it was killed."""
    environment = {**os.environ, "AMPWRIGHT_DATA": str(folder), "OPENBLAS_NUM_THREADS": "1"}
    command = [sys.executable, "-c", SERVE, "serve", "--no-browser", "--port", "0"]
    told = {number: [] for number in numbers}
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True, env=environment) as desk:
        port = int(re.search(r":(\d+) ", desk.stderr.readline())[1])
        writers = [threading.Thread(target=_write, args=(port, number, told[number])) for number in numbers]
        with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=30)) as connection:
            _get(connection, "/help")  # it is up
        for writer in writers:
            writer.start()
        time.sleep(after_s)
        desk.send_signal(signal.SIGKILL)
        for writer in writers:
            writer.join()
    return told


def _write(port, number, told):
    """Change a job's title over and over, until nobody answers."""
    with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=30)) as connection:
        try:
            page = _get(connection, "/")
            ticket = re.search(r'name="ticket" value="([^"]*)"', page)[1]
            revision = _revision(_get(connection, f"/job/{number}/history"))
            while True:
                title = f"title {time.monotonic_ns()}"
                blanks = {"ticket": ticket, "base_revision": str(revision), "title": title}
                headers = {"Content-Type": "application/x-www-form-urlencoded"}
                connection.request("POST", f"/job/{number}/caller", urlencode(blanks), headers)
                answer = connection.getresponse()
                answer.read()
                if answer.status == 303:
                    told.append(title)
                    revision += 1
        except (OSError, http.client.HTTPException):
            return


def _get(connection, path):
    connection.request("GET", path)
    return connection.getresponse().read().decode()


def _revision(page):
    """The revision that a history shows as the one that stands, which its forms would start from."""
    found = re.search(r'name="base_revision" value="(\d+)"', page)
    return int(found[1]) if found else 1
