"""The quote as a paper: up to three options side by side, a row for whatever is in any of them."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from ampwright.documents.sheets import JobLines
from ampwright.quote.lines import LINE_KINDS, LineKind, QuoteLine, quantity_words
from ampwright.quote.quote import Options, Quote

# The longest first; in the smallest it runs on to a second page.
_SIZES_pt = (8.6, 8.2, 7.8, 7.4)
_HEADINGS: Mapping[LineKind, str] = {
    "part": "Parts",
    "cable": "Cable",
    "small part": "Small parts",
    "labour": "Labour",
}


@dataclass(frozen=True)
class QuoteSheet:
    """A quote for the customer: the options, what is settled before any of it is bought, the cautions of the work."""

    job: JobLines
    options: Options
    cautions: tuple[str, ...] = ()
    not_yet: str = ""


def quote_table(options: Options) -> list[dict[str, Any]]:
    """
    The options as rows under headings, a cell an option: how much of it and what it comes to.

    A cell is None where an option has nothing of it; its amount is empty where it is still to be priced.
    """
    return [
        {"heading": _HEADINGS[kind], "rows": rows}
        for kind in LINE_KINDS
        if (rows := [_row(name, options) for name in _names(kind, options)])
    ]


def quote_set(sheet: QuoteSheet) -> dict[str, Any]:
    """A quote as its template takes it."""
    options = sheet.options
    return {
        "kind": "quote",
        "sizes": _SIZES_pt,
        "heading": sheet.job.title,
        "not_yet": sheet.not_yet,
        "currency": options.currency,
        "options": [_option(quote) for quote in options.quotes],
        "groups": quote_table(options),
        "tax": options.tax,
        "validity": options.validity,
        "based_on": options.based_on,
        "assumed": options.assumed,
        "notes": options.notes,
        "cautions": sheet.cautions,
    }


def _names(kind: LineKind, options: Options) -> list[tuple[LineKind, str, str]]:
    """Every line of a kind in any option, once; what only a later option has stands before what follows it there."""
    names: list[tuple[LineKind, str, str]] = []
    for quote in options.quotes:
        own = [_name(line) for line in quote.lines if line.item.kind == kind]
        for place, name in enumerate(own):
            if name not in names:
                follows = [names.index(later) for later in own[place:] if later in names]
                names.insert(min(follows, default=len(names)), name)
    return names


def _row(name: tuple[LineKind, str, str], options: Options) -> dict[str, Any]:
    cells = [_cell([line for line in quote.lines if _name(line) == name]) for quote in options.quotes]
    kind, key, words = name
    return {"words": words, "code": key if kind == "part" and key != words else "", "cells": cells}


def _name(line: QuoteLine) -> tuple[LineKind, str, str]:
    return line.item.kind, line.item.key, line.item.words


def _cell(lines: list[QuoteLine]) -> dict[str, str] | None:
    if not lines:
        return None
    gross = [line.price.gross for line in lines if line.price is not None]
    quantity = " + ".join(quantity_words(line.item) for line in lines)
    return {"quantity": quantity, "amount": _money(sum(gross, Decimal(0))) if gross else ""}


def _option(quote: Quote) -> dict[str, Any]:
    total = quote.total
    return {
        "title": quote.title,
        "achieves": [f"{said[:1].upper()}{said[1:]}" for said in quote.achieves],
        "net": "" if total.net is None else _money(total.net),
        "tax": "" if total.tax is None else _money(total.tax),
        "gross": _money(total.gross),
        "without": quote.total_words,
    }


def _money(amount: Decimal) -> str:
    return f"{amount:.2f}"
