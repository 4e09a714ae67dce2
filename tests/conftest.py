"""What all tests share: hypothesis without a stop-watch, outside programs, and no skip where none is allowed."""

import os
import shutil
from collections.abc import Generator

import pytest
from hypothesis import settings

# A slow machine is no defect of the code, so no deadline.
settings.register_profile("ampwright", deadline=None, print_blob=True)
settings.load_profile("ampwright")

SKIPS_ALLOWED = os.environ.get("AMPWRIGHT_NO_SKIP") != "1"


@pytest.fixture(scope="session")
def ngspice() -> str:
    """Path of the circuit simulator, our second opinion; the test is skipped where it is not installed."""
    found = shutil.which("ngspice")
    if found is None:
        pytest.skip("ngspice is not installed (Debian: apt-get install ngspice)")
    return found


@pytest.fixture(scope="session")
def poppler() -> str:
    """Path of pdftotext, by which a PDF is read back; the test is skipped where it is not installed."""
    found = shutil.which("pdftotext")
    if found is None:
        pytest.skip("pdftotext is not installed (Debian: apt-get install poppler-utils)")
    return found


def refuse_skip(report: pytest.TestReport | pytest.CollectReport) -> None:
    """Turn a skip into a failure that says why, unless skips are allowed; an expected failure is no skip."""
    if SKIPS_ALLOWED or not report.skipped or hasattr(report, "wasxfail"):
        return
    reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else report.longrepr
    report.outcome = "failed"
    report.longrepr = f"AMPWRIGHT_NO_SKIP=1 allows no skipped test, and this one was. {reason}"


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport() -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Watch every test for a skip."""
    report = yield
    refuse_skip(report)
    return report


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report() -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    """Watch every file for a skip of the whole of it."""
    report = yield
    refuse_skip(report)
    return report
