"""How long a search among ten thousand invented jobs takes, beside the shortest question a database can be asked."""

import random
import statistics
import tempfile
import time
from collections.abc import Callable
from typing import Any

from sqlalchemy import insert, text

from ampwright.desk.cases import kept_jobs
from ampwright.desk.cases.shop import Shop, now, open_shop
from ampwright.storage.folded import search_text
from ampwright.storage.jobs import caller_columns
from ampwright.storage.kept import Caller
from ampwright.storage.tables import jobs, revisions

JOBS, RUNS = 10_000, 200
SYLLABLES = [
    "an",
    "bel",
    "cor",
    "dun",
    "el",
    "far",
    "gil",
    "hol",
    "ing",
    "jos",
    "kel",
    "lor",
    "mar",
    "nor",
    "ost",
    "per",
]
TITLES = ["Twin, two wires", "Single with a dynamo", "Lamp that dims", "Flat battery after a ride", "Box came back"]


def fill(shop: Shop, dice: random.Random) -> list[Caller]:
    """Keep the invented jobs, all in one transaction, and give their callers."""
    callers = []
    with shop.database.writing() as connection:
        for number in range(101, 101 + JOBS):
            name = " ".join("".join(dice.choices(SYLLABLES, k=2)).title() for _ in range(2))
            caller = Caller(name, f"01632 96{dice.randrange(10_000):04d}", "rings back in the evening " * 4)
            document = {"format": 1, "number": str(number), "title": dice.choice(TITLES), "findings": [
                {"what": "marking", "answer": f"12V {dice.randrange(5, 20)}A", "source": "photo", "note": "x" * 200}
            ]}  # fmt: skip
            held: dict[str, Any] = {"number": str(number), "revision": 1, "state": "open", "created": now()}
            held |= caller_columns(caller)
            held |= {"changed": now(), "search": search_text(str(number), caller, document)}
            job = connection.execute(insert(jobs).values(held)).lastrowid
            first = {"job_id": job, "revision": 1, "document": document, "what": "begun", "at": now()}
            connection.execute(insert(revisions).values(first))
            callers.append(caller)
    return callers


def milliseconds(asked: Callable[[], object]) -> float:
    """How long one question takes."""
    begun = time.perf_counter()
    asked()
    return 1e3 * (time.perf_counter() - begun)


def main() -> None:
    """Print median and 95th percentile of every way to search."""
    dice = random.Random(1)
    with tempfile.TemporaryDirectory() as folder:
        shop = open_shop(folder)
        callers = fill(shop, dice)

        def bare() -> None:
            with shop.database.reading() as connection:
                connection.execute(text("SELECT 1")).scalar()

        bare_ms = statistics.median(milliseconds(bare) for _ in range(RUNS))
        print(f"{JOBS} jobs; a bare SELECT 1 takes {bare_ms:.2f} ms")
        ways: dict[str, Callable[[], str]] = {
            "a number": lambda: str(dice.randrange(101, 101 + JOBS)),
            "a name": lambda: dice.choice(callers).name,
            "a phone number": lambda: dice.choice(callers).phone,
            "with prefix": lambda: "+44 " + dice.choice(callers).phone.lstrip("0"),
            "a common word": lambda: "dynamo",
            "nothing": lambda: "",
            "what is not there": lambda: "no such job at all",
        }
        for way, typed in ways.items():
            texts = [typed() for _ in range(RUNS)]
            took = sorted(milliseconds(lambda each=each: kept_jobs.find_jobs(shop, each)) for each in texts)
            median, late = statistics.median(took), took[int(0.95 * RUNS)]
            print(f"{way:18} median {median:5.1f} ms, 95 % within {late:5.1f} ms, {median / bare_ms:4.0f} times bare")
        shop.close()


if __name__ == "__main__":
    main()
