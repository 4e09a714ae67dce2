"""
Advisers who ask what comes to mind.

Choices are tried so on evidence that no look was planned for, and thousands of
callers cost no planning.
"""

import random
from collections.abc import Sequence

from simulated.telling import Asked

# How many things such an adviser asks for before deciding (judgement).
_ASKS_FOR = {0: 2, 1: 3, 2: 3, 3: 3, 4: 2, 5: 1}
# How gladly a place is had opened, against asking for what lies open (judgement).
_GLADLY = {"primary case": 0.15, "plug": 0.6}


def comes_to_mind(checks: Sequence[Asked], chance: random.Random) -> tuple[Asked, ...]:
    """Some checks, each once, more seldom where more has to be opened."""
    many = chance.choices(list(_ASKS_FOR), weights=list(_ASKS_FOR.values()))[0]
    # Sorting by a random time to each, short where it is asked gladly, draws without putting back.
    times = {place: chance.expovariate(_GLADLY.get(one.opens, 1.0)) for place, one in enumerate(checks)}
    return tuple(checks[place] for place in sorted(times, key=lambda place: times[place])[:many])
