"""Typed quantities: a closed list of units, and a question where there are two readings."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ampwright.bike.quantity import quantities_in, read_quantity
from ampwright.errors import BadReading


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("14.2 V", "V", 14.2),
        ("14,2 V", "V", 14.2),
        ("14.2", "V", 14.2),
        ("1,200 rpm", "rpm", 1200.0),
        ("300 mV", "V", 0.3),
        ("0.6 Ω", "ohm", 0.6),
        ("50 hz", "Hz", 50.0),
        (" 9 Ah ", "Ah", 9.0),
    ],
)
def test_a_quantity_is_read(text, unit, value):
    assert read_quantity(text, unit) == pytest.approx(value)


@pytest.mark.parametrize(
    "text", ["12V 10A", "thirty", "14.2 A", "1.234,5 V", "14.2 MV", "14.2 furlongs", "", "V", "35/35 W"]
)
def test_what_is_not_one_plain_quantity_is_asked_about(text):
    with pytest.raises(BadReading, match=r"\. "):
        read_quantity(text, "V")


def test_a_reading_in_the_wrong_unit_says_which():
    with pytest.raises(BadReading) as caught:
        read_quantity("8 A", "V")
    assert str(caught.value) == "'8 A' is in A, wanted is V. Check which reading this is."


def test_a_marking_with_two_figures_of_one_unit_is_asked_about():
    with pytest.raises(BadReading, match="two figures in A"):
        quantities_in("10A 12A")


@given(st.text(max_size=30))
def test_any_text_is_read_or_asked_about(text):
    try:
        value = read_quantity(text, "V")
    except BadReading:
        return
    assert isinstance(value, float)
