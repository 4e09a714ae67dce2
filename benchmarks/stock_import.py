"""How long a list of 5,000 parts takes to be looked at, as CSV and as XLSX, against the bare reading of its cells."""

import csv
import io
import statistics
import tempfile
import time
from collections.abc import Callable
from decimal import Decimal

from ampwright.desk.cases.kept_stock import apply_import, preview_import, shelf, stock_file
from ampwright.desk.cases.shop import Shop, open_shop
from ampwright.documents.lists import as_csv
from ampwright.stock.columns import columns, row_of
from ampwright.stock.shelf import demo_shelf

ROWS = 5_000
RUNS = 5


def many_parts() -> bytes:
    """The demo's parts under further codes until there are enough, as CSV."""
    demo = [row_of(part) for part in demo_shelf().parts]
    headings = [*columns(), "pairing2_phases", "pairing2_up_to_A", "pairing2_words"]
    rows = []
    for number in range(ROWS):
        row = demo[number % len(demo)] | {"code": f"P-{number}", "price": Decimal(number % 900) / 4}
        rows.append([row.get(name) for name in headings])
    return as_csv(headings, rows)


def seconds(work: Callable[[], object]) -> float:
    """Median of several runs, the first left out."""
    took = []
    for _ in range(RUNS + 1):
        begun = time.perf_counter()
        work()
        took.append(time.perf_counter() - begun)
    return statistics.median(took[1:])


def main() -> None:
    """Print a line a way in."""
    with tempfile.TemporaryDirectory() as folder:
        shop = open_shop(folder)
        _measure(shop, many_parts())
        shop.close()


def _measure(shop: Shop, data: bytes) -> None:
    text = data.decode("utf-8-sig")
    bare = seconds(lambda: list(csv.reader(io.StringIO(text, newline=""))))
    print(f"{ROWS} rows, {len(data) / 1e6:.1f} MB of CSV; its cells alone {bare:.3f} s")
    first = seconds(lambda: preview_import(shop, data, "a.csv"))
    print(f"preview into an empty stock, CSV   {first:.2f} s, {first / bare:.0f} times its cells")
    token = preview_import(shop, data, "a.csv").token
    begun = time.perf_counter()
    apply_import(shop, data, "a.csv", token)
    print(f"kept                               {time.perf_counter() - begun:.2f} s")
    begun = time.perf_counter()
    shelf(shop)
    print(f"shelf, the first time              {time.perf_counter() - begun:.2f} s")
    print(f"shelf, after that                  {seconds(lambda: shelf(shop)) * 1e3:.2f} ms")
    for ending in ("csv", "xlsx"):
        file = stock_file(shop, ending)
        again = seconds(lambda file=file, ending=ending: preview_import(shop, file, f"a.{ending}"))
        print(f"preview against the kept, {ending:4}     {again:.2f} s, {again / bare:.0f} times its cells")


if __name__ == "__main__":
    main()
