"""Organ groups, alert limits and what nitrous oxide spares: every side stands beside the others."""

import pytest

from ullage.answers import (
    alerts_proposed,
    animal,
    body_tissues,
    circulation_at_depth,
    nitrous_oxide_spares,
    species_offered,
)
from ullage.core.errors import InvalidQuantity, UnknownReference
from ullage.reference import conflict

CAT, SHEEP = animal("cat", 4.0), animal("sheep", 50.0)


# Conflict K-53: six tissues of the cat give 62 % to the vessel-rich organs, four groups 57 %.
@pytest.mark.published("physiology_base")
def test_both_sets_of_organs_are_shown():
    answer = body_tissues(CAT)

    assert (answer.low, answer.high) == pytest.approx((57.0, 62.0))
    assert [view.chosen for view in answer.views] == [True, False]
    assert len(answer.steps) == 7


def test_a_species_with_one_set_has_no_sides_and_says_what_it_stands_on():
    answer = body_tissues(SHEEP)

    assert not answer.views
    assert answer.low is None
    assert any("four-group set" in one for one in answer.assumptions)


@pytest.mark.parametrize("species", species_offered())
def test_every_species_has_tissues_whose_flows_add_to_one(species):
    answer = body_tissues(animal(species, 1.0, weight_is_right=True))
    flows = [float(one.result.split(", ")[1].split(" ")[0]) for one in answer.steps]

    assert sum(flows) == pytest.approx(100.0, abs=0.3)


# Physiology section 5, from memory: cat 100/200, 8/30, 60, 36.5/35.5/39.5.
def test_alert_limits_are_those_proposed():
    answer = alerts_proposed(CAT)

    assert (answer.low, answer.high) == (100.0, 200.0)
    assert [one.result for one in answer.steps[1:]] == [
        "8 to 30 /min",
        "60 mmHg",
        "36.5 °C",
        "35.5 °C",
        "39.5 °C",
    ]
    assert {one.how_known for one in answer.where_from} == {"memory"}


def test_borrowed_limits_say_whose_they_are_and_none_are_invented():
    assert "of the horse" in alerts_proposed(animal("pony", 200.0)).assumptions[0]
    with pytest.raises(UnknownReference, match="veterinarian sets them"):
        alerts_proposed(animal("chicken", 2.0))


# Conflict K-56: 1 - 0.08, 1 - 0.20 and 1 - 0.15 a MAC; C001: dog, none to 1.2 MAC, -17 % at 2.
@pytest.mark.published("physiology_values")
def test_every_proposal_for_output_stands_beside_the_one_used():
    light, deep = (circulation_at_depth(CAT, "isoflurane", depth) for depth in (1.0, 2.0))

    assert [one.result for one in light.views] == ["100 %", "92 %", "80 %", "85 %"]
    assert deep.value == pytest.approx(83.0)
    assert conflict("K-56").values


# MOD-021, MOD-020, MOD-022, MOD-024: pigs -30 and -42, ferrets -26, horses -12, children -20 %.
@pytest.mark.published("agents_values")
def test_studies_of_nitrous_oxide_stand_beside_the_sum():
    results = [one.result for one in nitrous_oxide_spares("pig", 0.5).views]

    assert results == ["31.2 %", "30 %", "42 %", "26 %", "12 %", "20 %", "1.37"]


# The sum of fractions within what was seen: pigs beside 50 and 66 %, ferrets 70, horses 25.
@pytest.mark.published("agents_values")
@pytest.mark.parametrize(
    ("species", "fraction", "seen"),
    [("pig", 0.50, 30.0), ("pig", 0.66, 42.0), ("horse", 0.25, 12.0)],
)
def test_the_band_of_the_sum_holds_what_was_measured(species, fraction, seen):
    answer = nitrous_oxide_spares(species, fraction)

    assert answer.low <= seen <= answer.high


@pytest.mark.parametrize("fraction", [-0.1, 0.8, float("nan")])
def test_a_fraction_that_leaves_no_oxygen_is_refused(fraction):
    with pytest.raises(InvalidQuantity, match="nitrous_fraction is"):
        nitrous_oxide_spares("pig", fraction)
