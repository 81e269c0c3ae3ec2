"""How values of an animal are worked out, and what their bands mean."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers.animal_things import Animal, AnimalValue
from ullage.answers.animal_values import VALUES, band_of, spread_sd, worked_out
from ullage.answers.animals import animal
from ullage.reference import HowKnown, Standing
from ullage.reference.solubility import ValueSet

SDS = st.floats(0.0, 0.6)


@given(st.floats(0.001, 1000.0), SDS)
def test_a_band_is_as_far_below_as_above_in_ratio(value, sd):
    low, high = band_of(value, sd)

    assert low <= value <= high
    assert value / low == pytest.approx(high / value)


@given(st.integers(1, 400))
def test_the_mean_of_more_animals_is_surer_but_never_surer_than_its_species(count):
    one, some = spread_sd("alveolar"), spread_sd("alveolar", study_of=count)

    assert 0.16 <= some <= one
    assert spread_sd("alveolar", study_of=count + 1) < some


@pytest.mark.parametrize("name", ["cardiac_output", "alveolar", "lung", "tissue_flow"])
def test_what_is_borrowed_is_wider(name):
    assert spread_sd(name, borrowed=True) > spread_sd(name)


def test_a_spread_nobody_named_is_none():
    assert spread_sd("charm") == 0.0


@pytest.mark.parametrize("species", ["mouse", "cat", "sheep", "pony", "chicken", "llama"])
def test_values_come_in_one_order_and_in_their_own_units(species):
    found = worked_out(species, 2.0, {})

    assert list(found) == [one for one in VALUES if one in found]
    assert {one.unit for one in found.values()} <= set(VALUES.values())
    assert all(one.unit == VALUES[one.name] for one in found.values())


def test_a_value_of_several_rows_names_them_all_once():
    arterial = worked_out("cat", 4.0, {})["arterial_l"]

    assert len(arterial.where_from) == 2
    assert arterial.where.count("uptake 3.2") == 1


def test_what_the_site_sets_in_the_middle_reaches_what_follows_and_no_more():
    base, changed = (worked_out("cat", 4.0, given) for given in ({}, {"blood_l": 0.5}))

    assert changed["venous_l"].value == pytest.approx(0.35)
    assert changed["arterial_l"].value == pytest.approx(0.10)
    assert changed["lung_l"] == base["lung_l"]
    assert changed["blood_l"].standing is Standing.ASSUMED


def test_what_the_site_sets_keeps_the_relative_width_of_the_band():
    base, changed = (worked_out("cat", 4.0, given) for given in ({}, {"tidal_l": 0.05}))
    ours, theirs = base["tidal_l"], changed["tidal_l"]

    assert theirs.high / theirs.value == pytest.approx(ours.high / ours.value)
    assert f"{ours.value:.3g} L" in theirs.where


@pytest.mark.parametrize("which", ValueSet)
def test_both_sets_give_every_value(which):
    assert set(worked_out("rat", 0.3, {}, which)) == set(VALUES)


def test_a_dead_space_set_by_the_site_changes_the_minute_volume():
    found = worked_out("cat", 4.0, {"dead_space_fraction": 0.5})

    assert found["minute_volume_l_min"].value == pytest.approx(2.0 * found["alveolar_l_min"].value)


def test_an_animal_hands_its_values_out_by_name_and_in_order():
    cat = animal("cat", 4.0)

    assert isinstance(cat, Animal)
    assert [one.name for one in cat] == list(cat.values)
    assert isinstance(cat["lung_l"], AnimalValue)
    assert cat.overruled == ()


def test_a_standing_is_never_better_than_estimated():
    standings = {one.standing for one in animal("mouse", 0.025)}

    assert standings <= {Standing.ESTIMATED, Standing.ASSUMED}
    assert HowKnown.SEEN not in {one.how_known for one in animal("mouse", 0.025)}
