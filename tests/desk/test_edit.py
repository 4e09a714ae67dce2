"""Small changes of a job's document at the counter."""

from copy import deepcopy

import pytest

from ampwright.bike.job import job_from
from ampwright.desk.cases import blanks, edit
from ampwright.desk.cases.five_boxes import FIVE_SLOTS
from ampwright.desk.cases.jobs import demo_document
from ampwright.desk.cases.listen import listen
from ampwright.errors import BadReading, BadRecord

EMPTY = {"format": 1, "number": "101"}


def answers(document, kind):
    """Answer and source of every finding of a kind."""
    return [(found["answer"], found["source"]) for found in document.get("findings", ()) if found["what"] == kind]


def test_who_is_asked_twice_answered_anew_and_another_source_stays_beside():
    told = edit.say(EMPTY, "thick_wires=2@memory")
    again = edit.say(told, "thick_wires=3@memory")
    # the rule: one answer a source
    assert answers(again, "thick_wires") == [(3, "told from memory")]
    seen = edit.say(again, "thick_wires=2@photo")
    assert answers(seen, "thick_wires") == [(3, "told from memory"), (2, "photo")]


def test_readings_at_other_speeds_stand_beside_each_other():
    document = edit.say(EMPTY, "battery_volts=12.7 at rest@measured")
    document = edit.say(document, "battery_volts=14.1 fast lights off@measured")
    document = edit.say(document, "battery_volts=14.3 fast lights off@measured")
    # the rule: the same place read again gives way, another place stays
    assert [found["answer"] for found in document["findings"]] == [12.7, 14.3]


def test_dont_know_takes_the_place_of_nothing_and_an_answer_lifts_it():
    document = edit.say(EMPTY, "coils=?")
    assert document["cannot_say"] == ["coils"]
    assert "cannot_say" not in edit.say(document, "coils=6@photo")


def test_every_change_leaves_the_document_it_was_given_as_it_is():
    document = demo_document("two-wires-unmarked")
    before = deepcopy(document)
    edit.say(document, "thick_wires=3@photo")
    edit.take_back(document, edit.key_of(document["findings"][0]))
    edit.set_key(document, "riding", None)
    edit.add_fitted(document, {"kind": "ammeter", "source": "photo"})
    edit.read_volts(document, blanks.readings_from({"volts:at_rest": "12.6"}))
    assert document == before


def test_a_finding_is_taken_back_by_what_it_says_wherever_it_stands():
    document = demo_document("two-wires-unmarked")
    key = edit.key_of(document["findings"][1])
    shuffled = document | {"findings": document["findings"][::-1]}
    kinds = [found["what"] for found in edit.take_back(shuffled, key)["findings"]]
    assert kinds == [found["what"] for found in document["findings"][::-1] if found["what"] != "thick_wires"]


def test_what_was_said_yes_to_stands_in_a_sound_job():
    heard = listen("two wires, twelve volt, plus to the frame")
    document = edit.accept(EMPTY, heard, {offered.number for offered in heard.proposals})
    assert {found["what"] for found in job_from(document, "x").model_dump()["findings"]} >= {
        "thick_wires",
        "frame_post",
    }


def test_five_blanks_become_five_places_and_what_is_said_beside_holds_for_all():
    read = blanks.readings_from(
        {
            "volts:at_rest": "12,7",
            "volts:fast_lights_on": "13.6 V",
            "doing_it_now": "yes",
            "noisy": "yes",
            "meter": " old ",
        }
    )
    document = edit.read_volts(EMPTY, read)
    job = job_from(document, "x")
    assert [(found.answer, found.speed, found.lights) for found in job.findings] == [
        (12.7, "engine off", None),
        (13.6, "fast", "on"),
    ]
    assert all(found.doing_it_now and found.meter == "old" for found in job.findings)
    # the rule: with the engine off no ignition makes a meter jump
    assert [bool(found.does_not_count) for found in job.findings] == [False, True]


def test_every_blank_that_cannot_be_read_is_told_at_once():
    with pytest.raises(BadRecord) as fault:
        blanks.readings_from({"volts:at_rest": "twelve", "volts:fast_lights_on": "13.6 A"})
    assert [one.field for one in fault.value.faults] == ["at rest", "about 3000 rpm, lights on"]
    with pytest.raises(BadReading, match="No reading was filled in"):
        blanks.readings_from({"volts:at_rest": " "})


def posted(*figures, was=(), **more):
    """The readings of a posted page: what is in its boxes, and the findings that it was rendered with."""
    boxes = {f"volts:{box.key}": text for box, text in zip(FIVE_SLOTS, figures, strict=False) if text is not None}
    return blanks.readings_from(boxes | {f"was:{box}": typed for box, typed in dict(was).items()} | more)


def read_at(document):
    """Volts, meter faults and sources of the readings at the battery."""
    found = job_from(document, "x").findings
    return [(one.answer, bool(one.meter_faults), one.source.value) for one in found]


STOPPED = edit.say(EMPTY, "battery_volts=16.2 fast lights off@measured")
WAS_STOPPED = {"fast_lights_off": "battery_volts=16.2 fast lights off@measured"}


def test_a_noisy_reading_leaves_what_stood_before_as_it_was():
    read = posted("", "", "12.9", "16.2", was=WAS_STOPPED, noisy="yes", doing_it_now="no", meter="cheap")
    # the rule: what is said of the meter belongs to what was read with it
    assert read_at(edit.read_volts(STOPPED, read)) == [(16.2, False, "measured"), (12.9, True, "measured")]
    assert edit.read_volts(STOPPED, read)["findings"][0] == STOPPED["findings"][0]


def test_a_noisy_figure_never_takes_the_place_of_a_sound_one():
    read = posted(None, None, None, "14.2", was=WAS_STOPPED, noisy="yes")
    # the rule: a meter that reads nonsense excuses no volts that a sound one read
    assert read_at(edit.read_volts(STOPPED, read)) == [(16.2, False, "measured"), (14.2, True, "measured")]
    sound = posted(None, None, None, "14.2", was=WAS_STOPPED)
    assert read_at(edit.read_volts(STOPPED, sound)) == [(14.2, False, "measured")]


def test_a_box_that_was_emptied_takes_back_its_own_reading_and_no_other():
    document = edit.say_all(EMPTY, ["battery_volts=12.7 at rest@memory", "battery_volts=12.6 at rest@measured"])
    document = edit.say(document, "battery_volts=14.1 fast lights off@measured")
    was = {"at_rest": "battery_volts=12.6 at rest@measured"}
    read = posted(" ", "", "", "14,1", was=was | {"fast_lights_off": "battery_volts=14.1 fast lights off@measured"})
    left = edit.read_volts(document, read)
    assert read_at(left) == [(12.7, False, "told from memory"), (14.1, False, "measured")]
    assert read.in_words.startswith("taken back")


def test_what_was_told_from_memory_is_never_measured_by_judging_something_else():
    document = edit.say(EMPTY, "battery_volts=12.7 at rest@memory")
    read = posted("12.7", "12.2", was={"at_rest": "battery_volts=12.7 at rest@memory"})
    assert read_at(edit.read_volts(document, read)) == [(12.7, False, "told from memory"), (12.2, False, "measured")]
    with pytest.raises(BadReading, match="No reading was filled in"):
        posted("12,70", was={"at_rest": "battery_volts=12.7 at rest@memory"}, noisy="yes")


@pytest.mark.parametrize("was", ["thick_wires=2@memory", "battery_volts=12.7 fast@measured", "x", "battery_volts=@y"])
def test_what_a_box_showed_and_came_back_damaged_is_refused_with_a_sentence(was):
    with pytest.raises(BadRecord, match="damaged"):
        posted("12.7", was={"at_rest": was})


def test_a_reading_that_was_taken_once_more_stands_beside_the_first():
    over = edit.say(EMPTY, "battery_volts=15.3 fast lights off@measured")
    for figure in ("15.3", "14.2"):
        twice = edit.read_volts(over, blanks.readings_from({"volts:read_again": figure}))
        assert read_at(twice) == [(15.3, False, "measured"), (float(figure), False, "measured")]
        assert twice["findings"][1]["note"] == "read again"
    # by hand: put right in its box, it is still the one that was taken once more
    was = {"fast_lights_off": "battery_volts=14.2 fast lights off@measured"}
    mended = edit.read_volts(twice, posted(None, None, None, "14.3", was=was))
    assert mended["findings"][1] == twice["findings"][1] | {"answer": 14.3}


def test_how_it_is_ridden_is_read_from_its_blanks():
    told = {"usual_low_rpm": "2000", "usual_high_rpm": "3500", "gearing": "15,7", "gearing_unit": "km/h"}
    assert blanks.ride_from(told) == {
        "riding": {"usual_low_rpm": 2000.0, "usual_high_rpm": 3500.0},
        "gearing": {"km_h_per_1000_rpm": 15.7},
    }
    assert blanks.ride_from({}) == {"riding": None, "gearing": None}
    with pytest.raises(BadRecord) as fault:
        blanks.ride_from({"usual_low_rpm": "fast", "gearing": "x", "gearing_unit": "knots"})
    assert [one.field for one in fault.value.faults] == ["usual_low_rpm", "gearing", "gearing_unit"]


def test_lamps_come_back_as_they_were_handed_out_and_new_ones_are_for_the_bikes_voltage():
    rows = [
        {
            "name": "headlamp",
            "kind": "filament",
            "figure": "35",
            "when": "lights on",
            "kept": '{"rated_V": 12.0, "duty": 1.0}',
        },
        {"name": "coil", "kind": "points coil", "figure": "3.5", "when": "always", "kept": POINTS},
        {"name": "grips", "kind": "resistance", "figure": "30", "when": "always", "kept": "{}"},
        {"name": "horn", "kind": "filament", "figure": "5", "when": "", "kept": "{}"},
        {"name": "", "kind": "filament", "figure": "", "when": "lights on", "kept": "{}"},
    ]
    loads = job_from(EMPTY | {"loads": blanks.loads_from(rows, 6)}, "x").loads
    # the rule: a line taken off or left empty is gone, a new lamp is for the battery's volts
    assert [(load.name, load.when) for load in loads] == [
        ("headlamp", "lights on"),
        ("coil", "always"),
        ("grips", "always"),
    ]
    assert (loads[0].rated_V, loads[1].inductance_H, loads[2].rated_V) == (12.0, 0.008, 6.0)


POINTS = '{"inductance_H": 0.008, "dwell": 0.5, "sparks_per_rev": 1.0, "coils": 1, "duty": 1.0}'


def test_lines_that_cannot_be_read_are_told_by_their_number():
    rows = [
        {"name": "", "kind": "filament", "figure": "35", "when": "always", "kept": "{}"},
        {"name": "x", "kind": "candle", "figure": "1", "when": "always", "kept": "{}"},
        {"name": "y", "kind": "LED", "figure": "", "when": "always", "kept": "[1]"},
    ]
    with pytest.raises(BadRecord) as fault:
        blanks.loads_from(rows, 12)
    assert [one.field for one in fault.value.faults] == ["line 1", "line 2", "line 3", "line 3"]
