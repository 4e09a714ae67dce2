"""What each paper of a job shows, as records that a case fills and ``papers`` sets."""

from dataclasses import dataclass, field
from typing import Literal

from ampwright.quote.money import Price as Price
from ampwright.terms import Verdict

Paper = Literal["A4", "Letter"]


@dataclass(frozen=True)
class Head:
    """What stands at the head of every paper, and how large the paper is; all but the paper may be empty."""

    name: str = ""
    address: tuple[str, ...] = ()
    phone: str = ""
    logo_png: bytes | None = None
    paper: Paper = "A4"


@dataclass(frozen=True)
class JobLines:
    """Which job a paper belongs to; what is empty is left to be written in."""

    number: str
    title: str
    date: str = ""
    who: str = ""
    call_back: str = ""


@dataclass(frozen=True)
class Told:
    """One thing that was told, seen or measured, with its source, and what is wrong with it if anything is."""

    what: str
    answer: str
    source: str
    note: str = ""


@dataclass(frozen=True)
class OfferedPart:
    """One part to fit, with all that has to be seen to."""

    code: str
    name: str
    verdict: Verdict
    quantity: int
    price: Price
    stock: str
    see_that: tuple[str, ...] = ()


@dataclass(frozen=True)
class KeptOff:
    """One part not to fit, and why."""

    code: str
    name: str
    reason: str


@dataclass(frozen=True)
class Charges:
    """From what speed one generator charges, lights on and off, in words; or that there is no figure."""

    generator: str
    lights_on: str
    lights_off: str
    words: str


@dataclass(frozen=True)
class Step:
    """One check: how to do it, how to do it safely, what it takes and what to write down."""

    ask: str
    safely: str
    takes: str
    comes_back: str
    write_down: tuple[str, ...]


@dataclass(frozen=True)
class PriceWords:
    """How prices are headed: the currency, the tax in words, and whether net, tax and gross are shown apart."""

    currency: str
    tax: str = ""
    apart: bool = False


@dataclass(frozen=True)
class AnswerSheet:
    """
    The answer for the customer, on one page.

    Where ``stop`` says what to do first nothing else is shown but what was told and the cautions.
    """

    job: JobLines
    told: tuple[Told, ...]
    cautions: tuple[str, ...]
    stop: str = ""
    first: str = ""
    what_it_is: tuple[str, ...] = ()
    fit_words: str = ""
    fit: tuple[OfferedPart, ...] = ()
    prices: PriceWords = field(default_factory=lambda: PriceWords(""))
    keep_off: tuple[KeptOff, ...] = ()
    charges: tuple[Charges, ...] = ()
    chart_svg: str | None = None
    assumed: tuple[str, ...] = ()
    next_check: tuple[Step, ...] = ()
    changes: tuple[str, ...] = ()


@dataclass(frozen=True)
class PickSlip:
    """What the parts counter hands over, what it sees to first, and what it does not hand over."""

    job: JobLines
    told: tuple[Told, ...]
    cautions: tuple[str, ...]
    what_it_is: tuple[str, ...]
    earth_line: str
    fit_words: str
    fit: tuple[OfferedPart, ...]
    prices: PriceWords
    keep_off: tuple[KeptOff, ...]


@dataclass(frozen=True)
class CheckCard:
    """The next checks, a card each, a quarter of the page, to cut."""

    job: JobLines
    first: str
    steps: tuple[Step, ...]
    cautions: tuple[str, ...]
    call_back: str


@dataclass(frozen=True)
class NormalLine:
    """One thing that is normal on a bike: its name, and what it is in words."""

    name: str
    text: str


@dataclass(frozen=True)
class NormalCard:
    """What is normal on a bike and when to come back, on a card of postcard size that its owner keeps."""

    job: JobLines
    lines: tuple[NormalLine, ...]
    come_back: tuple[str, ...]
    cautions: tuple[str, ...]
    assumed: tuple[str, ...]
    based_on: str


Sheet = AnswerSheet | PickSlip | CheckCard | NormalCard
