"""Read documents that people wrote, and write what they asked for."""

import json
import sys
import tomllib
from pathlib import Path
from typing import Any

from ampwright.errors import BadRecord, Fault

STANDARD_INPUT = "-"
# A stock of ten thousand parts takes about half of this.
MOST_CHARACTERS = 10_000_000


def read_document(path: str) -> dict[str, Any]:
    """Read a TOML or JSON document; ``-`` reads standard input, in either."""
    return document_in(_checked_text(path), path)


def document_in(text: str, path: str) -> dict[str, Any]:
    """Read the text of a TOML or JSON document; ``path`` tells which, and names it in what is said."""
    wanted_json = path.lower().endswith(".json") or (path == STANDARD_INPUT and text.lstrip().startswith("{"))
    try:
        document = _json(text, path) if wanted_json else _toml(text, path)
    except RecursionError:
        raise BadRecord(path, [Fault("the file", "is nested too deeply. Write plain keys and values.")]) from None
    if not isinstance(document, dict):
        raise BadRecord(path, [Fault("the whole file", "is not a document of keys and values. Write one object.")])
    return document


def read_json(path: str) -> Any:
    """Read a JSON file, whatever it holds; ``-`` reads standard input."""
    text = _checked_text(path)
    try:
        return _json(text, path)
    except RecursionError:
        raise BadRecord(path, [Fault("the file", "is nested too deeply. Write plain keys and values.")]) from None


def read_bytes(path: str, most: int) -> bytes:
    """Read a file as it is, no further than one byte past the most that will be taken."""
    try:
        with Path(path).open("rb") as file:
            return file.read(most + 1)
    except OSError as fault:
        raise BadRecord(path, [Fault("the file", f"cannot be read ({fault.strerror}). Check its name.")]) from None


def write_file(path: str, content: str | bytes) -> None:
    """Write a file that was asked for, whole or not at all."""
    target = Path(path)
    data = content.encode("utf-8") if isinstance(content, str) else content
    waiting = target.with_name(target.name + ".part")
    try:
        waiting.write_bytes(data)
        waiting.replace(target)
    except OSError as fault:
        sentence = f"cannot be written ({fault.strerror}). Choose another place."
        raise BadRecord(path, [Fault("the file", sentence)]) from None


def refuse_to_replace(path: str, but: str | None = None) -> None:
    """Refuse a name that cannot be read back as JSON, and a file that is there already, but the one named."""
    target = Path(path)
    if target.suffix.lower() != ".json":
        raise BadRecord(path, [Fault("the file", "would hold JSON. Choose a name that ends in .json.")])
    if target.exists() and not (but is not None and Path(but).exists() and target.samefile(but)):
        raise BadRecord(path, [Fault("the file", "is there already. Choose a name that is not taken.")])


def folder_for(path: str) -> Path:
    """Make a folder to write into, and say where it is."""
    try:
        Path(path).mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise BadRecord(path, [Fault("the folder", f"cannot be made ({fault.strerror}). Choose another.")]) from None
    return Path(path)


def _checked_text(path: str) -> str:
    text = sys.stdin.read(MOST_CHARACTERS + 1) if path == STANDARD_INPUT else _text_of(path)
    if len(text) > MOST_CHARACTERS:
        sentence = f"holds more than {MOST_CHARACTERS // 1_000_000} million characters. Split it."
        raise BadRecord(path, [Fault("the file", sentence)])
    return text


def _text_of(path: str) -> str:
    try:
        with Path(path).open(encoding="utf-8-sig") as file:
            return file.read(MOST_CHARACTERS + 1)
    except UnicodeDecodeError:
        raise BadRecord(path, [Fault("the file", "is not text in UTF-8. Save it as UTF-8 text.")]) from None
    except OSError as fault:
        raise BadRecord(path, [Fault("the file", f"cannot be read ({fault.strerror}). Check its name.")]) from None


def _toml(text: str, path: str) -> Any:
    try:
        return tomllib.loads(text)
    except ValueError as fault:  # TOML faults, and numbers of thousands of digits
        raise BadRecord(path, [Fault("the file", f"is not TOML: {fault}. Mend that line.")]) from None


def _json(text: str, path: str) -> Any:
    def refuse_twins(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        keys = [key for key, _ in pairs]
        twice = sorted({key for key in keys if keys.count(key) > 1})
        if twice:
            raise BadRecord(path, [Fault(twice[0], "stands twice in one object. Keep one of them.")])
        return dict(pairs)

    try:
        return json.loads(text, object_pairs_hook=refuse_twins)
    except json.JSONDecodeError as fault:
        sentence = f"is not JSON: {fault.msg} in line {fault.lineno}. Mend that line."
        raise BadRecord(path, [Fault("the file", sentence)]) from None
    except ValueError:  # a number of thousands of digits
        raise BadRecord(path, [Fault("the file", "holds a number that cannot be read. Mend it.")]) from None
