"""What the tests in a browser share: the browser, a desk of a test's own, and pages that are watched."""

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from served_desk import WIDE, ServedDesk

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed (the extra test)")

# How long a page may take to come to what is looked for; no measure of anything.
_PATIENCE_MS = 20_000
# How long a page may take where the circuit's kernels have to be compiled first.
_COLD_MS = 120_000


@pytest.fixture(scope="session")
def chromium() -> str:
    """Path of the browser; the test is skipped where it is not installed."""
    found = shutil.which("chromium")
    if found is None:
        pytest.skip("chromium is not installed (Debian: apt-get install chromium)")
    return found


# For one file, not for all: as long as it is open, its loop runs in this thread, and no other test could run one.
@pytest.fixture(scope="module")
def browser(chromium: str) -> Iterator[Any]:
    """A browser."""
    # As root, which is who the continuous check is, chromium starts without its sandbox only.
    own = ["--no-sandbox"] if os.geteuid() == 0 else []
    playwright.expect.set_options(timeout=_PATIENCE_MS)
    with playwright.sync_playwright() as started:
        opened = started.chromium.launch(executable_path=chromium, args=own)
        yield opened
        opened.close()


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[ServedDesk]:
    """A desk of a test's own, nothing kept in it yet."""
    served = ServedDesk(tmp_path / "data")
    yield served
    served.stop()


class Watched:
    """What pages did that no page of the desk may do: a fault in the console, a request to somewhere else."""

    def __init__(self, address: str) -> None:
        self.address = address
        self.faults: list[str] = []
        self.silence_expected = False

    def watch(self, context: Any) -> None:
        """Listen to everything that happens in a context."""
        context.on("console", self._said)
        context.on("weberror", lambda fault: self.faults.append(str(fault.error)))
        context.on("request", self._asked)

    def _said(self, message: Any) -> None:
        # A refusal has a status of its own, of which the browser tells as if it were a fault.
        refused = "the server responded with a status of 4" in message.text
        silent = self.silence_expected and ("ERR_CONNECTION" in message.text or "Failed to fetch" in message.text)
        if message.type in ("error", "warning") and not refused and not silent:
            self.faults.append(f"{message.type}: {message.text}")

    def _asked(self, request: Any) -> None:
        # The browser shows a PDF by an extension of its own.
        if not request.url.startswith((self.address, "data:", "about:", "blob:", "chrome-extension:", "chrome:")):
            self.faults.append(f"asked elsewhere: {request.url}")


@pytest.fixture
def watched(desk: ServedDesk) -> Watched:
    """The watch over all pages of a test."""
    return Watched(desk.address)


Opener = Callable[..., Any]


@pytest.fixture
def open_page(browser: Any, desk: ServedDesk, watched: Watched, tmp_path: Path, request: Any) -> Iterator[Opener]:
    """
    Open a page of the desk: ``open_page("/stock", PHONE, javascript=False)``.

    A failed test leaves a picture of every page in its folder. Whatever a test looks at, no page may have gone against
    the content policy, said a fault or asked for anything from elsewhere.
    """
    contexts = []

    def opened(path: str = "/", size: dict[str, int] = WIDE, *, javascript: bool = True) -> Any:
        context = browser.new_context(
            viewport=size, base_url=desk.address, java_script_enabled=javascript, reduced_motion="reduce"
        )
        context.set_default_timeout(_PATIENCE_MS)
        context.set_default_navigation_timeout(_COLD_MS)
        watched.watch(context)
        contexts.append(context)
        page = context.new_page()
        page.goto(path)
        return page

    yield opened
    if getattr(request.node, "failed_in_call", False):
        for number, page in enumerate(page for context in contexts for page in context.pages):
            page.screenshot(path=tmp_path / f"page-{number}.png")
    for context in contexts:
        context.close()
    assert watched.faults == []


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]) -> Any:
    """Mark a test that failed, so that its pages are pictured before they are closed."""
    report = yield
    if report.when == "call" and report.failed:
        item.failed_in_call = True  # type: ignore[attr-defined]
    return report
