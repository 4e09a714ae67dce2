"""The sole reader of files that ship with the package."""

import tomllib
from contextlib import AbstractContextManager
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any


def _data() -> Traversable:
    return resources.files("ampwright") / "data"


def read_toml(name: str) -> dict[str, Any]:
    """Read one packaged TOML file, named by its path below ``data/`` without the ending."""
    return tomllib.loads((_data() / f"{name}.toml").read_text(encoding="utf-8"))


def read_text(name: str) -> str:
    """Read one packaged file as text, named by its whole path below ``data/``."""
    return (_data() / name).read_text(encoding="utf-8")


def read_columns(name: str) -> dict[str, tuple[float, ...]]:
    """Read one packaged CSV file of numbers, by heading, named by its whole path below ``data/``."""
    # Some of the files begin with a byte order mark, which is no part of the first heading.
    lines = (_data() / name).read_text(encoding="utf-8-sig").splitlines()
    headings, *rows = (line.split(",") for line in lines)
    columns = zip(*([float(cell) for cell in row] for row in rows), strict=True)
    return dict(zip(headings, columns, strict=True))


def read_bytes(name: str) -> bytes:
    """Read one packaged file as it stands, named by its whole path below ``data/``."""
    return (_data() / name).read_bytes()


def as_folder(name: str) -> AbstractContextManager[Path]:
    """Lend one folder below ``data/`` as a folder on the disk, for a library that opens files by itself."""
    return resources.as_file(_data() / name)


def names_in(folder: str) -> list[str]:
    """List the packaged TOML files of one folder, without the ending, in order."""
    found = (entry.name for entry in (_data() / folder).iterdir())
    return sorted(name.removesuffix(".toml") for name in found if name.endswith(".toml"))
