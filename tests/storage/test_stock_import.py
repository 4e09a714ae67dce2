"""The shop's own stock: a file is shown row by row before anything of it is kept, and goes out as it came in."""

import json

import pytest
from command_runs import run
from hypothesis import given, settings
from hypothesis import strategies as st
from sheet_files import BOX, FUSE, csv_of, ods_of, xls_of, xlsx_of

from ampwright.desk.cases import kept_stock as case
from ampwright.desk.cases.shop import open_shop
from ampwright.errors import AmpwrightError, BadRecord
from ampwright.stock.shelf import demo_shelf
from ampwright.storage.kept import NotKept


@pytest.fixture
def shop(tmp_path):
    """A shop that keeps a fuse and a box."""
    opened = open_shop(str(tmp_path))
    case.save_part(opened, FUSE)
    case.save_part(opened, BOX)
    yield opened
    opened.close()


@pytest.fixture
def empty(tmp_path):
    """A shop that keeps nothing."""
    opened = open_shop(str(tmp_path))
    yield opened
    opened.close()


def outcomes(preview):
    """What the rows do, by code."""
    return {row.code: row.outcome.value for row in preview.rows}


def faults(preview):
    """What is wrong, by row and column."""
    return {(row.line, fault.field): fault.sentence for row in preview.rows for fault in row.faults}


def applied(shop, data, name, **how):
    """Look at a file and keep it."""
    return case.apply_import(shop, data, name, case.preview_import(shop, data, name).token, **how)


# --- in and out again ---


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_the_demo_stock_comes_in_again_without_a_change(empty, ending):
    # the rule: what goes out comes in as it was
    case.start_from_demo(empty)
    preview = case.preview_import(empty, case.stock_file(empty, ending), f"stock.{ending}")
    assert set(outcomes(preview).values()) == {"unchanged"}
    assert len(preview.rows) == len(demo_shelf().parts)
    assert (preview.missing_codes, preview.unknown_columns) == ((), ())


signs = st.characters(exclude_categories=("Cc", "Cs", "Cn")) | st.sampled_from("=+-@'\",;\n\t ＝")
texts = st.builds(
    lambda first, rest: first + rest,
    st.sampled_from(
        ["", "=", "+", "-", "@", "'", "''", "'=", "=cmd|' /C x'!A1", " =", "_x0041_", "1,200", "007", "yes"]
    ),
    st.text(signs, max_size=30),
).filter(str.strip)
amounts = st.floats(min_value=1e-9, max_value=1e12, allow_nan=False) | st.sampled_from([1.125, 0.125, 1e-7, 0.1 + 0.2])
prices = st.decimals(min_value=0, max_value=99_999_999, places=2)
pairings = st.lists(
    st.fixed_dictionaries({"phases": st.sampled_from([1, 2, 3]), "up_to_A": amounts, "words": texts}), max_size=4
)
bulbs = st.fixed_dictionaries(
    {
        "kind": st.just("bulb"),
        "name": texts,
        "price": prices,
        "in_stock": st.integers(0, 10**9),
        "system_voltage_V": st.sampled_from([6, 12]),
        "power_W": amounts,
        "light": st.sampled_from(["filament", "LED"]),
        "use": texts,
        "note": st.just("") | texts,
        "source": texts,
        "standing": st.sampled_from(["demo", "maker's word"]),
    }
)
boxes = st.builds(
    lambda box, pairs, size: BOX | box | {"pairings": pairs} | ({"size": size} if size else {}),
    st.fixed_dictionaries({"name": texts, "price": prices}),
    pairings,
    st.none() | st.fixed_dictionaries(dict.fromkeys(("length_mm", "width_mm", "height_mm"), amounts)),
)


def comes_back(folder, parts, ending):
    """Keep parts, write them out, and say what their own file would do."""
    shop = open_shop(str(folder))
    try:
        for number, part in enumerate(parts):
            case.save_part(shop, part | {"code": f"{'=' if number % 2 else ''}{number}"})
        preview = case.preview_import(shop, case.stock_file(shop, ending), f"stock.{ending}")
        return [(row.outcome.value, row.changes, row.faults) for row in preview.rows]
    finally:
        shop.close()


@given(parts=st.lists(bulbs | boxes, min_size=1, max_size=8))
@settings(max_examples=40)
def test_any_stock_comes_back_from_csv_as_it_went(tmp_path_factory, parts):
    found = comes_back(tmp_path_factory.mktemp("shop"), parts, "csv")
    assert found == [("unchanged", (), ())] * len(parts)


@given(parts=st.lists(bulbs | boxes, min_size=4, max_size=12))
@settings(max_examples=12)
def test_any_stock_comes_back_from_xlsx_as_it_went(tmp_path_factory, parts):
    found = comes_back(tmp_path_factory.mktemp("shop"), parts, "xlsx")
    assert found == [("unchanged", (), ())] * len(parts)


# --- what a preview says ---


def test_each_row_says_what_it_would_do_and_where_it_stands(shop):
    data = csv_of(
        "Stock of the shop;;",
        "",
        "Kind;Code;Name;Price;In stock;Rated (A);Style;Source;Standing",
        "fuse;F-1;Blade fuse, 15 A;0,60;40;15;blade;invented example;demo",
        "",
        "Fuse;F-2;Glass fuse;£1,10;3;10;Glass;invented example;demo",
        "fuse;F-3;Glass fuse;1,10;1.200;ten;wood;;demo",
        "charging box;B-1;Charging box, single-phase, 200 W;60;2;;;invented example;demo",
    )
    preview = case.preview_import(shop, data, "list.csv")
    assert outcomes(preview) == {"F-1": "unchanged", "F-2": "new", "F-3": "faulty", "B-1": "changed"}
    # by hand: rows as a spreadsheet numbers them, blank ones and titles counted
    assert [row.line for row in preview.rows] == [4, 6, 7, 8]
    assert set(faults(preview)) == {(7, "in_stock"), (7, "rated_A"), (7, "style"), (7, "source")}
    assert faults(preview)[7, "source"] == "missing. It is needed; add it."
    change = preview.rows[3].changes[0]
    assert (change.column, change.before, change.after) == ("price", "61.50", "60.00")
    assert {outcome.value: count for outcome, count in preview.counts.items()} == {
        "new": 1,
        "changed": 1,
        "unchanged": 1,
        "faulty": 1,
    }
    # nothing is kept by looking
    assert case.part_document(shop, "B-1")["price"] == "61.50"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_text_is_read_in_every_usual_code_and_with_every_usual_separator(shop, encoding, separator):
    data = csv_of(
        separator.join(["code", "price", "note"]), separator.join(["F-1", '"0,70 €"', "für Größe ½"]), encoding=encoding
    )
    case.set_stock_currency(shop, "eur")
    preview = applied(shop, data, "list.csv")
    assert outcomes(preview) == {"F-1": "changed"}
    kept = case.part_document(shop, "F-1")
    assert (kept["price"], kept["note"]) == ("0.70", "für Größe ½")


@pytest.mark.parametrize(("ending", "written"), [("ods", ods_of), ("xls", xls_of), ("xlsx", xlsx_of)])
def test_a_sheet_of_every_kind_of_spreadsheet_is_read(shop, ending, written):
    data = written([["List"], ["code", "price"], ["F-1", 0.75], ["B-1", "61,50"]])
    preview = case.preview_import(shop, data, f"a.{ending}")
    assert outcomes(preview) == {"F-1": "changed", "B-1": "unchanged"}
    assert preview.rows[0].line == 3


def test_a_price_list_changes_prices_and_stock_and_nothing_else(shop):
    before = case.part_document(shop, "F-1")
    preview = applied(shop, csv_of("code,price,in_stock", "F-1,0.65,12", "X-9,1,1"), "prices.csv")
    assert preview.prices_only
    assert faults(preview) == {(3, "code"): "X-9 is not in stock. A new part needs its kind and all that it is."}
    assert preview.missing_codes == ("B-1",)
    assert case.part_document(shop, "F-1") == before | {"price": "0.65", "in_stock": 12}
    with pytest.raises(BadRecord, match="takes no part away"):
        applied(shop, csv_of("code,price", "F-1,0.65"), "prices.csv", remove_missing=True)


def test_an_empty_price_is_a_fault_and_not_a_price_of_nothing(shop):
    preview = case.preview_import(shop, csv_of("code,price,in_stock", "F-1,,3"), "prices.csv")
    assert faults(preview) == {(2, "price"): "missing. It is needed; add it."}


def test_a_column_that_the_sheet_does_not_have_is_left_as_it_is_and_an_empty_cell_is_not_known(shop):
    head = "kind,code,name,price,in_stock,rated_A,style,source,standing"
    row = 'fuse,F-1,"Blade fuse, 15 A",0.60,40,20,blade,invented example,demo'
    applied(shop, csv_of(head, row), "a.csv")
    assert case.part_document(shop, "F-1")["note"] == "in the drawer"
    applied(shop, csv_of(head + ",note", row + ","), "a.csv")
    assert "note" not in case.part_document(shop, "F-1")


def test_a_code_that_stands_twice_makes_both_rows_faulty(shop):
    preview = case.preview_import(shop, csv_of("code,price", "F-1,1", "F-1,2", "B-1,3"), "a.csv")
    assert outcomes(preview) == {"F-1": "faulty", "B-1": "changed"}
    assert set(faults(preview)) == {(2, "code"), (3, "code")}


def test_unknown_columns_are_said_once_with_the_nearest_name(shop):
    preview = case.preview_import(shop, csv_of("code,prise,price,colour", "F-1,9,1,red", "B-1,9,1,red"), "a.csv")
    assert [(one.heading, one.nearest) for one in preview.unknown_columns] == [("prise", "price"), ("colour", None)]


def test_decimal_commas_that_split_a_row_are_noticed(shop):
    preview = case.preview_import(shop, csv_of("code,price", "F-1,0,65"), "a.csv")
    assert "more cells than there are headings" in faults(preview)[2, "the whole row"]


def test_a_file_without_headings_and_one_with_a_heading_twice_are_refused(shop):
    for lines, sentence in (
        (("F-1,0.65", "B-1,3"), "no row of headings"),
        (("code,price,Price", "F-1,1,2"), "is the heading of several columns"),
        (("code,price",), "has no row of a part"),
    ):
        with pytest.raises(BadRecord, match=sentence):
            case.preview_import(shop, csv_of(*lines), "a.csv")


def test_parts_of_a_stock_file_are_shown_like_rows(empty):
    document = {"format": 1, "currency": "EUR", "parts": [FUSE, BOX | {"set_point_V": 12.0}]}
    data = json.dumps(document).encode()
    preview = applied(empty, data, "stock.json")
    assert outcomes(preview) == {"F-1": "new", "B-1": "faulty"}
    assert "cannot belong to a 12 V system" in faults(preview)[2, "the whole part"]
    # with the first parts comes their currency; a stock that is kept has one already
    assert case.stock_currency(empty) == case.shelf(empty).currency == "EUR"
    with pytest.raises(BadRecord, match="GBP is not EUR"):
        case.preview_import(empty, data.replace(b"EUR", b"GBP"), "stock.json")


def test_a_stock_file_that_is_built_wrongly_says_everything_at_once(shop):
    with pytest.raises(BadRecord) as caught:
        case.preview_import(shop, b'{"format": 2, "currency": "pounds", "parts": 3, "shop": 1}', "stock.json")
    assert [fault.field for fault in caught.value.faults] == ["format", "currency", "parts", "shop"]
    odd = {"format": 1, "currency": "GBP", "parts": [{"kind": [], "code": 5}, FUSE | {"size": 3}, {"pairings": [1]}]}
    preview = case.preview_import(shop, json.dumps(odd).encode(), "stock.json")
    assert [row.outcome.value for row in preview.rows] == ["faulty"] * 3


# --- what is kept ---


def test_a_preview_that_the_stock_has_outrun_is_refused(shop):
    data = csv_of("code,price", "F-1,0.65")
    token = case.preview_import(shop, data, "a.csv").token
    case.save_part(shop, FUSE | {"price": "0.99"})
    with pytest.raises(AmpwrightError, match="changed since the preview"):
        case.apply_import(shop, data, "a.csv", token)
    assert case.part_document(shop, "F-1")["price"] == "0.99"
    other = case.preview_import(shop, data, "a.csv").token
    with pytest.raises(AmpwrightError, match="changed since the preview"):
        case.apply_import(shop, data + b" ", "a.csv", other)


def test_one_faulty_row_can_stop_all_of_them(shop):
    data = csv_of("code,price", "F-1,0.65", "B-1,dear")
    version = case.stock_version(shop)
    with pytest.raises(BadRecord, match="1 rows are faulty"):
        applied(shop, data, "a.csv", only_sound=False)
    assert case.stock_version(shop) == version
    applied(shop, data, "a.csv")
    assert (case.part_document(shop, "F-1")["price"], case.part_document(shop, "B-1")["price"]) == ("0.65", "61.50")


def test_parts_that_are_missing_go_only_when_that_is_asked_for(shop):
    data = json.dumps({"format": 1, "currency": "GBP", "parts": [FUSE]}).encode()
    assert applied(shop, data, "a.json").missing_codes == ("B-1",)
    assert [part.code for part in case.shelf(shop).parts] == ["F-1", "B-1"]
    applied(shop, data, "a.json", remove_missing=True)
    assert [part.code for part in case.shelf(shop).parts] == ["F-1"]


def test_a_row_without_a_code_keeps_parts_from_being_taken_away(shop):
    nameless = {key: value for key, value in FUSE.items() if key != "code"}
    data = json.dumps({"format": 1, "currency": "GBP", "parts": [nameless]}).encode()
    with pytest.raises(BadRecord, match="Mend it first"):
        applied(shop, data, "a.json", remove_missing=True)


def test_the_shelf_is_checked_once_and_anew_after_a_change(shop):
    first = case.shelf(shop)
    assert case.shelf(shop) is first
    version = case.stock_version(shop)
    case.remove_part(shop, "F-1")
    assert case.stock_version(shop) > version
    assert [part.code for part in case.shelf(shop).parts] == ["B-1"]


def test_a_change_made_by_another_process_is_seen(shop, tmp_path):
    assert len(case.shelf(shop).parts) == 2
    other = open_shop(str(tmp_path))
    case.remove_part(other, "F-1")
    other.close()
    assert len(case.shelf(shop).parts) == 1


def test_a_shop_without_a_stock_shows_the_demo_and_one_that_emptied_its_own_does_not(empty):
    assert not case.keeps_own_stock(empty)
    assert case.shelf(empty) is demo_shelf()
    case.save_part(empty, FUSE)
    case.remove_part(empty, "F-1")
    assert case.keeps_own_stock(empty)
    assert case.shelf(empty).parts == ()


def test_the_demo_stock_can_be_started_from_once(empty):
    assert case.start_from_demo(empty) == len(demo_shelf().parts)
    assert case.shelf(empty) == demo_shelf()
    with pytest.raises(AmpwrightError, match="keeps parts of its own already"):
        case.start_from_demo(empty)


def test_a_part_is_kept_whole_with_all_its_faults_said_at_once(shop):
    with pytest.raises(BadRecord) as caught:
        case.save_part(shop, FUSE | {"rated_A": -1, "style": "wood", "price": "1.999"})
    assert {fault.field for fault in caught.value.faults} == {"rated_A", "style", "price"}
    with pytest.raises(BadRecord, match=r"holds 2,001 characters"):
        case.save_part(shop, FUSE | {"note": "x" * 2001})
    with pytest.raises(NotKept):
        case.part_document(shop, "X-9")
    with pytest.raises(NotKept):
        case.remove_part(shop, "X-9")


def test_what_a_maker_does_not_state_is_not_kept_as_a_figure(shop):
    # an LED of no stated earth is for either earth by no default: choice.md
    led = FUSE | {"kind": "bulb", "code": "L-1", "system_voltage_V": 12, "power_W": 3, "light": "LED", "use": "tail"}
    case.save_part(shop, {key: value for key, value in led.items() if key not in ("rated_A", "style")})
    assert case.shelf(shop).parts[-1].earth == "not stated"
    assert "second_power_W" not in case.part_document(shop, "L-1")


def test_the_list_of_the_stock_has_its_prices_to_the_penny(shop):
    rows = case.stock_table(shop)
    assert [(row.code, str(row.price), row.currency, row.in_stock) for row in rows] == [
        ("F-1", "0.60", "GBP", 40),
        ("B-1", "61.50", "GBP", 2),
    ]


def test_a_currency_is_three_letters(shop):
    with pytest.raises(BadRecord, match="three capital letters"):
        case.set_stock_currency(shop, "pounds")


# --- on the command line ---


def test_the_command_keeps_nothing_until_it_is_told_to(tmp_path, monkeypatch):
    monkeypatch.setenv("AMPWRIGHT_DATA", str(tmp_path / "data"))
    sheet = str(tmp_path / "stock.xlsx")
    assert "invented stock of the demo" in run("stock", "export", sheet).stdout
    assert "Nothing is kept yet" in run("stock", "import", sheet).stdout
    assert "invented one of the demo" in run("stock", "show").stdout
    assert "The sound rows are kept." in run("stock", "import", sheet, "--apply").stdout
    assert len(json.loads(run("stock", "show", "--json").stdout)) == len(demo_shelf().parts)
    prices = tmp_path / "prices.csv"
    prices.write_text("code;price\nCB-101;twelve\n", encoding="utf-8")
    told = run("stock", "import", str(prices))
    assert told.returncode == 1
    assert "row 2" in told.stdout
    assert run("stock", "import", str(prices), "--remove-missing").returncode == 2
    missing = run("stock", "import", str(tmp_path / "none.csv"))
    assert (missing.returncode, "cannot be read" in missing.stderr) == (1, True)


def test_a_workbook_says_rows_as_the_spreadsheet_numbers_them(shop):
    preview = case.preview_import(shop, xlsx_of([["code", "price"], [None, None], ["F-1", "dear"]]), "a.xlsx")
    assert list(faults(preview)) == [(3, "price")]
