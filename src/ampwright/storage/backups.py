"""A shop's data copied while in use, and put back: checked first, and what was there is kept."""

import datetime
import os
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlalchemy.exc import DatabaseError

from ampwright.errors import AmpwrightError, BadRecord, Fault
from ampwright.storage.database import NAME, Database
from ampwright.storage.jobs import NEXT_NUMBER
from ampwright.storage.stock import VERSION

# What every file of ours has had since the first layout.
_OURS = {"alembic_version", "jobs", "revisions", "photos", "parts", "settings"}


def write_backup(database: Database, path: Path) -> None:
    """Copy the whole database into a new file, as it is at one moment; it may be in use meanwhile."""
    refuse_to_replace(path)
    try:
        path.open("xb").close()  # nobody else takes the name from now on
    except OSError as fault:
        raise _cannot_be_written(path, fault.strerror) from None
    try:
        _copy(database.path, path)
    except sqlite3.Error as fault:
        path.unlink(missing_ok=True)
        raise _cannot_be_written(path, str(fault)) from None


def backup_bytes(database: Database) -> bytes:
    """The whole database as it is at one moment, as the bytes of one file."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / NAME
        write_backup(database, copy)
        return copy.read_bytes()


def refuse_to_replace(path: Path) -> None:
    """Refuse the name of a file that is there already."""
    if path.exists():
        raise BadRecord(str(path), [Fault("the file", "is there already. Choose a name that is not taken.")])


def restore_backup(path: Path, folder: Path, at: datetime.datetime) -> Path | None:
    """
    Put a backup in the place of a folder's database, and give the name under which that is kept; None if none was.

    The file is copied, checked and brought to this version's layout beside the database before anything is replaced.
    """
    target = folder / NAME
    with _checked_copy(path, folder) as checked:
        if not target.exists():
            checked.replace(target)
            return None
        aside = _free_name(folder, at)
        try:
            _copy(target, aside)
            _keep_numbers_used(target, checked)
            # Written as one change of the database, so that a page that has it open sees the old data or the new.
            _copy(checked, target, alone=False)
        except sqlite3.DatabaseError as fault:
            if isinstance(fault, sqlite3.OperationalError):
                aside.unlink(missing_ok=True)
                sentence = f"cannot be replaced now ({fault}). Close what uses it and try again; nothing was changed."
                raise BadRecord(str(target), [Fault("the file", sentence)]) from None
            _put_aside_broken(target, aside)
            checked.replace(target)
        return aside


@contextmanager
def _checked_copy(path: Path, folder: Path) -> Iterator[Path]:
    """A copy of a backup that was found to be ours and whole; it is gone when the block ends, unless it was moved."""
    if not path.is_file():
        raise BadRecord(str(path), [Fault("the file", "is not there. Check its name.")])
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix="restoring-", dir=folder) as beside:
            copied = Path(beside) / NAME
            _check(path, copied)
            yield copied
    except OSError as fault:
        raise _cannot_be_written(folder, fault.strerror) from None


def _check(path: Path, copied: Path) -> None:
    try:
        _copy(path, copied)
        with closing(sqlite3.connect(copied)) as connection:
            tables = {row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
            damage = connection.execute("PRAGMA integrity_check(1)").fetchone()[0]
            loose = connection.execute("PRAGMA foreign_key_check").fetchone()
    except sqlite3.Error as fault:
        raise _no_backup(path, f"cannot be read as a backup ({fault})") from None
    if not tables >= _OURS:
        raise _no_backup(path, "is a database, and none of ours")
    if damage != "ok" or loose is not None:
        raise _no_backup(path, "is damaged")
    try:
        Database(copied).close()
    except AmpwrightError as fault:
        raise AmpwrightError(str(fault).replace(str(copied), str(path))) from None
    except DatabaseError as fault:
        raise _no_backup(path, f"cannot be brought to this version's layout ({fault.orig})") from None
    # The copy is moved as one file.
    with closing(sqlite3.connect(copied)) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")


def _copy(source: Path, target: Path, *, alone: bool = True) -> None:
    """Copy a database at one moment; ``alone`` the copy is one file, with no log beside it."""
    read_only = f"{source.resolve().as_uri()}?mode=ro"
    with closing(sqlite3.connect(read_only, uri=True)) as old, closing(sqlite3.connect(target)) as new:
        if not alone:
            new.execute("PRAGMA synchronous = FULL")
        old.backup(new)
        if alone:
            new.execute("PRAGMA journal_mode = DELETE")


def _keep_numbers_used(replaced: Path, checked: Path) -> None:
    """
    Numbers given since the backup are not given again.

    Neither is a version of the stock: a page that has worked out an answer from one would take the other for the same.
    """
    there = "SELECT 1 FROM sqlite_master WHERE name = 'settings'"
    with closing(sqlite3.connect(replaced)) as old, closing(sqlite3.connect(checked)) as new:
        if old.execute(there).fetchone() is None:
            return  # an empty file
        with new:
            for key, least in ((NEXT_NUMBER, 0), (VERSION, 1)):
                used, mine = _number(old, key), _number(new, key)
                if used:
                    wanted = (key, str(max(used + least, mine + least)))
                    new.execute("INSERT OR REPLACE INTO settings (key, value) VALUES (?, ?)", wanted)


def _number(connection: sqlite3.Connection, key: str) -> int:
    """A number of the settings; 0 where there is none."""
    found = connection.execute("SELECT value FROM settings WHERE key = ?", (key,)).fetchone()
    return 0 if found is None else int(found[0])


def _put_aside_broken(target: Path, aside: Path) -> None:
    aside.unlink(missing_ok=True)
    os.replace(target, aside)
    for ending in ("-wal", "-shm"):
        log = target.with_name(target.name + ending)
        if log.exists():
            os.replace(log, aside.with_name(aside.name + ending))


def _free_name(folder: Path, at: datetime.datetime) -> Path:
    stem = f"shop-before-{at:%Y-%m-%d-%H%M%S}"
    names = (folder / f"{stem}{f'-{count}' if count else ''}.sqlite" for count in range(1000))
    return next(name for name in names if not name.exists())


def _no_backup(path: Path, what: str) -> BadRecord:
    return BadRecord(str(path), [Fault("the file", f"{what}. Choose another backup; nothing was changed.")])


def _cannot_be_written(path: Path, why: str | None) -> BadRecord:
    return BadRecord(str(path), [Fault("the file", f"cannot be written ({why}). Choose another place.")])
