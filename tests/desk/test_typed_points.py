"""Test points, looks and symptoms as they are typed, and as a job keeps them."""

import pytest
from bench_parts import DEMO
from shops import document, shop_in

from ampwright.bike.job import job_from
from ampwright.bike.test_point import OF_POINT, Point
from ampwright.desk.cases import kept_jobs
from ampwright.desk.cases.bill import based_on
from ampwright.desk.cases.edit import say, say_all
from ampwright.desk.cases.identify import identify_job
from ampwright.desk.cases.jobs import open_job
from ampwright.desk.cases.kept_jobs import ChangedElsewhere
from ampwright.desk.cases.sheet import choice_in_words
from ampwright.desk.cases.suit import suit_job
from ampwright.desk.cases.typed import add_typed
from ampwright.desk.cases.typed_points import SHORT_POINTS, points_by_name
from ampwright.desk.cases.workup import work_up
from ampwright.errors import BadReading, BadRecord
from ampwright.identify.explanation import answer_words, what_words
from ampwright.terms import Source


def typed(text: str) -> dict:
    document: dict = {}
    add_typed(document, text)
    return document["findings"][0]


def of_job(*texts: str):
    return open_job(None, texts).findings


def test_every_point_has_a_short_name_and_its_own_words() -> None:
    assert set(SHORT_POINTS.values()) == set(Point) == set(OF_POINT)
    assert all(points_by_name()[point.value.lower()] is point for point in Point)


@pytest.mark.parametrize(
    ("text", "figure"),
    [
        ("live_drop=0.35 fast lights on@measured", 0.35),
        ("live-side drop=0.35 fast lights on@measured", 0.35),
        # by hand: an amp is a thousand milliamps
        ("key_off=0.3 A@measured", 300.0),
        ("key_off=45 mA@measured", 45.0),
        ("key_off=45@measured", 45.0),
        ("shell=85 C fast@measured", 85.0),
        ("wire_to_engine=open@measured", 1e7),
        ("ripple=0,2 fast lights off@measured", 0.2),
    ],
)
def test_a_reading_at_a_point_is_kept_in_its_unit(text: str, figure: float) -> None:
    assert typed(text)["answer"] == [figure]


def test_speed_lights_and_what_it_does_stand_beside_a_reading() -> None:
    found = typed("box_volts=14.6 fast lights on not doing it now@measured")
    assert (found["speed"], found["lights"], found["doing_it_now"]) == ("fast", "on", False)


def test_a_look_and_a_symptom_are_there_unless_it_is_said_that_they_are_not() -> None:
    assert typed("look=plug pin brown or melted@looking")["answer"] == "yes"
    assert typed("look=plug pin brown or melted: no@looking")["answer"] == "no"
    assert typed("symptom=goes flat on night rides@memory")["answer"] == "yes"


def test_a_gauge_may_make_a_look_and_no_meter_shows_a_symptom() -> None:
    (look,) = of_job("look=plug pin brown or melted@measured")
    assert look.source is Source.MEASURED
    with pytest.raises(BadRecord, match="no meter shows this"):
        of_job("symptom=dim always@measured")


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("liv_drop=0.3@measured", "live_drop"),
        ("look=plug pin brown@looking", "plug pin brown or melted"),
        ("look=brown pin in the plug@looking", "plug pin brown or melted"),
        ("symptom=goes flat on night ride@memory", "goes flat on night rides"),
    ],
)
def test_what_is_misspelt_is_refused_with_what_was_meant(text: str, meant: str) -> None:
    with pytest.raises(BadReading, match=f"Did you mean .*{meant}"):
        typed(text)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("ripple=70 fast@measured", "no reading of ripple"),
        ("live_drop=0.3/0.2/0.1 fast@measured", "3 figures for live-side drop. Give one."),
        ("plug_volts=13/0 tick-over@measured", "2 figures for AC volts beyond the plug. Give one or three."),
        ("key_off=-3@measured", "milliamps are wanted"),
        ("shell=400 C fast@measured", "no reading of shell temperature"),
        ("cell_spread=nan@measured", "should be a finite number"),
        ("look=?@looking", "not in the list of looks. Choose from"),
        ("symptom=flies@memory", "not in the list of symptoms. Choose from"),
    ],
)
def test_what_no_meter_shows_there_is_refused(text: str, says: str) -> None:
    with pytest.raises((BadRecord, BadReading), match=says):
        of_job(text)


@pytest.mark.parametrize("answer", ["?", "don't know"])
def test_what_cannot_be_read_at_a_point_is_left_out(answer: str) -> None:
    with pytest.raises(BadReading, match="is left out"):
        typed(f"live_drop={answer}")


@pytest.mark.parametrize("point", Point)
def test_a_reading_in_the_wrong_state_of_the_engine_does_not_count(point: Point) -> None:
    name = next(short for short, named in SHORT_POINTS.items() if named is point)
    (running, still) = of_job(f"{name}=0.2 fast@measured", f"{name}=0.2 engine off@measured")
    # the law: what is driven by the turning engine is not there with it off, and a still reading is not there running
    assert bool(still.does_not_count) is OF_POINT[point].running is not bool(running.does_not_count)


def test_ripple_does_not_count_on_a_meter_that_shows_a_battery_as_alternating() -> None:
    finding = typed("ripple=0.3 fast@measured") | {"meter_faults": ["shows volts on the AC range on a battery"]}
    (found,) = job_from({"format": 1, "number": "T1", "findings": [finding]}, "test").findings
    assert "cannot read ripple" in found.does_not_count


def test_a_job_keeps_them_through_its_file(tmp_path) -> None:
    texts = ("plug_volts=13/0/0 tick-over@measured", "look=brushes worn or stuck@looking", "symptom=dim always@memory")
    job = open_job(None, texts)
    path = tmp_path / "job.json"
    path.write_text(job.model_dump_json(exclude_none=True), encoding="utf-8")
    assert open_job(str(path), ()).findings == job.findings


def test_they_are_read_aloud_with_their_point_and_how_they_were_read() -> None:
    told = of_job(
        "live_drop=0.35 fast lights on@measured",
        "wire_to_engine=open@measured",
        "shell=85 3000 rpm@measured",
        "look=brushes worn or stuck: no@looking",
        "symptom=dim always@memory",
    )
    # by hand
    assert [(what_words(one), answer_words(one)) for one in told] == [
        ("live-side drop", "0.35 V, fast, lights on"),
        ("ohms, wire to engine", "open"),
        ("shell temperature", "85 C, 3000 rpm"),
        ("brushes worn or stuck", "no"),
        ("dim always", "yes"),
    ]


#: Two test points, two looks and two symptoms.
OF_FAULTS = (
    "live_drop=0.35 fast lights on@measured",
    "box_volts=14.6 fast lights on@measured",
    "look=brushes worn or stuck@looking",
    "look=plug pin brown or melted: no@looking",
    "symptom=dim always@memory",
    "symptom=goes flat on night rides@memory",
)


def test_a_job_is_identified_as_without_them() -> None:
    told = ("position=case", "thick_wires=2@photo", "battery_voltage_V=12@looking", "frame_post=plus@photo")
    bare, with_them = (identify_job(open_job(None, texts)) for texts in (told, (*told, *OF_FAULTS)))
    # the rule: they tell what is wrong with a bike and not what it is
    assert with_them == bare


def test_nothing_is_sold_otherwise_for_a_look_or_a_symptom() -> None:
    told = ("position=case", "thick_wires=2@photo", "battery_voltage_V=12@looking", "frame_post=plus@photo")
    bare, with_them = (suit_job(open_job(None, texts), DEMO) for texts in (told, (*told, *OF_FAULTS[2:])))
    assert with_them == bare


def test_a_second_of_another_name_stands_beside_the_first_and_one_of_the_same_name_gives_way() -> None:
    document = say_all({}, (*OF_FAULTS, "live_drop=0.1 fast lights on@measured", "symptom=dim always: no@memory"))
    kept = [one.get("point") or one.get("look") or one.get("symptom") for one in document["findings"]]
    # by hand: six things, two of them told anew and so last
    assert kept == [
        "volts at the box",
        "brushes worn or stuck",
        "plug pin brown or melted",
        "goes flat on night rides",
        "live-side drop",
        "dim always",
    ]
    assert [one["answer"] for one in document["findings"][-2:]] == [[0.1], "no"]


def test_the_history_names_the_point() -> None:
    assert choice_in_words("live_drop=0.35 fast@measured") == "live-side drop: 0.35 fast (measured)"
    assert choice_in_words("symptom=dim always@memory") == "symptom: dim always (told from memory)"


def test_a_kept_job_lists_them_and_goes_back_and_forth_over_them(tmp_path) -> None:
    shop = shop_in(tmp_path / "data")
    job = kept_jobs.new_job(shop, document())
    for text in OF_FAULTS:
        job = kept_jobs.change(shop, job.number, job.revision, lambda held, text=text: say(held, text), text)
    whole = job.document
    # by hand: begun, and a state for each
    assert (job.revision, len(job.job.findings)) == (7, 6)
    based = based_on(work_up(job.job))
    assert based[0] == "live-side drop: 0.35 V, fast, lights on (measured)"
    back = kept_jobs.undo(shop, job.number, job.revision)
    assert back.document["findings"] == whole["findings"][:5]
    assert kept_jobs.redo(shop, job.number, back.revision).document == whole
    shop.close()


def test_two_pages_may_each_put_in_another_test_point(tmp_path) -> None:
    shop = shop_in(tmp_path / "data")
    job = kept_jobs.new_job(shop, document())
    kept_jobs.change(shop, job.number, 1, lambda held: say(held, OF_FAULTS[0]), "theirs")
    both = kept_jobs.change(shop, job.number, 1, lambda held: say(held, OF_FAULTS[1]), "mine")
    assert len(both.document["findings"]) == 2
    with pytest.raises(ChangedElsewhere) as caught:
        kept_jobs.change(shop, job.number, 1, lambda held: say(held, "live_drop=0.9 fast lights on"), "meets")
    assert caught.value.places == ("live-side drop",)
    shop.close()
