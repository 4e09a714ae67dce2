"""The command line: it reads what was typed, calls a use case, and prints the answer."""

import gc
import os


def main() -> None:
    """Run one command; imported late, so that nothing is loaded before it is wanted."""
    # Our matrices are small: threads for them wait for one another, up to ten thousand times as long as the sum takes.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # A command ends long before garbage matters, and looking for it costs a twentieth of the time.
    gc.disable()
    try:
        from ampwright.desk.cli.app import main as run

        run()
    finally:
        gc.enable()
