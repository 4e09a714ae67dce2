"""The shop's own labour: kept, shown, refused with what was typed, and what then stands in a quote."""

import re
from decimal import Decimal
from html import unescape
from typing import Any

import pytest
from desk_client import API, desk, ticket
from starlette.testclient import TestClient

from ampwright.desk.cases import details as case
from ampwright.errors import BadRecord
from ampwright.storage import details as kept


def blanks(page: str) -> dict[str, str]:
    """The blanks of the labour form as they are filled in."""
    form = re.search(r'<form[^>]* id="labour-form".*?</form>', page, re.S)
    assert form is not None
    found = re.findall(r'<input name="([^"]+)"[^>]*? value="([^"]*)"', form[0])
    return {unescape(name): unescape(value) for name, value in found}


def keep(client: TestClient, **told: str) -> Any:
    """Send the labour form."""
    return client.post("/shop/labour", data={"ticket": ticket(client)} | told)


def test_what_the_shop_sets_is_kept_and_stands_in_its_blanks(client: TestClient, tmp_path: Any) -> None:
    reply = keep(
        client, rate_per_hour="61,50", **{"minutes.box-fitted": "55", "prices.cap": "0.25", "minutes.seat": ""}
    )
    assert reply.status_code == 200
    # by hand: a comma is a point, and an empty blank sets nothing
    shown = {name: value for name, value in blanks(client.get("/shop").text).items() if value}
    assert shown == {"rate_per_hour": "61.50", "minutes.box-fitted": "55", "prices.cap": "0.25"}
    own = case.labour(client.app.state.shop)  # type: ignore[attr-defined]
    assert own.rate_per_hour == Decimal("61.50")
    assert own.own == {"rate_per_hour", "box-fitted", "cap"}


def test_a_blank_that_is_emptied_is_assumed_again(client: TestClient) -> None:
    keep(client, **{"minutes.seat": "3"})
    keep(client, **{"minutes.seat": ""})
    assert case.labour(client.app.state.shop).own == frozenset()  # type: ignore[attr-defined]


def test_what_cannot_be_taken_over_is_told_and_what_was_typed_stays_in_the_blanks(client: TestClient) -> None:
    keep(client, rate_per_hour="50")
    reply = keep(client, rate_per_hour="60", **{"minutes.seat": "soon", "prices.cap": "0.25"})
    assert reply.status_code == 422
    assert "minutes, seat" in reply.text
    assert {name: value for name, value in blanks(reply.text).items() if value} == {
        "rate_per_hour": "60",
        "minutes.seat": "soon",
        "prices.cap": "0.25",
    }
    assert case.shop_labour(client.app.state.shop).rate_per_hour == 50  # type: ignore[attr-defined]


def test_every_piece_of_work_and_every_small_part_has_a_blank(client: TestClient) -> None:
    labour = case.labour(client.app.state.shop)  # type: ignore[attr-defined]
    wanted = {f"minutes.{one.key}" for one in (*labour.openings, *labour.operations)}
    wanted |= {f"prices.{one.key}" for one in labour.small_parts}
    assert set(blanks(client.get("/shop").text)) == wanted | {"rate_per_hour", "valid_days"}


def test_a_key_that_nothing_goes_by_is_not_kept(client: TestClient) -> None:
    with pytest.raises(BadRecord, match="magneto-off: nothing goes by that name"):
        case.set_shop_labour(client.app.state.shop, {"minutes": {"magneto-off": 5}})  # type: ignore[attr-defined]


def test_a_key_that_an_older_table_had_does_not_shut_the_shop(client: TestClient) -> None:
    with client.app.state.shop.database.writing() as connection:  # type: ignore[attr-defined]
        kept.keep_labour(connection, {"minutes": {"magneto-off": "5", "seat": "3"}})
    page = client.get("/shop")
    assert page.status_code == 200
    assert blanks(page.text)["minutes.seat"] == "3"


def test_keeping_the_details_leaves_the_labour_alone_and_the_other_way_round(client: TestClient) -> None:
    keep(client, rate_per_hour="50")
    client.post("/shop", data={"ticket": ticket(client), "name": "The Corner Works"})
    keep(client, rate_per_hour="50", valid_days="30")
    shop = client.app.state.shop  # type: ignore[attr-defined]
    assert (case.shop_details(shop).name, case.shop_labour(shop).valid_days) == ("The Corner Works", 30)


def test_invented_prices_are_gone_once_the_shop_keeps_a_stock_of_its_own(client: TestClient) -> None:
    shop = client.app.state.shop  # type: ignore[attr-defined]
    assert case.labour(shop).rate_per_hour is not None
    client.post(f"{API}/stock/start")
    assert case.labour(shop).rate_per_hour is None
    assert {one.price for one in case.labour(shop).small_parts} == {None}
    assert "leave empty: to be priced" in client.get("/shop").text


def test_a_shop_that_was_kept_before_there_was_labour_opens_as_it_was(tmp_path: Any) -> None:
    client = desk(tmp_path)
    client.post("/shop", data={"ticket": ticket(client), "name": "The Old Works"})
    client.close()
    client.app.state.shop.close()  # type: ignore[attr-defined]
    again = desk(tmp_path)
    page = again.get("/shop").text
    assert "The Old Works" in page
    assert set(blanks(page).values()) == {""}
    again.close()
    again.app.state.shop.close()  # type: ignore[attr-defined]
