"""Charts written as files whose ending says what they are."""

from collections.abc import Callable, Mapping

from ampwright.errors import OutsideModel
from ampwright.storage.files import write_file


def write_chart(path: str, by_ending: Mapping[str, Callable[[], str | bytes]]) -> None:
    """Write a chart by the ending of its file; an ending that is not among those given is refused."""
    ending = path.lower().rpartition(".")[2]
    if ending not in by_ending:
        endings = " or ".join(f".{each}" for each in by_ending)
        raise OutsideModel(f"{path}: a chart can be written as {endings}. Give the file one of these endings.")
    write_file(path, by_ending[ending]())
