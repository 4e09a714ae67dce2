"""
The desk under a full counter: people who each change something every two seconds, against one server.

    python benchmarks/desk.py [PEOPLE] [SECONDS]

A change is the form that is sent and the page that comes back, as a browser sees it. Besides: from the start of the
process to the first page, what that page weighs, and the papers. A bare loop of 300,000 additions in the same run tells
how fast the machine was.
"""

import gzip
import http.client
import os
import random
import re
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from urllib.parse import urlencode, urlsplit

from ampwright.desk.cases.jobs import demo_names

PEOPLE, SECONDS, EVERY_s = 20, 60.0, 2.0
SAID = {
    "position": ("round body with its own two terminals", "wires out of the engine case"),
    "thick_wires": ("2", "3", "4"),
    "battery_voltage_V": ("6", "12"),
    "frame_post": ("+", "-"),
    "ignition": ("points and battery coils", "electronic"),
    "battery_kind": ("flooded", "AGM"),
    "regulated_by": ("one Zener", "charging box"),
    "coils": ("6", "9"),
    "brushes": ("no brushes",),
    "marking": ("none", "120 W"),
    "needle": ("to discharge",),
}
SOURCES = ("memory", "looking", "photo")


class Visitor:
    """Somebody at a page of the desk."""

    def __init__(self, port: int) -> None:
        self.connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        self.ticket, self.revision, self.place = "", "", "/"
        self.waited_s = 0.0  # from what was sent to what came back, over the requests since it was set to 0

    def get(self, path: str) -> bytes:
        """A page as it comes over the wire."""
        # A browser with its script on says which layout of a chart it shows.
        headers = {"Accept-Encoding": "gzip", "Cookie": "layout=wide"}
        begun = time.perf_counter()
        self.connection.request("GET", path, headers=headers)
        answer = self.connection.getresponse()
        body = answer.read()
        self.waited_s += time.perf_counter() - begun
        assert answer.status == 200, (answer.status, path)  # noqa: S101 (a benchmark of wrong answers tells nothing)
        return body

    def look(self, path: str) -> int:
        """Load a page and take from it what its forms need; its weight over the wire."""
        body = self.get(path)
        text = (gzip.decompress(body) if body[:2] == b"\x1f\x8b" else body).decode()
        self.ticket = re.search(r'name="ticket" value="([^"]*)"', text)[1]
        found = re.search(r'name="base_revision" value="(\d+)"', text)
        self.revision = found[1] if found else ""
        return len(body)

    def send(self, path: str, **blanks: str) -> str:
        """Send a form and load the page that it leads to."""
        told = urlencode({"ticket": self.ticket, "base_revision": self.revision} | blanks)
        begun = time.perf_counter()
        self.connection.request("POST", path, told, {"Content-Type": "application/x-www-form-urlencoded"})
        answer = self.connection.getresponse()
        answer.read()
        self.waited_s += time.perf_counter() - begun
        assert answer.status == 303, (answer.status, path, blanks)  # noqa: S101
        self.place = urlsplit(answer.headers["Location"])._replace(fragment="").geturl()
        self.look(self.place)
        return self.place


def change(visitor: Visitor, job: str, rng: random.Random) -> str:
    """One change of a job, of the kinds that a call brings; which it was."""
    kind = rng.choices(("say", "ride", "readings", "undo"), (70, 12, 12, 6))[0]
    if kind == "say":
        what = rng.choice(list(SAID))
        visitor.send(f"{job}/say", say=f"{what}={rng.choice(SAID[what])}", source=rng.choice(SOURCES))
    elif kind == "ride":
        low = rng.randrange(1500, 2600, 100)
        visitor.send(f"{job}/ride", usual_low_rpm=str(low), usual_high_rpm=str(low + 1500))
    elif kind == "readings":
        volts = {
            "volts:at_rest": f"{rng.uniform(12.3, 12.9):.2f}",
            "volts:fast_lights_off": f"{rng.uniform(12, 14.6):.2f}",
        }
        visitor.send(f"{job}/readings", source="measured", **volts)
    else:
        visitor.send(f"{job}/undo")
    return kind


def person(port: int, seed: int, until: float, took: list[tuple[str, float]]) -> None:
    """Somebody who changes a job every two seconds until it is time."""
    rng, visitor = random.Random(seed), Visitor(port)
    visitor.look("/")
    job = visitor.send("/jobs", story=rng.choice(demo_names())).partition("?")[0]
    visitor.send(f"{job}/say", say="thick_wires=2", source="memory")
    time.sleep(rng.uniform(0.0, EVERY_s))
    while time.monotonic() < until:
        begun = time.monotonic()
        visitor.waited_s = 0.0
        kind = change(visitor, job, rng)
        took.append((kind, visitor.waited_s))
        spent = time.monotonic() - begun
        time.sleep(max(0.0, EVERY_s - spent))


def share(times: list[float], part: float) -> float:
    """The time within which so many of a hundred were done, in ms."""
    ordered = sorted(times)
    return 1e3 * ordered[min(len(ordered) - 1, round(part / 100.0 * len(ordered)))]


def bare_loop_ms() -> float:
    """What 300,000 additions take."""
    begun, total = time.perf_counter(), 0
    for number in range(300_000):
        total += number
    return 1e3 * (time.perf_counter() - begun)


def start(folder: str) -> tuple[subprocess.Popen[str], int, float]:
    """Start the desk; the process, its port, and the seconds until its first page was there."""
    begun = time.perf_counter()
    command = [
        sys.executable,
        "-c",
        "from ampwright.desk.cli import main; main()",
        "serve",
        "--no-browser",
        "--port",
        "0",
    ]
    desk = subprocess.Popen(command, stderr=subprocess.PIPE, text=True, env={**os.environ, "AMPWRIGHT_DATA": folder})
    port = int(re.search(r":(\d+) ", desk.stderr.readline())[1])
    Visitor(port).get("/")
    return desk, port, time.perf_counter() - begun


def main(people: int, seconds: float) -> None:
    """Run the counter and print what it felt like."""
    print(f"a bare loop of 300,000 additions: {bare_loop_ms():.1f} ms")
    with tempfile.TemporaryDirectory() as folder:
        desk, port, first_s = start(folder)
        desk.terminate()
        desk.wait()
        desk, port, second_s = start(folder)
        try:
            print(f"process start to first page: {first_s:.2f} s with a new database, {second_s:.2f} s after")
            single(port)
            time.sleep(8.0)  # the processes beside the server are up by now
            took: list[tuple[str, float]] = []
            until = time.monotonic() + seconds
            everyone = [threading.Thread(target=person, args=(port, seed, until, took)) for seed in range(people)]
            for one in everyone:
                one.start()
            for one in everyone:
                one.join()
        finally:
            desk.terminate()
            desk.wait()
    times = [spent for _, spent in took]
    print(f"{people} people, {len(times)} changes, {len(times) / seconds:.1f} a second; form sent to page there:")
    for part in (50, 90, 95, 99, 100):
        print(f"  {part:3} of 100 within {share(times, part):6.0f} ms")
    for kind, count in Counter(kind for kind, _ in took).most_common():
        own = [spent for each, spent in took if each == kind]
        print(
            f"  {kind:9} {count:5} changes, half within {share(own, 50):.0f} ms, 95 of 100 within {share(own, 95):.0f}"
        )


def single(port: int) -> None:
    """One person alone: what the first pages weigh, a change, and the papers."""
    visitor = Visitor(port)
    home = visitor.look("/")
    job = visitor.send("/jobs", story="two-wires-unmarked").partition("?")[0]
    page = visitor.look(job)
    links = re.findall(r'(?:href|src)="(/static/[^"]+)"', gzip.decompress(visitor.get(job)).decode())
    files = sum(len(visitor.get(link)) for link in dict.fromkeys(links))
    print(
        f"first page {(home + files) / 1000:.0f} kB over the wire, a job's page {(page + files) / 1000:.0f} kB;",
        end=" ",
    )
    print(f"of them {files / 1000:.0f} kB are kept by the browser")
    alone = []
    for seed in range(40):
        rng = random.Random(seed)
        visitor.waited_s = 0.0
        change(visitor, job, rng)
        alone.append(visitor.waited_s)
    print(f"one person alone: half within {share(alone, 50):.0f} ms, 95 of 100 within {share(alone, 95):.0f} ms")
    papers = []
    for _ in range(5):
        begun = time.perf_counter()
        visitor.get(f"{job}/papers.pdf?with=answer")
        papers.append(time.perf_counter() - begun)
    print(f"papers: first {papers[0]:.2f} s, then {min(papers[1:]):.2f} to {max(papers[1:]):.2f} s")


if __name__ == "__main__":
    given = [float(word) for word in sys.argv[1:]]
    main(int(given[0]) if given else PEOPLE, given[1] if len(given) > 1 else SECONDS)
