"""The solver of kits against trying every kit, on small problems drawn at random."""

import subprocess
import sys
from itertools import combinations
from zlib import crc32

import numpy as np
import pytest
from kits_tried import best_by_trying, every_kit

from ampwright.selection.kit_model import (
    BUDGET,
    CARRY,
    LATE,
    Option,
    Problem,
    Role,
    goes_together,
    is_different,
    marks_of,
    options_of,
    pence_of,
    reduced,
)
from ampwright.selection.kit_offers import Offers
from ampwright.selection.kit_solver import best_kits, cheapest
from ampwright.selection.kit_wishes import cannot_be_had_together, cheaper_but_hot, cost_of_each, why_fewer

WISHES = (CARRY, BUDGET, "looks", "in stock", "LED")
CASES = range(60)


def drawn(seed: int) -> Problem:
    """A problem of three to five roles with up to six options each."""
    chance = np.random.default_rng(seed)
    roles = []
    for number in range(chance.integers(3, 6)):
        options = [
            Option(
                name=f"{number}-{at}",
                pence=int(chance.integers(0, 30)) * 100,
                lamp_mA=int(chance.integers(0, 4)) * 1000 if number == 1 else 0,
                carries_mA=int(chance.integers(0, 5)) * 1000 if number == 0 else 0,
                late_mA=int(chance.integers(0, 8)) * 1000 if number == 0 else 0,
                misses=frozenset(wish for wish in WISHES[2:] if chance.random() < 0.4),
                is_bought=bool(number == 0 or chance.random() < 0.8),
                heats=f"kind {chance.integers(0, 3)}" if number != 1 else "",
            )
            for at in range(chance.integers(1, 7))
        ]
        roles.append(Role(f"role {number}", tuple(options), tells_apart=number != 2))
    goes = {
        (one, other): chance.random((len(roles[one].options), len(roles[other].options))) < 0.7
        for one, other in combinations(range(len(roles)), 2)
        if chance.random() < 0.7
    }
    return Problem(tuple(roles), goes, budget_pence=int(chance.integers(10, 90)) * 100)


def hot_of(problem: Problem, seed: int):
    """Half of all kinds of kits, by what bears on their heat, get too hot."""

    def is_hot(kit):
        named = [option.heats for option in options_of(problem, kit)]
        return crc32(f"{seed} {named}".encode()) % 2 == 0

    return is_hot


def are_the_best_of(kits, found, problem):
    """Whether each of these is the cheapest that differs from those before it, and there are no fewer than three."""
    for place in range(3):
        left = [pence_of(problem, kit) for kit in kits if is_different(problem, kit, found[:place])]
        if (len(found) > place) != bool(left) or (left and pence_of(problem, found[place]) != min(left)):
            return False
    return True


@pytest.mark.parametrize("seed", CASES)
def test_a_hot_kit_is_offered_only_where_no_cool_one_does_what_is_wanted(seed):
    problem = drawn(seed)
    is_hot = hot_of(problem, seed)
    for wishes in ((), WISHES[:3], WISHES):
        # other method: every kit is tried, and the heat of each is asked for
        kits = every_kit(problem, wishes)
        cool = [kit for kit in kits if not is_hot(kit)]
        late = [kit for kit in cool or kits if goes_together(problem, kit, (LATE,))]
        offer = Offers(problem, is_hot).best(wishes)
        if not kits:
            assert offer is None
            continue
        assert offer.cool == bool(cool)
        assert all(is_hot(kit) != offer.cool for kit in offer.kits)
        assert pence_of(problem, offer.kits[0]) == min(pence_of(problem, kit) for kit in cool or kits)
        assert are_the_best_of(late if LATE in offer.wishes else cool or kits, offer.kits, problem)


@pytest.mark.parametrize("seed", CASES)
def test_where_late_will_do_a_kit_that_never_carries_is_offered_only_where_none_carries(seed):
    problem = drawn(seed)
    # other method: every kit is tried
    kits = every_kit(problem, ())
    late = [kit for kit in kits if goes_together(problem, kit, (LATE,))]
    offer = Offers(problem).best((), late=True)
    assert (offer is not None) == bool(kits)
    if offer is not None:
        assert (LATE in offer.wishes) == bool(late)
        assert are_the_best_of(late or kits, offer.kits, problem)


@pytest.mark.parametrize("seed", CASES)
def test_leaving_out_what_is_interchangeable_leaves_the_cool_ones_in(seed):
    problem = drawn(seed)
    smaller, _ = reduced(problem)
    # other method: the same without leaving anything out
    whole, left = (Offers(one, hot_of(one, seed)).best(()) for one in (problem, smaller))
    assert (whole is None) == (left is None)
    if whole is not None:
        assert left.cool == whole.cool
        assert pence_of(smaller, left.kits[0]) == pence_of(problem, whole.kits[0])


def test_next_best_kits_carry_their_lamps_at_some_speed_where_the_first_does():
    roles = (
        Role("generator", (Option("as it is", 0, late_mA=3000, is_bought=False),), tells_apart=False),
        Role("headlamp", (Option("25 W", 100, lamp_mA=2000), Option("60 W", 200, lamp_mA=5000), Option("LED", 900))),
    )
    offer = Offers(Problem(roles, {})).best(())
    # by hand: 5 A is more than 3 A at any speed
    assert offer.kits == ((0, 0), (0, 2))
    fewer = why_fewer(Offers(Problem(roles, {})), (), offer)
    assert (fewer.too_hot, fewer.never_carries, fewer.without) == (False, True, ())


def test_why_there_are_fewer_kits_names_the_hot_ones_and_the_wishes_that_stand_in_the_way():
    options = (
        Option("cool", 3000, heats="series"),
        Option("hot", 1000, heats="shunt"),
        Option("finned", 4000, misses=frozenset({"looks"}), heats="series"),
    )
    problem = Problem((Role("box", options),), {})
    offers = Offers(problem, lambda kit: options_of(problem, kit)[0].heats == "shunt")
    offer = offers.best(("looks",))
    assert offer.kits == ((0,),)
    # by hand: the hot one is 10.00 and is passed over, the finned one is there without the wish
    fewer = why_fewer(offers, ("looks",), offer)
    assert (fewer.too_hot, fewer.never_carries, fewer.without) == (True, False, ("looks",))
    assert cheaper_but_hot(offers, offer).without_pence == 1000


def test_options_that_are_never_chosen_together_are_not():
    roles = (Role("box", (Option("a", 100), Option("b", 200))), Role("battery", (Option("c", 100), Option("d", 300))))
    problem = Problem(roles, {}, never=(((0, frozenset({0})), (1, frozenset({0}))),))
    # by hand: 1.00 + 1.00 is forbidden; 2.00 + 1.00 is less than 1.00 + 3.00
    assert cheapest(problem, ()) == (1, 0)
    assert not goes_together(problem, (0, 0), ())


@pytest.mark.parametrize("seed", CASES)
def test_the_cheapest_kit_is_the_cheapest_of_all_kits(seed):
    problem = drawn(seed)
    for wishes in ((), WISHES[:2], WISHES[:3], WISHES):
        # other method: every kit is tried
        expected = [pence_of(problem, kit) for kit in best_by_trying(problem, wishes, 1)]
        assert [pence_of(problem, kit) for kit in best_kits(problem, wishes, 1)] == expected


@pytest.mark.parametrize("seed", CASES)
def test_each_next_kit_is_the_cheapest_of_those_that_differ_from_the_ones_before(seed):
    problem = drawn(seed)
    found = best_kits(problem, WISHES[:3])
    for place in range(3):
        # other method: every kit is tried that differs from those found before
        left = [kit for kit in every_kit(problem, WISHES[:3]) if is_different(problem, kit, found[:place])]
        prices = [pence_of(problem, kit) for kit in left]
        assert (len(found) > place) == bool(prices)
        if prices:
            assert pence_of(problem, found[place]) == min(prices)


@pytest.mark.parametrize("seed", CASES)
def test_leaving_out_what_is_interchangeable_changes_no_price_of_the_best_kits(seed):
    problem = drawn(seed)
    smaller, stood = reduced(problem)
    # other method: the same without leaving anything out; a kit's place in it is the same kit
    expected = [pence_of(problem, kit) for kit in best_kits(problem, WISHES[:2])]
    found = best_kits(smaller, WISHES[:2])
    assert [pence_of(smaller, kit) for kit in found] == expected
    for kit in found:
        whole = tuple(stood[role][at] for role, at in enumerate(kit))
        assert goes_together(problem, whole, WISHES[:2])
        assert pence_of(problem, whole) == pence_of(smaller, kit)


def test_of_interchangeable_parts_the_three_cheapest_are_enough_for_three_kits():
    boxes = Role("box", tuple(Option(f"{price}", price * 100) for price in (50, 20, 40, 10, 30)))
    fuses = Role("fuse", (Option("a", 60), Option("b", 50)), tells_apart=False)
    smaller, stood = reduced(Problem((boxes, fuses), {}))
    # by hand: 10, 20 and 30 with the fuse of 0.50
    assert (smaller.sizes, sorted(stood[0]), stood[1]) == ((3, 1), [1, 3, 4], (1,))
    assert [pence_of(smaller, kit) for kit in best_kits(smaller, ())] == [1050, 2050, 3050]


@pytest.mark.parametrize("seed", CASES)
def test_the_wishes_that_cannot_be_had_together_are_the_fewest(seed):
    problem = drawn(seed)
    named = cannot_be_had_together(problem, WISHES)
    # other method: every set of wishes against every kit
    sets = [some for size in range(len(WISHES) + 1) for some in combinations(WISHES, size)]
    none_meets = [some for some in sets if not every_kit(problem, some)]
    if not none_meets or none_meets[0] == ():
        assert named == ()
    else:
        assert named in none_meets
        assert len(named) == min(map(len, none_meets))


@pytest.mark.parametrize("seed", CASES)
def test_what_a_wish_costs_is_the_price_without_it(seed):
    problem = drawn(seed)
    for cost in cost_of_each(Offers(problem), WISHES[:3], WISHES[:3]):
        others = [wish for wish in WISHES[:3] if wish != cost.wish]
        # other method: every kit is tried with the other wishes
        prices = [pence_of(problem, kit) for kit in every_kit(problem, others)]
        assert cost.without_pence == min(prices, default=None)


def test_the_same_parts_with_more_bought_besides_are_no_other_kit():
    box = Role("box", (Option("cheap", 1000), Option("dear", 9000)))
    lamp = Role("lamp", (Option("as it is", 0, is_bought=False), Option("LED", 500)))
    problem = Problem((box, lamp), {})
    first, *others = best_kits(problem, ())
    assert first == (0, 0)
    assert marks_of(problem, first) == ((0, 0),)
    # by hand: the cheap box with an LED is 15.00 and is passed over; then nothing is left but the dear one
    assert others == [(1, 0)]


def test_the_cheapest_is_told_from_another_that_is_a_penny_dearer():
    roles = (Role("box", (Option("a", 100_001), Option("b", 100_000))), Role("battery", (Option("c", 999_999),)))
    # by hand: 1,000.00 + 9,999.99
    kit = cheapest(Problem(roles, {}), ())
    assert kit == (1, 0)


def test_a_budget_is_kept_to_the_penny():
    roles = (Role("box", (Option("a", 3200),)), Role("battery", (Option("b", 2601),)))
    # by hand: 32.00 + 26.01 = 58.01
    assert cheapest(Problem(roles, {}, 5801), (BUDGET,)) == (0, 0)
    assert cheapest(Problem(roles, {}, 5800), (BUDGET,)) is None


def test_a_large_budget_is_kept_to_the_penny_too():
    roles = tuple(Role(name, (Option("a", 9_999_999), Option("b", 9_999_998))) for name in ("one", "two", "three"))
    # by hand: three times 99,999.98; a penny less buys nothing
    assert cheapest(Problem(roles, {}, 29_999_994), (BUDGET,)) == (1, 1, 1)
    assert cheapest(Problem(roles, {}, 29_999_993), (BUDGET,)) is None


def test_lamps_are_carried_to_the_milliamp():
    roles = (
        Role("generator", (Option("as it is", 0, carries_mA=4100, is_bought=False),)),
        Role("headlamp", (Option("bulb", 0, lamp_mA=4101, is_bought=False), Option("LED", 3400, lamp_mA=1600))),
    )
    # by hand: 4.101 A is more than 4.100 A, so the LED must be bought
    assert cheapest(Problem(roles, {}), (CARRY,)) == (0, 1)
    assert cheapest(Problem(roles, {}), ()) == (0, 0)


def test_the_solver_writes_nothing_of_its_own():
    asked = """
from ampwright.selection.kit_model import Option, Problem, Role
from ampwright.selection.kit_solver import cheapest
cheapest(Problem((Role("box", (Option("a", 100), Option("b", 90))),), {}), ())
"""
    # in a process of its own, as what a solver says of itself it says once
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert (done.stdout, done.stderr) == ("", "")


def test_a_role_with_nothing_in_it_leaves_no_kit():
    assert cheapest(Problem((Role("box", ()),), {}), ()) is None
