"""
Read one spreadsheet in a process of its own: ``python -m ampwright.storage.spreadsheet ROWS COLUMNS``.

The workbook comes by standard input, its sheets go out as JSON. A broken file can make a reader ask for all the memory
there is, or end its process; here that takes nothing with it.
"""

import io
import json
import sys
from typing import Any

_MOST_BYTES = 1_500_000_000
_MOST_SECONDS = 30


def main() -> None:
    """Read the workbook, or say in one word why not."""
    _hold_back()
    most_rows, most_columns = int(sys.argv[1]), int(sys.argv[2])
    data = sys.stdin.buffer.read()
    from python_calamine import CalamineError, PasswordError, SheetTypeEnum, load_workbook

    try:
        book = load_workbook(io.BytesIO(data))
        sheets = []
        for number, told in enumerate(book.sheets_metadata):
            if told.typ is not SheetTypeEnum.WorkSheet:
                continue
            sheet = book.get_sheet_by_index(number)
            if sheet.total_height > most_rows or sheet.total_width > most_columns:
                answer: Any = {"large": [told.name, sheet.total_height, sheet.total_width]}
                break
            rows = sheet.to_python(skip_empty_area=False) if sheet.height else []
            sheets.append([told.name, rows])
        else:
            answer = {"sheets": sheets}
    except PasswordError:
        answer = {"locked": True}
    except CalamineError:
        answer = {"broken": True}
    # At once: written piece by piece it takes three times as long.
    sys.stdout.write(json.dumps(answer, default=_other))


def _other(value: Any) -> dict[str, str]:
    """A date or a time, by what it is."""
    kind = {"datetime": "date", "timedelta": "time"}.get(type(value).__name__, type(value).__name__)
    return {"what": f"the {kind} {value}"}


def _hold_back() -> None:
    """Let the system refuse more memory and time than a sheet of the size allowed takes."""
    try:
        import resource
    except ImportError:  # a system without such limits; the process is still one of its own
        return
    resource.setrlimit(resource.RLIMIT_AS, (_MOST_BYTES, _MOST_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (_MOST_SECONDS, _MOST_SECONDS))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


if __name__ == "__main__":
    main()
