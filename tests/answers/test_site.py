"""The air pressure of a site, and what it keeps back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers.answer import Verdict
from ullage.answers.site import site_air_pressure, site_reserve
from ullage.answers.things import ReservePolicy
from ullage.core.errors import InvalidQuantity
from ullage.reference import sources


@pytest.mark.parametrize(
    ("elevation_m", "expected_hpa"),
    # Tables of the ICAO standard atmosphere (from memory): 0, 1000, 1500, 3000 m.
    [(0.0, 1013.25), (1000.0, 898.8), (1500.0, 845.6), (3000.0, 701.1)],
)
def test_the_air_thins_as_the_tables_of_the_standard_atmosphere_say(elevation_m, expected_hpa):
    found = site_air_pressure(elevation_m=elevation_m)

    assert found.value == pytest.approx(expected_hpa, abs=0.15)
    assert found.unit == "hPa"


@given(elevation_m=st.floats(min_value=-400, max_value=5400))
def test_the_weather_leaves_a_band_on_both_sides(elevation_m):
    found = site_air_pressure(elevation_m=elevation_m)

    assert found.low < found.value < found.high
    assert found.high - found.value == pytest.approx(found.value - found.low)


def test_a_barometer_comes_before_the_height():
    found = site_air_pressure(elevation_m=60.0, barometric_kpa=100.0)

    assert found.value == pytest.approx(1000.0)
    assert found.verdict is None


def test_a_barometer_reduced_to_sea_level_is_asked_about_and_kept():
    found = site_air_pressure(elevation_m=1900.0, barometric_kpa=101.3)

    assert found.value == pytest.approx(1013.0)
    assert found.verdict is Verdict.LOOK_AGAIN
    assert "not reduced to sea level" in found.todo


def test_without_either_there_is_no_number_but_a_question():
    found = site_air_pressure()

    assert (found.value, found.low) == (None, None)
    assert found.settles.startswith("How high above the sea")
    assert found.assumptions == ("The site lies at sea level.",)


def test_an_impossible_height_is_refused():
    with pytest.raises(InvalidQuantity, match="elevation_m is 20000"):
        site_air_pressure(elevation_m=20_000.0)


def test_until_a_site_has_a_rule_the_proposal_says_that_it_is_one():
    found = site_reserve(ReservePolicy())

    # 200 psi is 1378.95 kPa by definition of the pound-force and the inch.
    assert found.value == pytest.approx(1378.95, abs=0.01)
    assert "A proposal" in found.sentence
    assert "15 minutes" in found.sentence
    assert found.todo


@pytest.mark.parametrize(
    ("policy", "unit", "value"),
    [
        (ReservePolicy(pressure_kpa=1400.0), "kPa", 1400.0),
        (ReservePolicy(volume_l=120.0), "L", 120.0),
        (ReservePolicy(minutes=20.0), "min", 20.0),
        (ReservePolicy(pressure_kpa=1400.0, minutes=20.0), "kPa", 1400.0),
    ],
)
def test_the_rule_of_the_site_stands_as_it_was_set(policy, unit, value):
    found = site_reserve(policy)

    assert (found.unit, found.value) == (unit, value)
    assert "of this site" in found.sentence
    assert not found.assumptions


def test_of_several_rules_the_sentence_says_that_the_one_that_keeps_more_holds():
    found = site_reserve(ReservePolicy(pressure_kpa=1400.0, minutes=20.0))

    assert "the largest is kept back: a gauge pressure, a time" in found.sentence


@pytest.mark.parametrize(
    "found",
    [
        site_air_pressure(),
        site_air_pressure(elevation_m=60.0),
        site_air_pressure(barometric_kpa=100.0),
        site_reserve(ReservePolicy()),
        site_reserve(ReservePolicy(minutes=20.0)),
    ],
)
def test_where_it_comes_from_is_known(found):
    assert found.where_from
    assert set(found.sources) <= set(sources())
