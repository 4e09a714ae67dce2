"""
Processes that work pages out beside the one that answers.

One Python works on one core, whatever the threads, and one long drawing would hold up every other page. Until the
processes are up the work is done where it was asked for; what was asked of one that died is tried once more.
"""

import gc
import multiprocessing
import os
import threading
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from multiprocessing.connection import wait
from typing import Any, Concatenate, ParamSpec, TypeVar

from ampwright.desk.cases.kept_stock import Shelf, shelf
from ampwright.desk.cases.page import warm_up
from ampwright.desk.cases.shop import Shop, open_shop
from ampwright.errors import AmpwrightError

P = ParamSpec("P")
R = TypeVar("R")


@dataclass(frozen=True)
class Desk:
    """What a page is worked out from: the shop, and the ticket that its forms carry."""

    shop: Shop
    ticket: str

    def shelf(self) -> Shelf:
        """The shop's stock, or the invented one."""
        return shelf(self.shop)


class Workers:
    """Does a desk's work in processes of its own, once they are started; in this one before."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self._pool: ProcessPoolExecutor | None = None
        self._lock = threading.Lock()
        self._long = threading.Lock()
        self._ended = False
        self._count = 1

    def start(self, count: int) -> None:
        """Start the processes, and take them into use when each of them is ready."""
        self._count = count
        pool = self._processes(count)
        try:
            for waited in [pool.submit(_ready) for _ in range(count)]:
                waited.result()
        except BrokenProcessPool:
            pool.shutdown(wait=False)
            return
        with self._lock:
            if not self._ended:
                self._pool = pool
                return
        pool.shutdown(wait=False)

    def run(self, work: Callable[Concatenate[Desk, P], R], *given: P.args, **named: P.kwargs) -> R:
        """Do a piece of work that is named at the top of a module, whose arguments and result can be sent."""
        pool = self._pool
        if pool is not None:
            try:
                return pool.submit(_do, work, given, named).result()
            except BrokenProcessPool:
                self._give_up(pool)
                return self._once_more(work, given, named)
        return work(self.desk, *given, **named)

    def run_long(self, work: Callable[Concatenate[Desk, P], R], *given: P.args, **named: P.kwargs) -> R:
        """The same of work that takes seconds: one at a time, so that a process is left for all the other pages."""
        with self._long:
            return self.run(work, *given, **named)

    def stop(self) -> None:
        """End the processes."""
        with self._lock:
            pool, self._pool, self._ended = self._pool, None, True
        if pool is not None:
            for process in multiprocessing.active_children():
                process.terminate()  # nobody waits any more for what they do
            pool.shutdown(wait=True, cancel_futures=True)

    def _once_more(self, work: Callable[..., R], given: tuple[Any, ...], named: dict[str, Any]) -> R:
        """Do in a fresh process what was asked of one that died, never here: it may be what killed it."""
        with self._processes(1) as pool:
            try:
                return pool.submit(_do, work, given, named).result()
            except BrokenProcessPool:
                raise AmpwrightError(
                    "This could not be worked out: the process that tried ended twice. Nothing kept was touched."
                    " Undo the last change, or leave out what was asked for last."
                ) from None

    def _processes(self, count: int) -> ProcessPoolExecutor:
        return ProcessPoolExecutor(
            count,
            mp_context=multiprocessing.get_context("spawn"),
            initializer=_begin,
            initargs=(str(self.desk.shop.database.path.parent), self.desk.ticket),
        )

    def _give_up(self, pool: ProcessPoolExecutor) -> None:
        """A process died: have new ones started."""
        with self._lock:
            if self._pool is not pool:
                return
            self._pool = None
        pool.shutdown(wait=False, cancel_futures=True)
        threading.Thread(target=self.start, args=(self._count,), daemon=True).start()


_own: Desk | None = None


def _begin(folder: str, ticket: str) -> None:
    """What a process does first: open the shop, and do once what is slow the first time."""
    global _own
    threading.Thread(target=_end_with_parent, daemon=True).start()
    _own = Desk(open_shop(folder), ticket)
    warm_up(_own.shelf())
    gc.freeze()


def _end_with_parent() -> None:
    """Go when the desk has gone, however it went."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os._exit(0)


def _ready() -> bool:
    return _own is not None


def _do(work: Callable[..., R], given: tuple[Any, ...], named: dict[str, Any]) -> R:
    if _own is None:
        raise RuntimeError("a process was given work before it had begun")  # it begins before it takes any
    return work(_own, *given, **named)
