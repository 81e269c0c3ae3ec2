"""The things of a day are valid once they exist: every impossible one is refused by name."""

from dataclasses import replace

import pytest

from tests.answers.days import case, cylinder, day, held
from ullage.answers.plan import (
    Case,
    Chamber,
    DayPlan,
    GasSource,
    Held,
    Machine,
    Phase,
    SourceKind,
    Ventilation,
)
from ullage.core.errors import InvalidQuantity, RuleBroken
from ullage.core.gas import Gas

NOT_NUMBERS = [float("nan"), float("inf"), float("-inf")]
PHASE = Phase(name="all", minutes=60.0, oxygen_l_min=1.0)
CASE = Case(name="Clover", machine="Wren", start_min=600.0, phases=(PHASE,))


@pytest.mark.parametrize("minutes", [0.0, -5.0, *NOT_NUMBERS])
def test_a_phase_without_a_length_is_refused(minutes):
    with pytest.raises(InvalidQuantity, match=r"minutes is .* a number above 0"):
        replace(PHASE, minutes=minutes)


@pytest.mark.parametrize("flow", [-0.1, 200.1, *NOT_NUMBERS])
@pytest.mark.parametrize("gas", ["oxygen", "air", "nitrous_oxide"])
def test_a_flow_that_no_machine_gives_is_refused(gas, flow):
    with pytest.raises(InvalidQuantity, match=rf"{gas}_l_min is .*between 0 and 200"):
        replace(PHASE, **{f"{gas}_l_min": flow})


def test_a_phase_gives_the_flow_of_each_gas_and_none_of_another():
    mixed = Phase(name="m", minutes=1, oxygen_l_min=1.0, air_l_min=2.0, nitrous_oxide_l_min=3.0)

    assert [mixed.flow_l_min(one) for one in (Gas.OXYGEN, Gas.AIR, Gas.NITROUS_OXIDE)] == [1, 2, 3]
    assert mixed.flow_l_min(Gas.HELIUM) == 0.0


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"volume_l": 0.0}, "volume_l"),
        ({"volume_l": float("nan")}, "volume_l"),
        ({"volumes": 0.0}, "volumes"),
        ({"fills": -1}, "fills"),
        ({"fills": 1001}, "fills"),
        ({"purges": -1}, "purges"),
    ],
)
def test_a_chamber_that_cannot_be_is_refused(changes, named):
    with pytest.raises(InvalidQuantity, match=f"{named} is "):
        Chamber(**{"volume_l": 10.0, **changes})


@pytest.mark.parametrize("minute_volume", [-1.0, 200.5, *NOT_NUMBERS])
def test_a_minute_volume_that_cannot_be_is_refused(minute_volume):
    with pytest.raises(InvalidQuantity, match="minute_volume_l_min is "):
        Ventilation(minute_volume_l_min=minute_volume)


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"start_min": -1.0}, "start_min"),
        ({"start_min": 2881.0}, "start_min"),
        ({"start_min": float("nan")}, "start_min"),
        ({"flushes": -1}, "flushes"),
        ({"weight_kg": 0.0}, "weight_kg"),
        ({"weight_kg": float("nan")}, "weight_kg"),
        ({"minutes_sd_share": -0.1}, "minutes_sd_share"),
        ({"minutes_sd_share": float("nan")}, "minutes_sd_share"),
    ],
)
def test_a_case_that_cannot_be_is_refused(changes, named):
    with pytest.raises(InvalidQuantity, match=f"{named} is "):
        replace(CASE, **changes)


def test_a_case_without_a_phase_says_what_it_needs():
    with pytest.raises(RuleBroken, match="Clover has no phase; give it at least one"):
        replace(CASE, phases=())


def test_a_case_ends_when_its_phases_have_passed():
    two = replace(CASE, phases=(PHASE, replace(PHASE, minutes=45.0)))

    assert (two.minutes, two.end_min) == (105.0, 705.0)


@pytest.mark.parametrize(
    "name",
    ["control_l_min", "sampling_l_min", "basal_l_min", "drive_factor", "drive_factor_low",
     "drive_factor_high", "checks_l", "flow_sd_share"],
)  # fmt: skip
@pytest.mark.parametrize("value", [-0.1, *NOT_NUMBERS])
def test_a_machine_that_cannot_be_is_refused(name, value):
    with pytest.raises(InvalidQuantity, match=f"{name} is "):
        Machine(name="Wren", **{name: value})


@pytest.mark.parametrize("count", [0, -1, 1001])
def test_a_bank_has_at_least_one_cylinder(count):
    with pytest.raises(InvalidQuantity, match="count is "):
        replace(held(71), count=count)


@pytest.mark.parametrize(
    "estimate", [(10.0, 5.0, 20.0), (1.0, 30.0, 20.0), (-5.0, 5.0, 20.0), (0.0, float("nan"), 9.0)]
)
def test_what_the_readings_together_say_is_a_band_around_its_middle(estimate):
    with pytest.raises(InvalidQuantity, match="estimate_l is "):
        Held(cylinder=held(71).cylinder, reading=held(71).reading, estimate_l=estimate)


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"leak_l_min": -0.1}, "leak_l_min"),
        ({"leak_l_min": float("nan")}, "leak_l_min"),
        ({"leak_l_min": 0.1, "leak_band_l_min": 0.2}, "leak_band_l_min"),
        ({"daily_loss_share": 1.5}, "daily_loss_share"),
        ({"change_over_kpa": -1.0}, "change_over_kpa"),
        ({"change_over_kpa": float("nan")}, "change_over_kpa"),
        ({"flow_limit_l_min": 0.0}, "flow_limit_l_min"),
        ({"flow_limit_l_min": float("nan")}, "flow_limit_l_min"),
        ({"oxygen_fraction": 1.2}, "oxygen_fraction"),
        ({"oxygen_fraction": 0.0}, "oxygen_fraction"),
        ({"outlet_kpa": -5.0}, "outlet_kpa"),
        ({"liquid_band_share": float("nan")}, "liquid_band_share"),
    ],
)
def test_a_source_that_cannot_be_is_refused(changes, named):
    with pytest.raises(InvalidQuantity, match=f"{named} is "):
        cylinder(**changes)


@pytest.mark.parametrize("litres", [-1.0, *NOT_NUMBERS])
def test_a_vessel_that_holds_what_none_can_is_refused(litres):
    with pytest.raises(InvalidQuantity, match="liquid_l is "):
        GasSource(name="Frost", kind=SourceKind.LIQUID, liquid_l=litres)


@pytest.mark.parametrize(
    ("kind", "count", "said"),
    [
        (SourceKind.CYLINDER, 0, "Alder has 0 cylinders; a cylinder has one"),
        (SourceKind.CYLINDER, 2, "Alder has 2 cylinders; a cylinder has one"),
        (SourceKind.SEQUENCE, 0, "a sequence one or more"),
        (SourceKind.MANIFOLD, 1, "Alder has 1 banks; a manifold has two: duty first"),
        (SourceKind.MANIFOLD, 3, "Alder has 3 banks"),
        (SourceKind.PIPELINE, 1, "Alder is a pipeline and holds no cylinders"),
        (SourceKind.CONCENTRATOR, 1, "Alder is a concentrator and holds no cylinders"),
        (SourceKind.LIQUID, 1, "Alder is a liquid and holds no cylinders"),
    ],
)
def test_a_source_holds_as_many_cylinders_as_its_kind(kind, count, said):
    with pytest.raises(RuleBroken, match=said):
        GasSource(name="Alder", kind=kind, cylinders=(held(71),) * count)


def test_a_vessel_says_how_much_liquid_it_holds():
    with pytest.raises(RuleBroken, match="Frost is liquid oxygen; say how much liquid"):
        GasSource(name="Frost", kind=SourceKind.LIQUID)


def test_when_a_source_was_read_is_told_by_its_first_cylinder_or_by_itself():
    vessel = GasSource(name="Frost", kind=SourceKind.LIQUID, liquid_l=9.0, read_at_min=480.0)

    assert cylinder().reading_min == 472.0
    assert vessel.reading_min == 480.0
    assert GasSource(name="Wall", kind=SourceKind.PIPELINE).reading_min is None


def test_only_cylinders_have_a_gauge_that_says_what_is_left():
    gauged = [kind for kind in SourceKind if kind.has_cylinders]

    assert gauged == [SourceKind.CYLINDER, SourceKind.SEQUENCE, SourceKind.MANIFOLD]


CLOVER = case("Clover", 600, 60)


@pytest.mark.parametrize(
    ("plan", "said"),
    [
        (lambda: day([cylinder(), cylinder()], [CLOVER]), "Two sources are called Alder"),
        (
            lambda: day([cylinder()], [CLOVER], machines=("Wren", "Wren")),
            "Two machines are called Wren; give each its own name",
        ),
        (
            lambda: day([cylinder()], [case("Kit", 600, 30, machine="Robin")]),
            "Kit is on Robin, which is no machine here. Known: Wren",
        ),
        (lambda: DayPlan(sources=(), machines=(), cases=(CLOVER,)), "Known: none"),
        (
            lambda: day([cylinder(reserve_of="Wall")], [CLOVER]),
            "Alder stands behind Wall, not a source",
        ),
        (
            lambda: day([cylinder(feeds=("Robin",))], [CLOVER]),
            "Alder feeds Robin, which is no machine here",
        ),
        (
            lambda: day([cylinder(), cylinder("Elm")], [CLOVER]),
            "Alder and Elm both feed oxygen to Wren",
        ),
        (
            lambda: day([cylinder(reserve_of="Alder")], [CLOVER]),
            "Alder stands behind itself",
        ),
    ],
)
def test_a_plan_whose_names_do_not_fit_is_refused(plan, said):
    with pytest.raises(RuleBroken, match=said):
        plan()


def test_a_reserve_of_the_same_machine_and_another_gas_are_no_conflict():
    behind = cylinder("Elm", reserve_of="Alder")
    air = cylinder("Thorn", gas=Gas.AIR, inside=(held(90, gas=Gas.AIR),))

    assert len(day([cylinder(), behind, air], [CLOVER]).sources) == 3


@pytest.mark.parametrize("interval", [0.0, -30.0, *NOT_NUMBERS])
def test_readings_are_some_time_apart(interval):
    with pytest.raises(InvalidQuantity, match="reading_interval_min is "):
        day([cylinder()], [CLOVER], reading_interval_min=interval)


@pytest.mark.parametrize("now", NOT_NUMBERS)
def test_a_plan_looks_ahead_from_a_time(now):
    with pytest.raises(InvalidQuantity, match="now_min is "):
        day([cylinder()], [CLOVER], now_min=now)
