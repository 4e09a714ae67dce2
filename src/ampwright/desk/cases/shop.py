"""One shop with all it keeps; what the use cases of jobs, stock and papers are handed first."""

import datetime
from dataclasses import dataclass

from ampwright.storage.database import NAME, Database, data_folder


@dataclass(frozen=True)
class Shop:
    """A shop by its database."""

    database: Database

    def close(self) -> None:
        """Close the database."""
        self.database.close()


def open_shop(folder: str | None = None) -> Shop:
    """Open the shop kept in a folder; without one, in that of AMPWRIGHT_DATA or the user's own data folder."""
    return Shop(Database(data_folder(folder) / NAME))


def now() -> datetime.datetime:
    """This moment, in UTC."""
    return datetime.datetime.now(datetime.UTC)


def today() -> datetime.date:
    """This day where the counter stands."""
    return datetime.datetime.now().astimezone().date()
