"""An animal: its values, what is asked about, what was borrowed, what the site sets."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers.animals import alert_limits, animal, species_offered, stands_on
from ullage.core.errors import InvalidQuantity, RuleBroken, UnknownReference
from ullage.reference import HowKnown, Standing, sources
from ullage.reference.solubility import ValueSet

SOUND = {
    "mouse": 0.025,
    "rat": 0.3,
    "hamster": 0.1,
    "guinea pig": 0.8,
    "rabbit": 3.0,
    "ferret": 1.2,
    "cat": 4.0,
    "dog": 12.0,
    "pig": 40.0,
    "minipig": 30.0,
    "sheep": 50.0,
    "goat": 45.0,
    "macaque": 6.0,
    "horse": 500.0,
    "pony": 200.0,
    "chicken": 2.0,
    "cockatoo": 0.4,
    "llama": 120.0,
}


@pytest.mark.parametrize("species", SOUND)
def test_every_value_lies_in_its_band_and_names_known_sources(species):
    for one in animal(species, SOUND[species]):
        assert one.low <= one.value <= one.high, one.name
        assert {line.source for line in one.where_from} <= set(sources())
        assert all(line.text.endswith(".") for line in one.where_from)


# Uptake section 3.2: at 70 kg cardiac output 5.0, alveolar 4.2, lung 2.2, oxygen 0.24, CO2 0.19.
@pytest.mark.published("uptake_base")
def test_the_working_set_gives_the_printed_adult():
    adult = animal("human", 70.0, which=ValueSet.UPTAKE)
    printed = {
        "cardiac_output_l_min": (5.0, 0.05),
        "alveolar_l_min": (4.2, 0.05),
        "lung_l": (2.2, 0.05),
        "oxygen_use_l_min": (0.24, 0.005),
        "co2_output_l_min": (0.19, 0.005),
    }

    for name, (value, half_digit) in printed.items():
        assert adult[name].value == pytest.approx(value, abs=half_digit), name


def test_a_twenty_five_kilogram_mouse_is_a_slip_that_is_asked_about():
    with pytest.raises(RuleBroken, match="Did you mean 25 g"):
        animal("mouse", 25.0)
    assert animal("mouse", 25.0, weight_is_right=True).weight_kg == 25.0


@pytest.mark.parametrize("weight", [0.0, -4.0, float("nan")])
def test_no_animal_weighs_nothing(weight):
    with pytest.raises(InvalidQuantity, match="weight_kg"):
        animal("cat", weight)


def test_an_unknown_species_is_answered_with_those_known():
    with pytest.raises(UnknownReference, match=r"No values for 'unicorn'. Species: mouse, rat"):
        animal("unicorn", 100.0)


def test_a_species_with_its_own_tissues_assumes_nothing():
    cat = animal("Cat ", 4.0)

    assert (cat.species, cat.stands_on, cat.borrowed, cat.assumptions) == ("cat", "cat", False, ())


@pytest.mark.parametrize(
    ("species", "relative"), [("sheep", "pig"), ("hamster", "rat"), ("pony", "horse")]
)
def test_a_borrowed_body_is_assumed_aloud_and_its_bands_are_wider(species, relative):
    borrowed = animal(species, SOUND[species])
    own = animal(relative, SOUND[relative])

    assert borrowed.stands_on == relative
    assert relative in borrowed.assumptions[0]

    def width(one):
        return one["cardiac_output_l_min"].high / one["cardiac_output_l_min"].low

    assert width(borrowed) > 1.2 * width(own)


def test_a_bird_says_that_its_lung_is_computed_as_that_of_a_mammal():
    assert any("bird" in line for line in animal("chicken", 2.0).assumptions)


def test_measured_lungs_are_used_below_ten_kilograms_and_the_line_above():
    rabbit = animal("rabbit", 3.0)
    uptake = animal("rabbit", 3.0, which=ValueSet.UPTAKE)

    assert rabbit["lung_l"].value == pytest.approx(0.0111 * 3.0, rel=1e-6)
    assert uptake["lung_l"].value == pytest.approx(0.0181 * 3.0**1.13, rel=1e-6)
    assert animal("dog", 12.0)["lung_l"].value == pytest.approx(0.0181 * 12.0**1.13, rel=1e-6)


def test_the_rabbit_keeps_both_tidal_volumes_in_its_band():
    tidal = animal("rabbit", 3.0)["tidal_l"]

    assert tidal.value == pytest.approx(0.005 * 3.0)
    assert tidal.low == pytest.approx(0.004 * 3.0)
    assert tidal.high == pytest.approx(0.0077 * 3.0**1.04)


def test_oxygen_demand_is_the_larger_of_the_two_lines():
    for species, weight in SOUND.items():
        found = animal(species, weight)["oxygen_demand_l_min"].value
        lines = (0.0116 * weight**0.76, 0.0099 * weight**0.75)
        assert found == pytest.approx(max(lines))


def test_what_the_site_sets_is_used_said_and_carried_into_what_follows():
    set_to = animal("dog", 20.0, {"alveolar_l_min": 2.0, "oxygen_use_l_min": 0.1})

    assert set_to["alveolar_l_min"].value == 2.0
    assert set_to["alveolar_l_min"].how_known is HowKnown.SITE
    assert set_to["alveolar_l_min"].where_from[0].source == "site_rule"
    assert set_to["minute_volume_l_min"].value == pytest.approx(2.0 / 0.7)
    assert set_to["co2_output_l_min"].value == pytest.approx(0.08)
    assert set_to.overruled == ("alveolar_l_min", "oxygen_use_l_min")
    assert "Set by the site: alveolar l min, oxygen use l min." in set_to.assumptions


def test_the_site_may_fill_what_the_tables_lack():
    assert "fall_in_an_hour_k" in animal("horse", 500.0).missing
    filled = animal("horse", 500.0, {"fall_in_an_hour_k": 0.5})

    assert filled["fall_in_an_hour_k"].value == 0.5
    assert filled.missing == ()


def test_an_overruled_value_that_cannot_be_is_refused():
    with pytest.raises(InvalidQuantity, match="cardiac_output_l_min is -1"):
        animal("cat", 4.0, {"cardiac_output_l_min": -1.0})
    with pytest.raises(UnknownReference, match="No value 'charm' to overrule"):
        animal("cat", 4.0, {"charm": 1.0})


def test_a_value_is_no_surer_than_what_it_stands_on():
    cat = animal("cat", 4.0)

    assert cat["cardiac_output_l_min"].how_known is HowKnown.MEMORY
    assert cat["cardiac_output_awake_l_min"].standing is Standing.ASSUMED
    assert cat["blood_l"].how_known is HowKnown.COMPUTED


def test_an_unknown_value_is_answered_with_those_there_are():
    with pytest.raises(UnknownReference, match="no 'charm'; it has cardiac_output"):
        animal("cat", 4.0)["charm"]


def test_man_is_there_for_comparison_and_not_on_offer():
    assert "human" not in species_offered()
    assert stands_on("human") == ("human", "own")


@given(st.floats(3.0, 6.0), st.floats(1.01, 1.5))
def test_a_heavier_cat_has_more_of_everything_and_less_for_each_kilogram(weight, times):
    light, heavy = animal("cat", weight), animal("cat", weight * times)

    for name in ("cardiac_output_l_min", "alveolar_l_min", "oxygen_use_l_min"):
        assert heavy[name].value > light[name].value
        assert heavy[name].value / (weight * times) < light[name].value / weight


def test_alert_limits_are_those_of_the_species_or_of_the_one_it_stands_on():
    own, of = alert_limits("cat")
    lent, lender = alert_limits("pony")

    assert (of, lender) == ("cat", "horse")
    assert own.heart_rate_low.value == 100.0
    assert lent.mean_pressure_low.value == 70.0
    assert alert_limits("cockatoo") is None
