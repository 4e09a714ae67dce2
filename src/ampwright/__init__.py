"""
The charging-system workbench for old motorcycles: from what an owner can see and measure to what suits, and why.

Everything that the command line and the page do is here as a function; docs/library.md shows it at work. A name is
looked up when it is first used, so that importing the package costs nothing.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ampwright.desk.cases.answer import Answer as Answer
    from ampwright.desk.cases.answer import answer_job as answer_job
    from ampwright.desk.cases.balance import balance_job as balance_job
    from ampwright.desk.cases.balance import balance_picture as balance_picture
    from ampwright.desk.cases.balance import balance_svg as balance_svg
    from ampwright.desk.cases.bill import bill_job as bill_job
    from ampwright.desk.cases.blanks import loads_from as loads_from
    from ampwright.desk.cases.blanks import readings_from as readings_from
    from ampwright.desk.cases.blanks import ride_from as ride_from
    from ampwright.desk.cases.charts import wave_view as wave_view
    from ampwright.desk.cases.circuit import solve_circuits as solve_circuits
    from ampwright.desk.cases.details import labour as labour
    from ampwright.desk.cases.details import set_shop_details as set_shop_details
    from ampwright.desk.cases.details import set_shop_labour as set_shop_labour
    from ampwright.desk.cases.details import set_shop_logo as set_shop_logo
    from ampwright.desk.cases.details import shop_details as shop_details
    from ampwright.desk.cases.details import shop_labour as shop_labour
    from ampwright.desk.cases.details import shop_logo as shop_logo
    from ampwright.desk.cases.edit import add_fitted as add_fitted
    from ampwright.desk.cases.edit import read_volts as read_volts
    from ampwright.desk.cases.edit import set_key as set_key
    from ampwright.desk.cases.edit import take_back as take_back
    from ampwright.desk.cases.fit import fit_job as fit_job
    from ampwright.desk.cases.fit import fit_picture as fit_picture
    from ampwright.desk.cases.fit import fit_svg as fit_svg
    from ampwright.desk.cases.heat_map import heat_map_job as heat_map_job
    from ampwright.desk.cases.identify import identify_job as identify_job
    from ampwright.desk.cases.job_files import papers_of as papers_of
    from ampwright.desk.cases.job_files import parts_of as parts_of
    from ampwright.desk.cases.job_wave import job_wave as job_wave
    from ampwright.desk.cases.jobs import demo_document as demo_document
    from ampwright.desk.cases.jobs import demo_names as demo_names
    from ampwright.desk.cases.jobs import everyday_cautions as everyday_cautions
    from ampwright.desk.cases.jobs import job_in as job_in
    from ampwright.desk.cases.jobs import open_demo as open_demo
    from ampwright.desk.cases.jobs import open_job as open_job
    from ampwright.desk.cases.jobs import open_stock as open_stock
    from ampwright.desk.cases.kept_answers import answer_kept as answer_kept
    from ampwright.desk.cases.kept_answers import kept_balance_svg as kept_balance_svg
    from ampwright.desk.cases.kept_answers import kept_wave_svg as kept_wave_svg
    from ampwright.desk.cases.kept_answers import plain_kept as plain_kept
    from ampwright.desk.cases.kept_jobs import Caller as Caller
    from ampwright.desk.cases.kept_jobs import ChangedElsewhere as ChangedElsewhere
    from ampwright.desk.cases.kept_jobs import KeptJob as KeptJob
    from ampwright.desk.cases.kept_jobs import NotKept as NotKept
    from ampwright.desk.cases.kept_jobs import accept as accept
    from ampwright.desk.cases.kept_jobs import archive as archive
    from ampwright.desk.cases.kept_jobs import backup as backup
    from ampwright.desk.cases.kept_jobs import backup_bytes as backup_bytes
    from ampwright.desk.cases.kept_jobs import change as change
    from ampwright.desk.cases.kept_jobs import copy_job as copy_job
    from ampwright.desk.cases.kept_jobs import delete_due as delete_due
    from ampwright.desk.cases.kept_jobs import delete_job as delete_job
    from ampwright.desk.cases.kept_jobs import document_at as document_at
    from ampwright.desk.cases.kept_jobs import erase_names as erase_names
    from ampwright.desk.cases.kept_jobs import erasure_of as erasure_of
    from ampwright.desk.cases.kept_jobs import export_everything as export_everything
    from ampwright.desk.cases.kept_jobs import find_jobs as find_jobs
    from ampwright.desk.cases.kept_jobs import history as history
    from ampwright.desk.cases.kept_jobs import keep_beside as keep_beside
    from ampwright.desk.cases.kept_jobs import list_jobs as list_jobs
    from ampwright.desk.cases.kept_jobs import mark_done as mark_done
    from ampwright.desk.cases.kept_jobs import new_job as new_job
    from ampwright.desk.cases.kept_jobs import open_kept as open_kept
    from ampwright.desk.cases.kept_jobs import park as park
    from ampwright.desk.cases.kept_jobs import put_document as put_document
    from ampwright.desk.cases.kept_jobs import recent_jobs as recent_jobs
    from ampwright.desk.cases.kept_jobs import redo as redo
    from ampwright.desk.cases.kept_jobs import reopen as reopen
    from ampwright.desk.cases.kept_jobs import restore as restore
    from ampwright.desk.cases.kept_jobs import restore_backup as restore_backup
    from ampwright.desk.cases.kept_jobs import say as say
    from ampwright.desk.cases.kept_jobs import set_caller as set_caller
    from ampwright.desk.cases.kept_jobs import set_delete_after as set_delete_after
    from ampwright.desk.cases.kept_jobs import undo as undo
    from ampwright.desk.cases.kept_jobs import wait_for as wait_for
    from ampwright.desk.cases.kept_jobs import waiting_jobs as waiting_jobs
    from ampwright.desk.cases.kept_stock import add_part as add_part
    from ampwright.desk.cases.kept_stock import apply_import as apply_import
    from ampwright.desk.cases.kept_stock import change_part as change_part
    from ampwright.desk.cases.kept_stock import part_document as part_document
    from ampwright.desk.cases.kept_stock import preview_import as preview_import
    from ampwright.desk.cases.kept_stock import remove_part as remove_part
    from ampwright.desk.cases.kept_stock import save_part as save_part
    from ampwright.desk.cases.kept_stock import set_stock_currency as set_stock_currency
    from ampwright.desk.cases.kept_stock import shelf as shelf
    from ampwright.desk.cases.kept_stock import start_from_demo as start_from_demo
    from ampwright.desk.cases.kept_stock import stock_file as stock_file
    from ampwright.desk.cases.kept_stock import stock_table as stock_table
    from ampwright.desk.cases.kick import kick_in as kick_in
    from ampwright.desk.cases.kit import kit_job as kit_job
    from ampwright.desk.cases.listen import listen as listen
    from ampwright.desk.cases.lists import job_list as job_list
    from ampwright.desk.cases.loom_answers import drawing_of as drawing_of
    from ampwright.desk.cases.loom_answers import plan_answer as plan_answer
    from ampwright.desk.cases.loom_answers import plan_job as plan_job
    from ampwright.desk.cases.loom_answers import wire_answer as wire_answer
    from ampwright.desk.cases.loom_answers import wire_job as wire_job
    from ampwright.desk.cases.loom_blanks import put_wiring as put_wiring
    from ampwright.desk.cases.loom_blanks import take_wire_out as take_wire_out
    from ampwright.desk.cases.loom_blanks import wiring_typed_from as wiring_typed_from
    from ampwright.desk.cases.loom_files import cut_text as cut_text
    from ampwright.desk.cases.loom_files import from_to_text as from_to_text
    from ampwright.desk.cases.loom_files import loom_in as loom_in
    from ampwright.desk.cases.loom_files import spice_text as spice_text
    from ampwright.desk.cases.loom_section import usual_loom_of as usual_loom_of
    from ampwright.desk.cases.loom_view import bill_view as bill_view
    from ampwright.desk.cases.loom_view import change_view as change_view
    from ampwright.desk.cases.loom_view import drawing_svg as drawing_svg
    from ampwright.desk.cases.loom_view import wiring_view as wiring_view
    from ampwright.desk.cases.loom_work import Asked as Asked
    from ampwright.desk.cases.loom_work import loom_work as loom_work
    from ampwright.desk.cases.page import job_page as job_page
    from ampwright.desk.cases.page import parts_page as parts_page
    from ampwright.desk.cases.pairs import pairs_answer as pairs_answer
    from ampwright.desk.cases.pairs_told import PairsAsked as PairsAsked
    from ampwright.desk.cases.pairs_told import pairs_asked as pairs_asked
    from ampwright.desk.cases.papers import papers as papers
    from ampwright.desk.cases.photos import add_photo as add_photo
    from ampwright.desk.cases.photos import photo_data as photo_data
    from ampwright.desk.cases.photos import photos_of as photos_of
    from ampwright.desk.cases.photos import remove_photo as remove_photo
    from ampwright.desk.cases.plain import as_json as as_json
    from ampwright.desk.cases.plain import plain as plain
    from ampwright.desk.cases.prove import prove_job as prove_job
    from ampwright.desk.cases.ride import ride_answer as ride_answer
    from ampwright.desk.cases.ride import ride_job as ride_job
    from ampwright.desk.cases.ride import ride_work as ride_work
    from ampwright.desk.cases.ride_blanks import put_ride as put_ride
    from ampwright.desk.cases.ride_blanks import ride_typed_from as ride_typed_from
    from ampwright.desk.cases.ride_blanks import take_ride_out as take_ride_out
    from ampwright.desk.cases.ride_charts import heat_picture as heat_picture
    from ampwright.desk.cases.ride_charts import heat_svg as heat_svg
    from ampwright.desk.cases.ride_charts import ride_picture as ride_picture
    from ampwright.desk.cases.ride_charts import ride_svg as ride_svg
    from ampwright.desk.cases.ride_setup import box_of as box_of
    from ampwright.desk.cases.ride_told import recorded_from as recorded_from
    from ampwright.desk.cases.ride_told import recorded_in as recorded_in
    from ampwright.desk.cases.ride_told import recorded_ride as recorded_ride
    from ampwright.desk.cases.ride_told import rides_in as rides_in
    from ampwright.desk.cases.ride_told import told_ride as told_ride
    from ampwright.desk.cases.ride_told import with_rides as with_rides
    from ampwright.desk.cases.ride_view import heat_view as heat_view
    from ampwright.desk.cases.ride_view import ride_view as ride_view
    from ampwright.desk.cases.ride_view import roadside_view as roadside_view
    from ampwright.desk.cases.ride_view import what_if_view as what_if_view
    from ampwright.desk.cases.roadside import roadside_job as roadside_job
    from ampwright.desk.cases.shop import Shop as Shop
    from ampwright.desk.cases.shop import open_shop as open_shop
    from ampwright.desk.cases.suit import ask_job as ask_job
    from ampwright.desk.cases.suit import suit_job as suit_job
    from ampwright.desk.cases.trace import trace_job as trace_job
    from ampwright.desk.cases.triage import triage_job as triage_job
    from ampwright.desk.cases.wave import wave_in as wave_in
    from ampwright.desk.cases.what_if import what_if_job as what_if_job
    from ampwright.desk.cases.workup import work_up as work_up
    from ampwright.errors import AmpwrightError as AmpwrightError
    from ampwright.errors import BadReading as BadReading
    from ampwright.errors import BadRecord as BadRecord
    from ampwright.errors import OutsideModel as OutsideModel


__version__ = "0.1.0"

# Where each name is at home; the block above says the same to a type checker, and a test holds the two together.
_HOMES = {
    "desk.cases.answer": "Answer answer_job",
    "desk.cases.balance": "balance_job balance_picture balance_svg",
    "desk.cases.bill": "bill_job",
    "desk.cases.blanks": "loads_from readings_from ride_from",
    "desk.cases.charts": "wave_view",
    "desk.cases.circuit": "solve_circuits",
    "desk.cases.details": "labour set_shop_details set_shop_labour set_shop_logo shop_details shop_labour shop_logo",
    "desk.cases.edit": "add_fitted read_volts set_key take_back",
    "desk.cases.fit": "fit_job fit_picture fit_svg",
    "desk.cases.heat_map": "heat_map_job",
    "desk.cases.identify": "identify_job",
    "desk.cases.job_files": "papers_of parts_of",
    "desk.cases.job_wave": "job_wave",
    "desk.cases.jobs": "demo_document demo_names everyday_cautions job_in open_demo open_job open_stock",
    "desk.cases.kept_answers": "answer_kept kept_balance_svg kept_wave_svg plain_kept",
    "desk.cases.kept_jobs": (
        "Caller ChangedElsewhere KeptJob NotKept accept archive backup backup_bytes change copy_job "
        "delete_due delete_job document_at erase_names erasure_of export_everything find_jobs history "
        "keep_beside list_jobs "
        "mark_done new_job open_kept park put_document recent_jobs redo reopen restore restore_backup say "
        "set_caller set_delete_after undo wait_for waiting_jobs"
    ),
    "desk.cases.kept_stock": (
        "add_part apply_import change_part part_document preview_import remove_part save_part set_stock_currency shelf "
        "start_from_demo stock_file stock_table"
    ),
    "desk.cases.kick": "kick_in",
    "desk.cases.kit": "kit_job",
    "desk.cases.listen": "listen",
    "desk.cases.lists": "job_list",
    "desk.cases.loom_answers": "drawing_of plan_answer plan_job wire_answer wire_job",
    "desk.cases.loom_blanks": "put_wiring take_wire_out wiring_typed_from",
    "desk.cases.loom_files": "cut_text from_to_text loom_in spice_text",
    "desk.cases.loom_section": "usual_loom_of",
    "desk.cases.loom_view": "bill_view change_view drawing_svg wiring_view",
    "desk.cases.loom_work": "Asked loom_work",
    "desk.cases.page": "job_page parts_page",
    "desk.cases.pairs": "pairs_answer",
    "desk.cases.pairs_told": "PairsAsked pairs_asked",
    "desk.cases.papers": "papers",
    "desk.cases.photos": "add_photo photo_data photos_of remove_photo",
    "desk.cases.plain": "as_json plain",
    "desk.cases.prove": "prove_job",
    "desk.cases.ride": "ride_answer ride_job ride_work",
    "desk.cases.ride_blanks": "put_ride ride_typed_from take_ride_out",
    "desk.cases.ride_charts": "heat_picture heat_svg ride_picture ride_svg",
    "desk.cases.ride_setup": "box_of",
    "desk.cases.ride_told": "recorded_from recorded_in recorded_ride rides_in told_ride with_rides",
    "desk.cases.ride_view": "heat_view ride_view roadside_view what_if_view",
    "desk.cases.roadside": "roadside_job",
    "desk.cases.shop": "Shop open_shop",
    "desk.cases.suit": "ask_job suit_job",
    "desk.cases.trace": "trace_job",
    "desk.cases.triage": "triage_job",
    "desk.cases.wave": "wave_in",
    "desk.cases.what_if": "what_if_job",
    "desk.cases.workup": "work_up",
    "errors": "AmpwrightError BadReading BadRecord OutsideModel",
}
_HOME_OF = {name: home for home, names in _HOMES.items() for name in names.split()}

__all__ = ["__version__", *_HOME_OF]


def __getattr__(name: str) -> Any:
    """A public name, from where it is at home."""
    home = _HOME_OF.get(name)
    if home is None:
        raise AttributeError(f"ampwright has no {name!r}; dir(ampwright) lists what it has")
    found = getattr(import_module(f"ampwright.{home}"), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
