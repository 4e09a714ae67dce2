"""What is due once a day, done beside the pages and on no page's time, whichever of them stands open."""

import datetime
import threading
from collections.abc import Callable

from ampwright.desk.cases.shop import today
from ampwright.errors import AmpwrightError

# How often it is looked whether a new day has begun; that costs nothing but reading the clock.
_EVERY_s = 600.0


class Daily:
    """Does a piece of work at the start and then once every day; what could not be done is tried again."""

    def __init__(
        self, work: Callable[[], object], say: Callable[[str], None], day: Callable[[], datetime.date] = today
    ) -> None:
        self._work = work
        self._say = say
        self._day = day
        self._done: datetime.date | None = None
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._go_on, daemon=True)

    def start(self) -> None:
        """Begin, in a thread of its own."""
        self._thread.start()

    def stop(self) -> None:
        """End, when what is being done is done."""
        self._ended.set()
        if self._thread.ident is not None:
            self._thread.join()

    def look(self) -> None:
        """Do the work if it was not done this day."""
        day = self._day()
        if day == self._done:
            return
        try:
            self._work()
        except AmpwrightError as fault:
            self._say(f"{fault} It is tried again later.")
        else:
            self._done = day

    def _go_on(self) -> None:
        self.look()
        while not self._ended.wait(_EVERY_s):
            self.look()
