"""How long `ampwright job` takes as a whole process, second run, against an empty Python and the import of numpy."""

import statistics
import subprocess
import sys
import time
from pathlib import Path

from ampwright.desk.cases.jobs import demo_names

RUNS = 7
DATA = Path(__file__).resolve().parent.parent / "src" / "ampwright" / "data" / "demo"


def seconds(*command: str) -> float:
    """Median of several runs, the first left out."""
    took = []
    for _ in range(RUNS + 1):
        begun = time.perf_counter()
        subprocess.run([sys.executable, *command], capture_output=True, check=True)
        took.append(time.perf_counter() - begun)
    return statistics.median(took[1:])


def main() -> None:
    """Print a line a demo job."""
    empty, numpy = seconds("-c", "pass"), seconds("-c", "import numpy")
    print(f"empty process {empty:.2f} s, with numpy {numpy:.2f} s")
    for name in demo_names():
        took = seconds("-c", "from ampwright.desk.cli import main; main()", "job", str(DATA / f"{name}.toml"))
        print(f"{name:26} {took:.2f} s, {took / numpy:.1f} times numpy alone")


if __name__ == "__main__":
    main()
