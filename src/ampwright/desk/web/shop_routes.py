"""The shop's details, logo, labour and backups."""

from collections.abc import Mapping
from hashlib import sha256
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from ampwright.desk.cases import kept_jobs
from ampwright.desk.cases.details import (
    ShopLabour,
    labour,
    set_shop_details,
    set_shop_labour,
    set_shop_logo,
    shop_details,
    shop_labour,
    shop_logo,
)
from ampwright.desk.web.forms import Form, Posted, problem_of
from ampwright.desk.web.views import download, show
from ampwright.errors import AmpwrightError

router = APIRouter(prefix="/shop")


@router.get("")
def page(request: Request) -> HTMLResponse:
    """The page of the shop."""
    return _shop_page(request)


@router.post("")
def keep(request: Request, form: Posted) -> Response:
    """Keep the shop's details."""
    try:
        set_shop_details(request.app.state.shop, _details(form))
    except AmpwrightError as fault:
        return _shop_page(request, fault, 422)
    return _shop_page(request, done="Kept.")


@router.post("/logo")
def keep_logo(request: Request, form: Posted) -> Response:
    """Keep or take away the logo."""
    try:
        set_shop_logo(request.app.state.shop, None if form.one("taken_away") else form.upload("logo").data)
    except AmpwrightError as fault:
        return _shop_page(request, fault, 422)
    return RedirectResponse("/shop", 303)


@router.post("/labour")
def keep_labour(request: Request, form: Posted) -> Response:
    """Keep the shop's own rate, minutes and prices."""
    try:
        set_shop_labour(request.app.state.shop, _labour(form))
    except AmpwrightError as fault:
        return _shop_page(request, fault, 422, typed=form.blanks())
    return _shop_page(request, done="Kept.")


@router.get("/logo.png")
def logo(request: Request) -> Response:
    """The logo."""
    return Response(shop_logo(request.app.state.shop) or b"", media_type="image/png")


@router.get("/backup.sqlite")
def backup(request: Request) -> Response:
    """One file with everything kept."""
    return download(kept_jobs.backup_bytes(request.app.state.shop), "ampwright-backup.sqlite")


@router.get("/everything.zip")
def everything(request: Request) -> Response:
    """Everything kept, as plain files."""
    return download(kept_jobs.export_everything(request.app.state.shop), "ampwright-everything.zip")


def _details(form: Form) -> dict[str, Any]:
    """What the blanks hold; an empty one is left out."""
    told: dict[str, Any] = {
        key: value for key in ("name", "phone", "tax_name", "paper") if (value := form.one(key).strip())
    }
    told["address"] = [line.strip() for line in form.one("address").splitlines() if line.strip()]
    told["prices_include_tax"] = form.one("prices_include_tax") == "yes"
    numbers = {key: form.one(key).strip().replace(",", ".") for key in ("tax_percent", "keep_days")}
    return told | {key: value for key, value in numbers.items() if value}


def _labour(form: Form) -> dict[str, Any]:
    """What the blanks of the labour hold; an empty one is left out, and then stays assumed."""
    told = {key: value.strip().replace(",", ".") for key, value in form.pairs if value.strip()}
    numbers: dict[str, Any] = {key: told[key] for key in ("rate_per_hour", "valid_days") if key in told}
    for table in ("minutes", "prices"):
        start = f"{table}."
        numbers[table] = {key.removeprefix(start): value for key, value in told.items() if key.startswith(start)}
    return numbers


def _blanks_of(own: ShopLabour) -> dict[str, str]:
    """What the blanks of the labour show."""
    numbers = {"rate_per_hour": own.rate_per_hour, "valid_days": own.valid_days}
    numbers |= {f"minutes.{key}": value for key, value in own.minutes.items()}
    numbers |= {f"prices.{key}": value for key, value in own.prices.items()}
    return {name: str(value) for name, value in numbers.items() if value is not None}


def _shop_page(
    request: Request,
    fault: AmpwrightError | None = None,
    status: int = 200,
    done: str = "",
    typed: Mapping[str, str] | None = None,
) -> HTMLResponse:
    shop = request.app.state.shop
    own = shop_labour(shop)
    drawn = shop_logo(shop)
    return show(
        request,
        "shop.html",
        status,
        details=shop_details(shop),
        labour=labour(shop),
        own=own,
        typed=typed or _blanks_of(own),
        has_logo=drawn is not None,
        logo_mark=sha256(drawn or b"").hexdigest()[:8],
        folder=str(shop.database.path.parent),
        problem=problem_of(fault) if fault else None,
        done=done,
    )
