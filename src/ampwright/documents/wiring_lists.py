"""The from-to list and the cut list of a loom as text with commas, for a spreadsheet."""

import csv
import io
from collections.abc import Iterable, Sequence

from ampwright.wiring.lists import cut_list, from_to
from ampwright.wiring.loom import Loom

FROM_TO_HEAD = ("wire", "from", "to", "letters", "colour", "conductor", "length (m)", "new or old", "joints")
CUT_HEAD = ("conductor", "letters", "colour", "wires", "lengths to cut (m)", "total (m)")


def from_to_csv(loom: Loom) -> str:
    """The from-to list, a wire a line under a line of headings."""
    rows = (
        (
            row.number,
            row.start,
            row.end,
            row.colour,
            row.colour_name,
            row.conductor,
            "" if row.length_m is None else f"{row.length_m:.2f}",
            row.state,
            row.joints,
        )
        for row in from_to(loom)
    )
    return _csv(FROM_TO_HEAD, rows)


def cut_list_csv(loom: Loom) -> str:
    """The cut list, a conductor and colour a line under a line of headings."""
    rows = (
        (
            cut.conductor,
            cut.colour,
            cut.colour_name,
            " ".join(map(str, cut.numbers)),
            " ".join(f"{length:.2f}" for length in cut.lengths_m),
            f"{cut.total_m:.2f}",
        )
        for cut in cut_list(loom)
    )
    return _csv(CUT_HEAD, rows)


def _csv(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    written = io.StringIO()
    writer = csv.writer(written, lineterminator="\n")
    writer.writerow(head)
    writer.writerows(rows)
    return written.getvalue()
