"""How long the papers of a job take, new and printed again, beside the import of typst; the answer is there before."""

import datetime
import statistics
import subprocess
import sys
import time

from ampwright.desk.cases import papers as case
from ampwright.desk.cases.answer import Answer, answer_job
from ampwright.desk.cases.balance import small_balance_svg
from ampwright.desk.cases.jobs import demo_names, open_demo
from ampwright.stock.shelf import demo_shelf
from ampwright.stock.shop import ShopDetails

RUNS = 7
DAY = datetime.date(2026, 3, 4)
SHOP = ShopDetails(name="The Corner Shop", address=("12 Mill Lane",), phone="01234 5678", tax_percent="20")


def import_seconds(name: str) -> float:
    """Median of importing a package in a fresh process, less that of an empty one."""

    def whole(code: str) -> float:
        took = []
        for _ in range(RUNS):
            begun = time.perf_counter()
            subprocess.run([sys.executable, "-c", code], check=True)
            took.append(time.perf_counter() - begun)
        return statistics.median(took)

    return whole(f"import {name}") - whole("pass")


def set_seconds(answer: Answer, chart: str | None) -> float:
    """Once every paper that applies, as one PDF."""
    begun = time.perf_counter()
    case.papers(answer, None, SHOP, None, case.that_apply(answer), chart_svg=chart, day=DAY)
    return time.perf_counter() - begun


def main() -> None:
    """
    Print a line a demo job: the chart alone, the papers when the job is new, and the same ones again.

    Again is the median of several, where typst remembers what it has set; both are told in imports of typst.
    """
    imported = import_seconds("typst")
    print(f"import of typst {imported:.3f} s")
    shelf = demo_shelf()
    for name in demo_names():
        job = open_demo(name)
        answer = answer_job(job, shelf)
        begun = time.perf_counter()
        chart = small_balance_svg(job) if case.has_chart(answer) else None
        drawn = time.perf_counter() - begun
        first, *warm = (set_seconds(answer, chart) for _ in range(RUNS))
        papers, usual = ",".join(case.that_apply(answer)), statistics.median(warm)
        ratio = f"{first / imported:.0f} and {usual / imported:.0f} imports" if imported > 0 else ""
        print(f"{name:30} {papers:13} chart {drawn:.3f} s, new {first:.3f} s, again {usual:.3f} s; {ratio}")


if __name__ == "__main__":
    main()
