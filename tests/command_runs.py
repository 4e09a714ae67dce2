"""Run a command as a person would, inside this process."""

import contextlib
import io
import sys
from dataclasses import dataclass
from unittest import mock

from ampwright.desk.cli import main


@dataclass
class Run:
    """What one command printed, and its exit code."""

    returncode: int
    stdout: str
    stderr: str


def run(*words: str, typed: str = "") -> Run:
    """Run a command inside this process, for speed; one test runs a whole process."""
    out, err, code = io.StringIO(), io.StringIO(), 0
    with (
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
        mock.patch.object(sys, "argv", ["ampwright", *words]),
        mock.patch.object(sys, "stdin", io.StringIO(typed)),
    ):
        try:
            main()
        except SystemExit as end:
            code = int(end.code or 0)
    return Run(code, out.getvalue(), err.getvalue())
