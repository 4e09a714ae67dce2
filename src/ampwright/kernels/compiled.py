"""
How the loops are compiled, and where the machine code is kept between runs.

numba's own cache looks only at the file that holds a function: after a change in another kernel it went on giving the
number of the old one. So the folder of the cache is named by a hash of all kernel sources together.
"""

import hashlib
import os
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar, cast

import numba
import platformdirs

Function = TypeVar("Function", bound=Callable[..., Any])


def _sources() -> str:
    """Condense everything the machine code depends on that numba does not watch."""
    digest = hashlib.sha256(numba.__version__.encode())
    for path in sorted(Path(__file__).parent.glob("*.py")):
        digest.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    return digest.hexdigest()[:16]


def _writable(folder: Path) -> bool:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return False
    return os.access(folder, os.W_OK)


def _folder() -> Path:
    """Choose the user's cache folder, or a temporary one where that cannot be written."""
    name = "kernels-" + _sources()
    usual = platformdirs.user_cache_path("ampwright") / name
    return usual if _writable(usual) else Path(tempfile.gettempdir()) / f"ampwright-{name}"


FOLDER = _folder()
# Said before any kernel is decorated, which is when numba asks.
numba.config.CACHE_DIR = str(FOLDER)


def compiled(function: Function) -> Function:
    """Compile a loop on its first call, or take its machine code from the last run; NUMBA_DISABLE_JIT=1 leaves it."""
    return cast(Function, numba.njit(cache=True, error_model="numpy")(function))


def compiled_for_all_cores(function: Function) -> Function:
    """The same for a loop whose `prange` is shared out among the cores."""
    return cast(Function, numba.njit(cache=True, error_model="numpy", parallel=True)(function))
