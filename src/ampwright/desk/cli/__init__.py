"""The command line: it reads what was typed, calls a use case, and prints the answer."""

import gc


def main() -> None:
    """Run one command; imported late, so that nothing is loaded before it is wanted."""
    # A command ends long before garbage matters, and looking for it costs a twentieth of the time.
    gc.disable()
    try:
        from ampwright.desk.cli.app import main as run

        run()
    finally:
        gc.enable()
