"""A cylinder by its letter and a reserve by its words: presets and their traps."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.answers.presets import cylinder_of_size, reserve_read, usual_scale_kpa
from ullage.core.errors import AmbiguousSize, UnknownReference, UnreadableQuantity
from ullage.core.gas import Gas

PSI = 6.894757293168361


# supply 1.1, 1.2: water capacities of common sizes, printed or computed from printed contents.
@pytest.mark.parametrize(
    ("letter", "region", "water_l"), [("E", "US", 4.76), ("E", "UK", 4.7), ("H", "US", 43.8)]
)
def test_a_letter_means_a_water_capacity(letter, region, water_l):
    found = cylinder_of_size(letter, region)

    assert found.water_capacity_l == pytest.approx(water_l, rel=0.02)
    assert letter in found.label.partition(" (")[0].split("/")


def test_where_a_capacity_comes_from_is_kept_in_the_cylinder():
    source, known = cylinder_of_size("E", "US").capacity_source.split(" ")

    assert source.startswith("supply_")
    assert known in {"seen", "computed", "memory"}


@pytest.mark.parametrize("letter", ["G", "D"])
def test_a_letter_that_means_two_cylinders_asks_which(letter):
    with pytest.raises(AmbiguousSize, match=rf"may mean {letter} \("):
        cylinder_of_size(letter)
    assert cylinder_of_size(letter, "US") != cylinder_of_size(letter, "UK")


@pytest.mark.parametrize(("letter", "region"), [("Q", None), ("E", "Mars"), ("", None)])
def test_a_letter_or_a_region_that_nobody_knows_is_refused(letter, region):
    with pytest.raises(UnknownReference, match=r"^No (cylinder size|region) "):
        cylinder_of_size(letter, region)


def test_a_cylinder_is_tested_to_more_than_it_is_filled_and_its_gauge_reaches_further():
    for region in ("US", "UK"):
        found = cylinder_of_size("E", region)
        assert found.test_pressure_kpa > found.fill_gauge_kpa
        assert found.full_scale_kpa >= found.fill_gauge_kpa * 4 / 3 - 1


def test_a_liquefied_gas_has_no_fill_by_its_gauge_and_keeps_its_tare():
    found = cylinder_of_size("E", "US", Gas.NITROUS_OXIDE, 6.2)

    assert (found.fill_gauge_kpa, found.test_pressure_kpa) == (None, None)
    assert (found.tare_kg, found.gas) == (6.2, Gas.NITROUS_OXIDE)


def test_a_usual_gauge_ends_at_3000_psi_and_reaches_a_third_beyond_a_higher_fill():
    assert usual_scale_kpa() == pytest.approx(3000 * PSI)
    assert usual_scale_kpa(13_700.0) == pytest.approx(3000 * PSI)
    assert usual_scale_kpa(30_000.0) == pytest.approx(40_000.0)


@settings(max_examples=30, deadline=None)
@given(st.floats(0, 40_000), st.floats(0, 40_000))
def test_a_higher_fill_never_has_a_shorter_scale(one, other):
    low, high = sorted((one, other))

    assert usual_scale_kpa(low) <= usual_scale_kpa(high)
    assert usual_scale_kpa(low) >= low


@pytest.mark.parametrize(
    ("written", "kind", "value"),
    [
        ("200 psi", "pressure_kpa", 200 * PSI),
        ("200psig", "pressure_kpa", 200 * PSI),
        ("14 bar", "pressure_kpa", 1400.0),
        ("1.4 MPa", "pressure_kpa", 1400.0),
        ("70 L", "volume_l", 70.0),
        ("2.5 cu ft", "volume_l", 70.792),
        ("15 min", "minutes", 15.0),
        ("1 h 30 min", "minutes", 90.0),
        ("0 psi", "pressure_kpa", 0.0),
    ],
)
def test_a_reserve_is_read_as_what_its_unit_says(written, kind, value):
    found = reserve_read(written)
    others = {"pressure_kpa", "volume_l", "minutes"} - {kind}

    assert getattr(found, kind) == pytest.approx(value, rel=1e-4)
    assert all(getattr(found, one) is None for one in others)
    assert not found.is_proposal


@pytest.mark.parametrize(
    "written", ["", "200", "much", "-5 psi", "-15 min", "nan psi", "inf bar", "5 furlong", "1 kg"]
)
def test_what_is_no_reserve_says_how_to_write_one(written):
    with pytest.raises(UnreadableQuantity, match="write a pressure, litres or minutes, such as"):
        reserve_read(written)
