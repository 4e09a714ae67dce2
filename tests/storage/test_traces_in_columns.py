"""Recorded rides in columns: headings that decide, rows as programs write them, and rows that are none."""

import numpy as np
import pytest
from recorded_rides import csv_of, faults_of, minute

from ampwright.storage.traces import trace_in


@pytest.mark.parametrize(
    ("heading", "speed", "m_s"),
    [
        ("time_s,speed_m_s", 10.0, 10.0),
        # by definition: 36 km/h are 10 m/s, and 1 mph 0.44704 m/s, to the centimetre that is kept
        ("time_s,speed_km_h", 36.0, 10.0),
        ("time_s,speed_mph", 25.0, 11.18),
        (" Time_s , Speed_MPH ", 25.0, 11.18),
        ('"time_s","speed_mph"', 25.0, 11.18),
    ],
)
def test_the_heading_says_in_what_the_speed_is(heading, speed, m_s):
    found = trace_in(csv_of(heading, minute(speed)), "ride.csv")
    assert found.speed_m_s == pytest.approx(np.full(61, m_s), abs=1e-9)
    assert found.notes == ()


@pytest.mark.parametrize("code", ["utf-8", "utf-8-sig"])
@pytest.mark.parametrize(("separator", "point_sign"), [(",", "."), (";", ","), (";", "."), ("\t", ",")])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_semicolons_decimal_commas_and_a_byte_order_mark_are_taken(code, separator, point_sign, end):
    rows = [(f"{second}.0".replace(".", point_sign), "12.5".replace(".", point_sign)) for second in range(61)]
    data = csv_of(f"time_s{separator}speed_m_s", rows, separator).decode().replace("\n", end).encode(code)
    # by hand
    assert trace_in(data, "ride.csv").speed_m_s.tolist() == [12.5] * 61


def test_other_columns_and_blank_rows_are_passed_over():
    rows = [("51.0", second, "-1.0", 10) for second in range(61)]
    rows.insert(30, ("", "", "", ""))
    found = trace_in(csv_of("lat,time_s,lon,speed_m_s", rows), "ride.csv")
    assert found.speed_m_s.tolist() == [10.0] * 61
    assert found.notes == ("2 other columns were not read.",)


def test_rows_at_odd_times_become_one_a_second():
    rows = [(100.0, 0), (100.5, 1), (102.5, 5), (102.5, 6), (140, 5)]
    found = trace_in(csv_of("time_s,speed_m_s", rows), "ride.csv")
    # by hand: straight lines; the second row of one time is left out
    assert found.speed_m_s[:4].tolist() == [0.0, 2.0, 4.0, 5.0]
    assert found.time_s[-1] == 40.0
    assert found.notes == ("1 rows of a time that was there already are left out.",)


@pytest.mark.parametrize(
    ("heading", "words"),
    [
        ("time,speed", ["no column is headed time_s", "no column is headed as a speed"]),
        ("0,10", ["no column is headed time_s", "no column is headed as a speed"]),
        ("time_s,speed", ["no column is headed as a speed"]),
        ("time_s,speed_mph,speed_m_s", ["speed stands in 2 columns"]),
        ("time_s,time_s,speed_m_s", ["2 columns are headed time_s"]),
        ('""', ["no column is headed time_s", "no column is headed as a speed"]),
    ],
)
def test_a_heading_that_does_not_decide_is_asked_about(heading, words):
    faults = faults_of(csv_of(heading, [(second, 10, 10) for second in range(61)]), "ride.csv")
    assert len(faults) == len(words)
    for fault, word in zip(faults, words, strict=True):
        assert fault.startswith(f"the heading: {word}")
        assert "Head one column time_s and one speed_m_s, speed_km_h or speed_mph." in fault


def test_every_wrong_row_is_told_at_once():
    rows = minute()
    rows[1], rows[3], rows[5], rows[7] = (1, "fast"), (2.5, 10), (5, -1), (7, 71)
    rows[9] = (9, "1.234,5")
    faults = faults_of(csv_of("time_s,speed_m_s", rows), "ride.csv")
    # by hand: row n stands in line n + 2; a row that is no number is told before what the others say together
    assert [fault.partition(":")[0] for fault in faults] == [f"line {n}" for n in (3, 11, 7, 9)]
    rows[3] = (1.5, 10)
    assert "time runs backwards, from 2 to 1.5 s" in " ".join(faults_of(csv_of("time_s,speed_m_s", rows), "ride.csv"))


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("30,5,12,5", "has 4 cells under 2 headings. With decimal commas, put semicolons"),
        ("30", "has 1 cells under 2 headings"),
        ("30,", "'' is no number"),
        ("30,nan", "'nan' is no number"),
        ("30,1e999", "'1e999' is no number"),
        ("30,0x10", "'0x10' is no number"),
        ("00:30,5", "'00:30' is no number"),
        ("30," + "9" * 100, "999...' is no number"),
        ("30,1e90", "the speed is 1e+90 m/s; from 0 to 70 m/s can be right"),
    ],
)
def test_a_row_that_is_none_is_told_with_its_line(row, words):
    data = csv_of("time_s,speed_m_s", minute()[:30]) + f"\n{row}\n".encode()
    faults = faults_of(data, "ride.csv")
    # by hand: a heading and 30 rows stand before it
    assert faults[0].startswith("line 32: ")
    assert words in faults[0]


def test_a_ride_in_columns_is_as_long_as_a_ride_can_be():
    assert "covers 29 s" in faults_of(csv_of("time_s,speed_m_s", minute()[:30]), "ride.csv")[0]
    assert "covers 25.0 h" in faults_of(csv_of("time_s,speed_m_s", [(0, 1), (90_000, 1)]), "ride.csv")[0]
    assert "under two rows" in faults_of(b"time_s,speed_m_s\n", "ride.csv")[0]


def test_a_cell_without_end_is_no_csv():
    data = csv_of("time_s,speed_m_s", minute()) + b'\n"' + b"9" * 200_000
    assert "is no CSV" in faults_of(data, "ride.csv")[0]
