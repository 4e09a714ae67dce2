"""The shop: its stock, its details and logo, and all of it as a file."""

from decimal import Decimal
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from pydantic import Field
from starlette.responses import Response

from ampwright.desk.cases import details, kept_jobs, kept_stock
from ampwright.desk.cases.details import ShopDetails
from ampwright.desk.cases.kept_stock import StockRow
from ampwright.desk.cases.stock_import import ImportPreview
from ampwright.desk.web.api.answers import Document
from ampwright.desk.web.api.bodies import Body, PartsFile, Picture, StrictRoute
from ampwright.desk.web.api.replies import JsonReply, gives, gives_file, gives_nothing, takes_file, told
from ampwright.desk.web.views import MEDIA, download

router = APIRouter(route_class=StrictRoute, tags=["stock and shop"])

_LIST = takes_file("A file of parts, as docs/stock.md says.", "text/csv", "application/octet-stream")
Filename = Annotated[str, Query(min_length=1, max_length=400, description="Its ending says what the file is.")]


class CurrencyBody(Body):
    """The currency of all prices."""

    currency: Annotated[str, Field(min_length=3, max_length=3, description="ISO 4217, such as GBP.")]


class ShopBody(Body):
    """What stands at the head of the shop's papers, and what its prices mean; what is left out is as at first."""

    name: str = ""
    address: Annotated[tuple[str, ...], Field(max_length=6)] = ()
    phone: str = ""
    tax_name: str = "VAT"
    tax_percent: Annotated[Decimal, Field(ge=0, le=100)] | None = None
    prices_include_tax: bool = True
    paper: str = "A4"
    keep_days: Annotated[int, Field(ge=1, le=3650)] | None = None


@router.get("/stock", responses=gives(tuple[StockRow, ...], "Every part; the demo's where none is kept."))
def stock(request: Request) -> JsonReply:
    """The list of parts."""
    return told(kept_stock.stock_table(_shop(request)))


@router.put("/stock", responses=gives(tuple[StockRow, ...], "The parts, in that currency."))
def put_currency(request: Request, body: CurrencyBody) -> JsonReply:
    """Set the currency of all prices; the figures stay as they are."""
    kept_stock.set_stock_currency(_shop(request), body.currency)
    return stock(request)


@router.post("/stock/start", status_code=201, responses=gives(tuple[StockRow, ...], "The parts now kept.", 201))
def start(request: Request) -> JsonReply:
    """Keep a copy of the demo's invented stock, to be changed into one's own."""
    kept_stock.start_from_demo(_shop(request))
    return told(kept_stock.stock_table(_shop(request)), 201)


@router.post("/stock/preview", responses=gives(ImportPreview, "Row by row what it would do."), openapi_extra=_LIST)
def preview(request: Request, data: PartsFile, filename: Filename) -> JsonReply:
    """Look a file through; nothing is kept."""
    return told(kept_stock.preview_import(_shop(request), data, filename))


@router.post("/stock/import", responses=gives(ImportPreview, "What was kept."), openapi_extra=_LIST)
def keep_import(
    request: Request,
    data: PartsFile,
    filename: Filename,
    token: Annotated[str, Query(max_length=200, description="That of the preview.")],
    remove_missing: Annotated[bool, Query(description="Take away what is kept and not in the file.")] = False,
) -> JsonReply:
    """Keep the sound rows of a file that was looked through."""
    return told(kept_stock.apply_import(_shop(request), data, filename, token, remove_missing=remove_missing))


@router.get("/stock.csv", responses=gives_file("text/csv", "The stock."), response_class=Response)
def stock_csv(request: Request) -> Response:
    """The stock as a CSV file that comes in again unchanged."""
    return download(kept_stock.stock_file(_shop(request), "csv"), "stock.csv")


@router.get("/stock.xlsx", responses=gives_file(MEDIA["xlsx"], "The stock."), response_class=Response)
def stock_xlsx(request: Request) -> Response:
    """The stock as a spreadsheet that comes in again unchanged."""
    return download(kept_stock.stock_file(_shop(request), "xlsx"), "stock.xlsx")


@router.get("/stock/{code:path}", responses=gives(dict[str, Any], "The part, as docs/stock.md says."))
def part(request: Request, code: str) -> JsonReply:
    """One kept part."""
    return JsonReply(kept_stock.part_document(_shop(request), code))


@router.put("/stock/{code:path}", responses=gives(dict[str, Any], "The part as it is kept."))
def put_part(request: Request, code: str, part: Document) -> JsonReply:
    """Keep one part under its code; the code of the address counts."""
    kept_stock.save_part(_shop(request), part | {"code": code})
    return JsonReply(kept_stock.part_document(_shop(request), code))


@router.delete("/stock/{code:path}", status_code=204, responses=gives_nothing("It is gone."))
def remove_part(request: Request, code: str) -> Response:
    """Take one part away."""
    kept_stock.remove_part(_shop(request), code)
    return Response(status_code=204)


@router.get("/shop", responses=gives(ShopDetails, "The shop's details."))
def shop(request: Request) -> JsonReply:
    """What stands at the head of the shop's papers."""
    return told(details.shop_details(_shop(request)))


@router.put("/shop", responses=gives(ShopDetails, "The details as they are kept."))
def put_shop(request: Request, body: ShopBody) -> JsonReply:
    """Keep the shop's details."""
    return told(details.set_shop_details(_shop(request), body.model_dump(exclude_none=True)))


@router.get("/shop/logo", responses=gives_file("image/png", "The logo."), response_class=Response)
def logo(request: Request) -> Response:
    """The logo."""
    return Response(details.kept_logo(_shop(request)), media_type="image/png")


@router.put(
    "/shop/logo",
    status_code=204,
    responses=gives_nothing("It is kept."),
    openapi_extra=takes_file("A picture.", "image/jpeg", "image/png", "image/webp"),
)
def put_logo(request: Request, data: Picture) -> Response:
    """Keep a logo, made to fit the head of a paper."""
    details.set_shop_logo(_shop(request), data)
    return Response(status_code=204)


@router.delete("/shop/logo", status_code=204, responses=gives_nothing("There is none now."))
def remove_logo(request: Request) -> Response:
    """Take the logo away."""
    details.set_shop_logo(_shop(request), None)
    return Response(status_code=204)


@router.get("/backup", responses=gives_file(MEDIA["sqlite"], "The backup."), response_class=Response)
def backup(request: Request) -> Response:
    """One file with everything kept; it holds callers' names."""
    return download(kept_jobs.backup_bytes(_shop(request)), "ampwright-backup.sqlite")


@router.get("/export", responses=gives_file(MEDIA["zip"], "Plain files."), response_class=Response)
def export(request: Request) -> Response:
    """Everything kept, as plain files in a ZIP; they hold callers' names."""
    return download(kept_jobs.export_everything(_shop(request)), "ampwright-everything.zip")


def _shop(request: Request) -> Any:
    return request.app.state.shop
