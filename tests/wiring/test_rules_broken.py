"""Sound looms with one thing changed: what a mechanic is told, on either earth, and that every rule is broken once."""

import broken_earth_fuse
import broken_polarity_charge
import pytest
from broken_looms import mirrored

from ampwright.wiring.rules import RULES, check

BROKEN = broken_earth_fuse.BROKEN + broken_polarity_charge.BROKEN


@pytest.mark.parametrize(
    ("key", "how", "loom", "severity", "sentence"), BROKEN, ids=[f"{row[0]}, {row[1]}" for row in BROKEN]
)
def test_a_loom_with_one_thing_wrong_is_told_what_to_change(key, how, loom, severity, sentence):
    # by reading: the sentence names parts and wires as they are in this loom, what is wrong, and what to change.
    found = [fault for fault in check(loom) if fault.rule == key]
    assert (severity, sentence) in [(fault.severity, fault.sentence) for fault in found]


@pytest.mark.parametrize("loom", [row[2] for row in BROKEN if row[1] != "shell is minus"])
def test_the_other_earth_gives_the_same_faults(loom):
    def told(loom):
        return sorted((fault.rule, fault.severity, fault.wires, fault.components) for fault in check(loom))

    assert told(mirrored(loom)) == told(loom)


@pytest.mark.parametrize("key", RULES)
def test_every_rule_has_a_loom_that_breaks_it(key):
    assert any(row[0] == key for row in BROKEN)
