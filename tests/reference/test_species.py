"""Rows of the fact tables on a species."""

import pytest

from ullage.reference import HowKnown
from ullage.reference.species import (
    SIX,
    alerts,
    blood_volume,
    four_groups,
    lung_volumes,
    physiology_row,
    tissue_set,
    ventilator_rows,
)

OWN = ("human", "mouse", "rat", "dog", "pig", "horse", "cat", "rabbit", "chicken")


@pytest.mark.parametrize("species", OWN)
def test_flows_of_a_tissue_set_add_to_one_and_masses_to_less(species):
    rows = tissue_set(species)

    assert tuple(one.tissue for one in rows) == SIX
    assert sum(one.flow.value for one in rows) == pytest.approx(1.0, abs=1e-9)
    assert sum(one.mass.value for one in rows) < 1.0


def test_a_species_without_a_set_has_none():
    assert tissue_set("sheep") == ()


# Table of animals as compiled in the fact base: chicken kidney 0.135, intestine 0.158 of output.
@pytest.mark.published("physiology_values")
def test_the_organs_of_the_chicken_are_added_up_and_marked_as_computed():
    flows = {one.tissue: one.flow for one in tissue_set("chicken")}

    assert flows["kidney"].value == pytest.approx(0.135 / 0.957, rel=1e-3)
    assert flows["muscle"].value == pytest.approx(0.350 / 0.957, rel=1e-3)
    assert all(one.how_known is HowKnown.COMPUTED for one in flows.values())


@pytest.mark.parametrize(
    "species", ["mouse", "hamster", "guinea pig", "ferret", "sheep", "goat", "macaque", "minipig"]
)
def test_a_four_group_row_comes_in_percent_and_flows_add_to_all(species):
    groups = four_groups(species)

    assert sum(one.value for one in groups.flow_percent) == 100.0
    assert 70.0 < sum(one.value for one in groups.volume_percent) < 90.0
    assert all(one.how_known is HowKnown.MEMORY for one in groups.flow_percent)


# Compendium of drugs for laboratory animals, blood volumes: mouse 79, rabbit 56 (44-70) mL/kg.
@pytest.mark.published("physiology_values")
@pytest.mark.parametrize(("species", "ml_kg"), [("mouse", 79), ("rabbit", 56), ("macaque", 54)])
def test_blood_volume_is_that_of_the_table(species, ml_kg):
    assert blood_volume(species).value == ml_kg


def test_what_the_table_lacks_is_none_and_no_guess():
    assert blood_volume("llama") is None
    assert alerts("llama") is None
    assert ventilator_rows("llama") == {}
    assert lung_volumes("cat") == ()
    assert four_groups("llama") is None
    assert physiology_row("llama", "heart rate") is None


# Comparative Biology of the Normal Lung, appendix 4, table 1: dog anaesthetised 40.3, awake 53.6.
@pytest.mark.published("physiology_values")
def test_lung_volumes_are_those_under_anaesthesia_where_there_are_such():
    assert [one.value for one in lung_volumes("dog")] == [40.3]
    assert [one.value for one in lung_volumes("rabbit")] == [10.6, 11.6]
    assert [one.value for one in lung_volumes("macaque")] == [49.5, 42.8]


def test_alert_limits_of_every_species_lie_in_order():
    for species in ("mouse", "rabbit", "cat", "dog", "sheep", "horse"):
        limits = alerts(species)

        assert limits.heart_rate_low.value < limits.heart_rate_high.value
        assert limits.breaths_low.value < limits.breaths_high.value
        cold, cool, hot = (
            limits.temperature_critical.value,
            limits.temperature_caution.value,
            limits.temperature_high.value,
        )
        assert cold < cool < hot


def test_a_ventilator_start_has_middle_and_ends():
    rows = ventilator_rows("dog")

    assert [one.value for one in rows["tidal_ml_kg"]] == [12.0, 10.0, 15.0]
    assert [one.value for one in rows["pressure_cmh2o"]][1:] == [12.0, 20.0]
