"""The command line: it reads what was typed, calls a use case, and prints the answer."""

from ampwright.desk.cli.app import main

__all__ = ["main"]
