"""Why there is no picture."""

from dataclasses import dataclass


@dataclass(frozen=True)
class NoPicture:
    """Stands where a picture could have been; ``reason`` is a sentence."""

    reason: str
