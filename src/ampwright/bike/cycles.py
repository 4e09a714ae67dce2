"""The five standard rides that ship with the package, by name."""

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Literal, get_args

from ampwright.packaged import read_columns

Cycle = Literal["wmtc_part1", "wmtc_part2", "wmtc_part3", "udds", "ftpmc1b"]
CYCLES: tuple[Cycle, ...] = get_args(Cycle)

#: What each of them is, in words.
CYCLE_TITLES: Mapping[Cycle, str] = MappingProxyType(
    {
        "wmtc_part1": "motorcycle test cycle, part 1: town (UN GTR No. 2)",
        "wmtc_part2": "motorcycle test cycle, part 2: country roads (UN GTR No. 2)",
        "wmtc_part3": "motorcycle test cycle, part 3: fast roads (UN GTR No. 2)",
        "udds": "urban dynamometer driving schedule (40 CFR 86 Appendix I)",
        "ftpmc1b": "urban schedule for small motorcycles (from memory: 40 CFR 86 Appendix I)",
    }
)


@cache
def cycle_points(cycle: Cycle) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Times [s] and road speeds [m/s] of a standard ride, one a second from 0 on."""
    columns = read_columns(f"cycles/{cycle}.csv")
    return columns["cycSecs"], columns["cycMps"]
