"""Laws of consumables that hold for any shelf, canister and filling, not for examples alone."""

from math import ceil, inf

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.counts import counted
from ullage.answers.agent_use import Delivery
from ullage.answers.animals import animal
from ullage.answers.answer import Verdict
from ullage.answers.stock import (
    Canister,
    Filled,
    Filling,
    Shelf,
    UseSeen,
    canister_full,
    case_load_l,
    filling_due,
    held_g,
    reorder_of,
    what_to_order,
)

#: From the mildest to the gravest; an open question is no verdict on the thing itself.
GRAVITY = (Verdict.FINE, Verdict.NOT_YET, Verdict.LOOK_AGAIN, Verdict.STOP)

few = settings(max_examples=60, deadline=None)
#: A point takes a tenth of a second; `make soak` draws ten times as many.
steady = settings(max_examples=counted(100), deadline=None)


def gravity(answer):
    return GRAVITY.index(answer.verdict)


# --- shelves -------------------------------------------------------------------------------------


@st.composite
def shelves(draw):
    """Shelves of which enough is known to give a point."""
    usual = draw(st.floats(0.5, 9.0))
    longest = draw(st.one_of(st.none(), st.floats(usual, 15.0)))
    return Shelf(
        name="Drawn",
        full=draw(st.integers(0, 30)),
        on_order=draw(st.integers(0, 20)),
        use=UseSeen(counts=tuple(draw(st.lists(st.integers(0, 9), min_size=4, max_size=12)))),
        filled=Filled(
            usual_days=usual,
            longest_days=longest,
            every_days=draw(st.floats(0.0, 14.0)),
            look_days=draw(st.floats(0.0, 7.0)),
            pack=draw(st.integers(1, 12)),
        ),
        service_share=draw(st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.99, 0.999])),
    )


def with_(shelf, **changes):
    names = Shelf.__dataclass_fields__
    return Shelf(**{**{name: getattr(shelf, name) for name in names}, **changes})


@steady
@given(shelves())
def test_an_order_goes_out_exactly_at_the_point_in_whole_packs_and_lifts_the_shelf_above_it(shelf):
    found = reorder_of(shelf)
    assume(found.point is not None)

    assert (found.answer.verdict is Verdict.LOOK_AGAIN) == (shelf.position <= found.point)
    assert found.to_order % shelf.filled.pack == 0
    if shelf.position <= found.point:
        assert shelf.position + found.to_order > found.point
    else:
        assert found.to_order == 0


@steady
@given(shelves(), st.integers(1, 30))
def test_what_is_on_order_counts_like_what_is_there(shelf, moved):
    full = with_(shelf, full=shelf.full + moved)
    ordered = with_(shelf, on_order=shelf.on_order + moved)

    assert reorder_of(full).to_order == reorder_of(ordered).to_order
    assert reorder_of(full).days == reorder_of(ordered).days


@steady
@given(shelves(), st.integers(1, 10))
def test_with_fewer_there_nobody_orders_less_or_waits_longer(shelf, fewer):
    assume(shelf.full >= fewer)
    more, less = reorder_of(shelf), reorder_of(with_(shelf, full=shelf.full - fewer))
    assume(more.point is not None)

    assert less.point == more.point
    assert less.to_order >= more.to_order
    assert (less.days or 0.0) <= (more.days if more.days is not None else inf)
    assert less.short_chance >= more.short_chance - 1e-12


@steady
@given(shelves(), st.floats(0.0, 20.0))
def test_a_longer_delivery_never_lowers_the_point(shelf, later):
    filled = shelf.filled
    longest = None if filled.longest_days is None else filled.longest_days + later
    slow = Filled(
        usual_days=filled.usual_days + later,
        longest_days=longest,
        every_days=filled.every_days,
        look_days=filled.look_days,
        pack=filled.pack,
    )
    here, there = reorder_of(shelf), reorder_of(with_(shelf, filled=slow))
    assume(here.point is not None and there.point is not None)

    assert there.point >= here.point


@steady
@given(shelves(), st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.99, 0.999]))
def test_a_higher_service_never_lowers_the_point(shelf, share):
    here, there = reorder_of(shelf), reorder_of(with_(shelf, service_share=share))
    assume(here.point is not None)

    assert (share >= shelf.service_share) or there.point <= here.point
    assert (share <= shelf.service_share) or there.point >= here.point


@steady
@given(shelves())
def test_the_chance_to_run_short_at_the_point_keeps_the_service_and_one_fewer_does_not(shelf):
    point = reorder_of(shelf).point
    assume(point is not None)
    at = reorder_of(with_(shelf, full=point, on_order=0))

    assert at.short_chance <= 1.0 - shelf.service_share + 1e-9
    if point:
        below = reorder_of(with_(shelf, full=point - 1, on_order=0))
        assert below.short_chance > 1.0 - shelf.service_share - 1e-9


@steady
@given(st.lists(shelves(), max_size=4))
def test_the_list_leaves_out_what_is_enough_and_loses_nothing_that_is_due_or_open(found):
    lines = what_to_order(found)
    wanted = [one for one in found if reorder_of(one).to_order]
    unsaid = [one for one in found if reorder_of(one).answer.verdict is Verdict.NOT_YET]

    assert sorted(line.shelf.full for line in lines if not line.is_open) == sorted(
        one.full for one in wanted
    )
    assert sum(line.is_open for line in lines) == len(unsaid)
    assert all(line.reason for line in lines)
    chances = [reorder_of(line.shelf).short_chance for line in lines if not line.is_open]
    assert chances == sorted(chances, reverse=True)
    # What is open stands last, with nothing to order.
    assert [line.is_open for line in lines] == sorted(line.is_open for line in lines)
    assert all(line.to_order == 0 for line in lines if line.is_open)


@pytest.mark.parametrize("pack", [1, 5, 6])
def test_the_order_is_the_fewest_packs_that_fill_the_shelf(pack):
    seen = UseSeen(counts=(3, 3, 3, 3))
    shelf = Shelf(
        name="Lime",
        full=0,
        use=seen,
        filled=Filled(usual_days=5.0, pack=pack),
        service_share=0.95,
    )
    single = reorder_of(with_(shelf, filled=Filled(usual_days=5.0))).to_order

    assert reorder_of(shelf).to_order == pack * ceil(single / pack)


# --- canisters -----------------------------------------------------------------------------------

#: Molar mass [g/mol] from the formulas C3H2ClF5O and C4H3F7O with standard atomic weights
#: (IUPAC: C 12.011, H 1.008, Cl 35.45, F 18.998, O 15.999).
MOLAR_MASS = {"isoflurane": 184.49, "sevoflurane": 200.05}
flows = st.builds(
    Delivery,
    agent=st.sampled_from(sorted(MOLAR_MASS)),
    fraction=st.floats(0.002, 0.05),
    fresh_gas_l_min=st.floats(0.1, 8.0),
    minutes=st.floats(1.0, 600.0),
)


@few
@given(flows)
def test_grams_are_vapour_by_molar_mass_and_the_volume_of_a_mole(flow):
    litres = flow.fresh_gas_l_min * flow.minutes * flow.fraction
    # The dial names a share of what leaves; carried by the fresh gas it is at most f/(1 - f).
    low, high = litres, litres / (1.0 - flow.fraction)
    mole_l = 24.055  # 8.314 46 J/(mol K) x 293.15 K / 101.325 kPa
    grams = held_g(flow) * mole_l / MOLAR_MASS[flow.agent]

    assert 0.995 * low <= grams <= 1.005 * high


@few
@given(flows, st.floats(0.1, 0.9))
def test_a_case_in_two_parts_leaves_as_much_in_the_charcoal_as_in_one(flow, share):
    first, second = (
        Delivery(
            agent=flow.agent,
            fraction=flow.fraction,
            fresh_gas_l_min=flow.fresh_gas_l_min,
            minutes=flow.minutes * part,
        )
        for part in (share, 1.0 - share)
    )

    assert held_g(first) + held_g(second) == pytest.approx(held_g(flow))
    whole = canister_full(Canister(passed=(flow,)))
    parts = canister_full(Canister(passed=(first, second)))
    assert parts.value == pytest.approx(whole.value)
    assert (parts.low, parts.high) == pytest.approx((whole.low, whole.high))


@few
@given(
    start=st.floats(100.0, 1500.0),
    gain=st.floats(0.0, 300.0),
    more=st.floats(0.0, 100.0),
    hours=st.floats(0.0, 30.0),
    longer=st.floats(0.0, 30.0),
)
def test_heavier_or_longer_used_is_never_milder(start, gain, more, hours, longer):
    light = canister_full(Canister(start_g=start, now_g=start + gain, hours_h=hours))
    heavy = canister_full(Canister(start_g=start, now_g=start + gain + more, hours_h=hours))
    old = canister_full(Canister(start_g=start, now_g=start + gain, hours_h=hours + longer))

    assert gravity(heavy) >= gravity(light)
    assert gravity(old) >= gravity(light)


@few
@given(st.lists(flows, min_size=1, max_size=4), flows)
def test_what_flowed_only_ever_adds_and_its_band_holds_it(passed, one_more):
    before = canister_full(Canister(passed=tuple(passed)))
    after = canister_full(Canister(passed=(*passed, one_more)))

    assert after.value > before.value
    assert before.low <= before.value <= before.high
    assert gravity(after) >= gravity(before)


@few
@given(flows, st.floats(20.0, 400.0))
def test_it_is_stopped_by_flow_exactly_from_the_gain_for_which_it_is_sold(flow, limit):
    answer = canister_full(Canister(start_g=300.0, now_g=310.0, passed=(flow,), limit_g=limit))

    assert (answer.verdict is Verdict.STOP) == (held_g(flow) >= limit)


# --- fillings ------------------------------------------------------------------------------------


@few
@given(
    mass=st.floats(0.1, 5.0),
    load=st.floats(0.0, 900.0),
    days=st.floats(0.0, 60.0),
    hours=st.floats(0.0, 60.0),
    more=st.floats(0.0, 50.0),
)
def test_more_load_days_or_hours_never_make_a_filling_better(mass, load, days, hours, more):
    known = {"mass_kg": mass, "load_l": load, "open_days": days, "hours_h": hours}
    first = gravity(filling_due(Filling(**known)))

    for name in ("load_l", "open_days", "hours_h"):
        assert gravity(filling_due(Filling(**{**known, name: known[name] + more}))) >= first
    assert gravity(filling_due(Filling(**known, left_on_h=more))) >= first
    assert gravity(filling_due(Filling(**{**known, "mass_kg": mass + more}))) <= first


@few
@given(mass=st.floats(0.1, 5.0), load=st.floats(0.0, 900.0), times=st.floats(0.5, 4.0))
def test_what_is_used_up_depends_on_load_to_the_kilogram_alone(mass, load, times):
    small = Filling(mass_kg=mass, load_l=load).used_percent
    large = Filling(mass_kg=mass * times, load_l=load * times).used_percent

    assert large == pytest.approx(small)
    cautious, typical, optimistic = small
    assert cautious >= typical >= optimistic >= 0.0


# --- loads ---------------------------------------------------------------------------------------

SPECIES = [("dog", 20.0), ("cat", 4.0), ("rat", 0.3), ("pig", 60.0), ("horse", 500.0)]
stretch = st.tuples(st.floats(0.0, 300.0), st.floats(0.0, 20.0))


@few
@given(st.sampled_from(SPECIES), st.lists(stretch, max_size=4), st.lists(stretch, max_size=4))
def test_phases_add_up_and_no_more_reaches_the_lime_than_the_animal_makes(who, first, second):
    species, kg = who
    whole = case_load_l(species, kg, first + second)
    parts = case_load_l(species, kg, first) + case_load_l(species, kg, second)
    made = animal(species, kg)["co2_output_l_min"].value * sum(at for at, _ in first + second)

    assert whole == pytest.approx(parts)
    assert -1e-9 <= whole <= made * (1.0 + 1e-9)


@few
@given(st.sampled_from(SPECIES), st.floats(1.0, 300.0), st.floats(0.0, 10.0), st.floats(0.0, 10.0))
def test_more_fresh_gas_takes_more_away_before_the_lime(who, minutes, flow, more):
    species, kg = who

    low, high = (case_load_l(species, kg, [(minutes, one)]) for one in (flow, flow + more))
    assert high <= low + 1e-9


@pytest.mark.parametrize(
    ("species", "kg"),
    [("", 20.0), ("  ", 20.0), ("dog", None), ("unicorn", 20.0), ("dog", -1.0), ("dog", 0.0)],
)
def test_an_animal_nobody_knows_loads_nothing_that_could_be_shown(species, kg):
    assert case_load_l(species, kg, [(60.0, 1.0)]) is None
