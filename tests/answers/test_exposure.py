"""Levels of waste gas, their means, purge times and scavenging."""

from dataclasses import replace
from math import exp

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.answers.exposure_examples import ISO, KNOWN, LAB, MORNING, OPENED, PAST, UNKNOWN
from ullage.answers import (
    Scavenging,
    Verdict,
    WorkRoom,
    Zone,
    day_average,
    highest_mean,
    purge_time,
    room_level,
    scavenging_rules,
    task_average,
)
from ullage.answers.exposure_air import air_of_day
from ullage.answers.exposure_things import (
    Escape,
    EscapeKind,
    chamber_opened,
    flow_escapes,
    liquid_spilled,
)
from ullage.answers.things import Place
from ullage.core.errors import InvalidQuantity
from ullage.core.exposure import room_steady_ppm
from ullage.core.gas import F70
from ullage.reference import fact

AT_70F = Place(temperature_k=F70.temperature_k)
WELL_MIXED = WorkRoom(room_m3=50.0, air_changes_per_h=15.0, mixing_factor=1.0)


def steadily(flow_l_min, fraction, minutes=2000.0):
    told = (EscapeKind.UNSCAVENGED, "flow", ISO)
    return flow_escapes(told, (flow_l_min,) * 3, fraction, (0.0, minutes), AT_70F)


# Dilution formula: 300 mL/min of 2 % into 50 m³ at 15 changes, 0.48 ppm (fact table row WG08; the
# row counts the vapour as 2 % of the leak, a flowmeter counts the carrier alone).
def test_a_leak_comes_to_what_the_worked_example_says():
    leak = steadily(0.3 * 0.98, 0.02)

    found = room_level(WELL_MIXED, [leak], ISO, Zone.ROOM)

    assert found.value == pytest.approx(fact("machine_checks", "WG08").number, abs=0.01)


# 2 L/min of carrier at 2 %, none scavenged: 3.27 ppm (fact table row WG09).
def test_a_whole_flow_comes_to_what_the_worked_example_says():
    found = room_level(WELL_MIXED, [steadily(2.0, 0.02)], ISO, Zone.ROOM)

    assert found.value == pytest.approx(fact("machine_checks", "WG09").number, abs=0.03)


# Virtue 1979: 500 mL/min of nitrous oxide at 20 changes, worst mean 31 ppm in a theatre of some
# 48 m³; the formula's factor for mixing multiplies it.
@pytest.mark.published("machine_S129")
@pytest.mark.parametrize(("mixing", "level"), [(1.0, 31.0), (3.0, 93.0)])
def test_the_theatre_of_the_published_data(mixing, level):
    theatre = WorkRoom(room_m3=48.4, air_changes_per_h=20.0, mixing_factor=mixing)
    gas = Escape(
        kind=EscapeKind.UNSCAVENGED,
        name="flow",
        agent="nitrous oxide",
        start_min=0.0,
        minutes=3000.0,
        low_l=1500.0,
        middle_l=1500.0,
        high_l=1500.0,
        near=False,
    )

    found = room_level(theatre, [gas], "nitrous oxide", Zone.ROOM)

    assert found.value == pytest.approx(level, rel=0.01)


def test_without_a_mixing_factor_the_answer_is_the_band_and_says_so():
    found = room_level(replace(WELL_MIXED, mixing_factor=None), [steadily(2.0, 0.02)], ISO)
    room = room_level(
        replace(WELL_MIXED, mixing_factor=None), [steadily(2.0, 0.02)], ISO, Zone.ROOM
    )

    assert found.value is None
    assert room.high == pytest.approx(10.0 * room.low, rel=1e-3)
    assert "from memory" in found.covers
    assert {"memory"} <= {one.how_known for one in found.where_from}


def test_a_factor_of_the_site_gives_a_number_within_its_band():
    found = day_average(KNOWN, MORNING, ISO)

    assert found.low < found.value < found.high
    assert any("entered" in one.text for one in found.where_from)


@pytest.mark.parametrize(
    ("room", "question"),
    [
        (UNKNOWN, "How large is Lab?"),
        (replace(UNKNOWN, room_m3=45.0), "How many air changes an hour does Lab have?"),
    ],
)
def test_a_room_that_nobody_measured_is_asked_about(room, question):
    answers = (
        room_level(room, MORNING, ISO),
        highest_mean(room, MORNING, ISO),
        day_average(room, MORNING, ISO),
        task_average(room, MORNING, ISO, (500.0, 560.0)),
    )

    assert {one.settles for one in answers} == {question}
    assert {one.verdict for one in answers} == {Verdict.NOT_YET}
    assert all(one.value is None and one.low is None for one in answers)


def test_the_air_at_the_work_is_worse_than_that_of_the_room():
    work, room = (day_average(KNOWN, MORNING, ISO, zone) for zone in (Zone.WORK, Zone.ROOM))

    assert work.value > room.value
    assert work.low >= room.low


def test_each_answer_says_that_charcoal_is_taken_not_to_be_full():
    answers = (
        room_level(KNOWN, MORNING, ISO),
        highest_mean(KNOWN, MORNING, ISO),
        day_average(KNOWN, MORNING, ISO),
        task_average(KNOWN, MORNING, ISO, (500.0, 560.0)),
    )

    for one in answers:
        assert any("a full one lets it into the room" in said for said in one.assumptions)


def test_only_the_agent_asked_for_counts():
    assert day_average(KNOWN, MORNING, "sevoflurane").high == 0.0


def test_means_fall_with_the_time_over_which_they_are_taken():
    peak = room_level(KNOWN, [OPENED], ISO).value
    means = [highest_mean(KNOWN, [OPENED], ISO, minutes).value for minutes in (1, 15, 60, 480)]

    assert peak > means[0] > means[1] > means[2] > means[3]


def test_eight_hours_count_the_whole_dose():
    task = task_average(KNOWN, [OPENED], ISO, (500.0, 980.0))

    assert day_average(KNOWN, [OPENED], ISO, day=(500.0, 980.0)).value == pytest.approx(
        task.value, rel=1e-9
    )
    longer = day_average(KNOWN, [steadily(1.0, 0.02, 960.0)], ISO, day=(0.0, 960.0)).value
    assert longer == pytest.approx(
        2.0 * day_average(KNOWN, [steadily(1.0, 0.02, 960.0)], ISO, day=(0.0, 480.0)).value,
        rel=0.05,
    )


def test_somebody_who_leaves_early_has_less():
    whole = day_average(KNOWN, MORNING, ISO)
    left = day_average(KNOWN, MORNING, ISO, day=(500.0, 560.0))

    assert left.value < whole.value


amounts = st.floats(0.0, 5.0)
an_escape = st.builds(
    lambda start, minutes, low, more, near: Escape(
        kind=EscapeKind.LEAK,
        name="leak",
        agent=ISO,
        start_min=start,
        minutes=minutes,
        low_l=low,
        middle_l=low + 0.5 * more,
        high_l=low + more,
        near=near,
    ),
    st.floats(0.0, 600.0),
    st.sampled_from((0.0, 5.0, 90.0)),
    amounts,
    amounts,
    st.booleans(),
)


@settings(max_examples=25, deadline=None)
@given(
    st.lists(an_escape, min_size=1, max_size=4),
    st.floats(8.0, 400.0),
    st.floats(0.0, 30.0),
    st.sampled_from((None, 1.0, 3.0, 10.0)),
)
def test_a_band_holds_its_number_whatever_escapes(escapes, room_m3, changes, mixing):
    room = WorkRoom(room_m3=room_m3, air_changes_per_h=changes, mixing_factor=mixing)

    for zone in Zone:
        for found in (
            room_level(room, escapes, ISO, zone),
            highest_mean(room, escapes, ISO, 15, zone),
            day_average(room, escapes, ISO, zone),
        ):
            assert 0.0 <= found.low <= found.high
            assert (found.value is None) == (mixing is None)


@settings(max_examples=15, deadline=None)
@given(an_escape, st.floats(8.0, 400.0), st.floats(0.5, 30.0))
def test_more_that_escapes_is_never_less_to_breathe(escape, room_m3, changes):
    room = WorkRoom(room_m3=room_m3, air_changes_per_h=changes, mixing_factor=2.0)
    once, twice = (day_average(room, [escape.times(one)], ISO) for one in (1.0, 2.0))

    assert twice.value == pytest.approx(2.0 * once.value, rel=1e-9, abs=1e-12)


def test_thin_air_makes_more_of_the_same_flow():
    told = (EscapeKind.LEAK, "leak", ISO)
    sea, high = (
        flow_escapes(told, (1.0,) * 3, 0.02, (0.0, 10.0), Place(barometric_kpa=one))
        for one in (101.325, 80.5)
    )

    assert high.middle_l / sea.middle_l == pytest.approx(101.325 / 80.5)


def test_a_purge_leaves_little_in_the_chamber():
    left = chamber_opened(ISO, 4.0, 0.03, 500.0, (exp(-3.0), exp(-3.0)))

    assert left.middle_l == pytest.approx(0.12 * exp(-3.0))
    assert chamber_opened(ISO, 4.0, 0.03, 500.0, (1.0, 0.05)).middle_l is None


def test_a_spill_of_a_millilitre_is_a_fifth_of_a_litre():
    assert liquid_spilled(ISO, 1.0, 500.0).high_l == pytest.approx(0.195, abs=0.002)


# Dilution by flow: one volume leaves 1/e, three leave a twentieth.
def test_the_time_to_purge_is_that_of_a_mixed_box():
    found = purge_time(4.0, 2.0, 20_000.0, 1000.0, mixing_factor=1.0)

    assert found.value == pytest.approx(5.99, abs=0.01)
    band = purge_time(4.0, 2.0, 20_000.0, 1000.0)
    assert (band.value, band.high) == (None, pytest.approx(10.0 * band.low))


@pytest.mark.parametrize(
    "given_", [(0.0, 2.0, 10.0, 1.0), (4.0, 0.0, 10.0, 1.0), (4.0, 2.0, 10.0, 0.0)]
)
def test_a_purge_without_flow_or_end_is_refused(given_):
    with pytest.raises(InvalidQuantity, match="must be a number above 0"):
        purge_time(*given_)


def test_ten_seconds_of_purge_leave_most_of_it():
    sides = {one.label: one.result for one in purge_time(4.0, 2.0, 20_000.0, 1000.0).views}

    assert sides["3 volumes"] == "leaves 4.98 %"
    assert sides["10 s"] == "leaves 92 %"


def test_charcoal_holds_no_nitrous_oxide():
    rules = scavenging_rules(Scavenging.CHARCOAL)

    assert any("does not hold nitrous oxide" in one for one in rules.cautions)
    assert Scavenging.CHARCOAL.holds(ISO)
    assert not Scavenging.CHARCOAL.holds("nitrous oxide")
    assert not Scavenging.NONE.holds(ISO)
    assert Scavenging.ACTIVE.holds("nitrous oxide")


# Relief as three texts print it: +10/-0.5, +5/-0.5, +5/-0.25 cmH2O (conflict K-34).
@pytest.mark.published("machine_S145")
@pytest.mark.parametrize("kind", Scavenging)
def test_reliefs_that_differ_stand_side_by_side(kind):
    reliefs = [one.result for one in scavenging_rules(kind).steps if "relief" in one.what]

    assert reliefs == ["+10 / -0.5 cmH2O", "+5 / -0.5 cmH2O", "+5 / -0.25 cmH2O"]


def test_what_cannot_be_is_refused():
    with pytest.raises(InvalidQuantity, match="room_m3"):
        WorkRoom(room_m3=0.5)
    with pytest.raises(InvalidQuantity, match="mixing_factor"):
        WorkRoom(room_m3=50.0, air_changes_per_h=10.0, mixing_factor=0.5)
    with pytest.raises(InvalidQuantity, match="fraction"):
        chamber_opened(ISO, 4.0, 1.5, 0.0)
    with pytest.raises(InvalidQuantity, match="minutes of the task"):
        task_average(LAB, MORNING, ISO, (560.0, 500.0))
    with pytest.raises(InvalidQuantity, match="minutes of the day"):
        day_average(LAB, MORNING, ISO, day=(500.0, 510.0))
    with pytest.raises(InvalidQuantity, match="How large is Lab"):
        air_of_day(UNKNOWN, MORNING, ISO)
    with pytest.raises(InvalidQuantity, match="low_l"):
        replace(PAST, low_l=2.0, middle_l=None, high_l=1.0)


def test_the_room_mean_is_that_of_the_formula():
    found = task_average(WELL_MIXED, [steadily(2.0, 0.02)], ISO, (1000.0, 1500.0), Zone.ROOM)
    steady = room_steady_ppm(2.0 * 0.02 / 0.98, 50.0, 15.0)

    assert found.value == pytest.approx(steady, rel=1e-6)
