"""The animal and the gas as the engine wants them, one or many."""

import dataclasses

import numpy as np
import pytest

from tests.core.kinetics.reference_set import reference_body, reference_gas
from ullage.answers.animals import animal
from ullage.answers.bodies import GasState, body_of, solubility_of, tissue_shares
from ullage.core.errors import InvalidQuantity, UnknownReference
from ullage.core.kinetics import (
    FA,
    Feedback,
    Run,
    Setting,
    System,
    SystemKind,
    linear_course,
    model_of,
)
from ullage.reference.solubility import ValueSet


def alike(one, other):
    return {
        field.name
        for field in dataclasses.fields(one)
        if not np.allclose(getattr(one, field.name), getattr(other, field.name), rtol=1e-12)
    }


# Uptake sections 3.1 to 3.3: the parameter set of the published reference solutions.
@pytest.mark.published("uptake_base")
@pytest.mark.parametrize(("species", "weight"), [("human", 70.0), ("mouse", 0.025)])
def test_the_uptake_set_is_the_one_of_the_reference_solutions(species, weight):
    body = body_of(animal(species, weight, which=ValueSet.UPTAKE))

    assert alike(body, reference_body(weight, species)) == set()


@pytest.mark.published("uptake_base")
@pytest.mark.parametrize(
    "gas", ["desflurane", "sevoflurane", "isoflurane", "halothane", "nitrous oxide", "nitrogen"]
)
def test_the_uptake_coefficients_are_those_of_the_reference_solutions(gas):
    found = solubility_of(gas, "human", which=ValueSet.UPTAKE)

    assert alike(found, reference_gas(gas)) == set()
    unmetabolised = solubility_of(
        gas, "human", which=ValueSet.UPTAKE, state=GasState(metabolised=False)
    )
    assert unmetabolised.extraction_fraction.tolist() == [0.0]


# Uptake section 9.2: mouse of 25 g, isoflurane 2 % open, alveolar 1.43639 % after 10 min.
@pytest.mark.published("uptake_base")
def test_a_mouse_from_the_answers_follows_the_printed_course():
    mouse = body_of(animal("mouse", 0.025, which=ValueSet.UPTAKE))
    gas = solubility_of("isoflurane", "mouse", which=ValueSet.UPTAKE)
    model = model_of(mouse, {"isoflurane": gas}, System(kind=SystemKind.OPEN), Feedback())
    setting = Setting(start_min=0.0, fresh_gas_l_min=1.0, delivered={"isoflurane": 0.02})
    course = linear_course(model, Run(settings=[setting], times_min=np.array([10.0])))

    assert course[0, -1, 0, FA] == pytest.approx(0.0143639, abs=5e-8)


def test_a_users_mouse_has_measured_lungs_and_the_clinical_series_desflurane():
    user = body_of(animal("mouse", 0.025))

    assert alike(user, reference_body(0.025, "mouse")) == {"lung_l", "arterial_l", "venous_l"}
    assert solubility_of("desflurane", "mouse").blood_gas.tolist() == [0.57]


@pytest.mark.parametrize("species", ["hamster", "sheep", "goat", "macaque", "pony", "chicken"])
def test_flows_of_a_borrowed_body_add_to_one_and_tissues_fit_into_the_animal(species):
    masses, flows = tissue_shares(animal(species, 5.0, weight_is_right=True))

    assert len(masses) == len(flows) == 7
    assert sum(flows) == pytest.approx(1.0)
    assert sum(masses) < 1.0
    assert min(masses + flows) > 0.0


def test_the_four_groups_keep_their_shares_whatever_the_relative():
    masses, flows = tissue_shares(animal("sheep", 50.0))

    assert sum(flows[:3]) + flows[6] == pytest.approx(0.70)
    assert (flows[3], flows[4], flows[5]) == pytest.approx((0.16, 0.11, 0.03))
    assert masses[5] + masses[6] == pytest.approx(0.14)


def test_the_llama_stands_on_the_sheeps_set_which_stands_on_the_pigs():
    assert tissue_shares(animal("llama", 100.0)) == tissue_shares(
        animal("sheep", 100.0, weight_is_right=True)
    )


def test_the_same_seed_draws_the_same_animals_and_another_seed_others():
    cat = animal("cat", 4.0)
    one, same, other = (body_of(cat, 40, seed) for seed in (7, 7, 8))

    assert alike(one, same) == set()
    assert "cardiac_output_l_min" in alike(one, other)


def test_drawn_animals_lie_about_the_animal_as_wide_as_the_band_says():
    cat = animal("cat", 4.0)
    drawn = body_of(cat, 400, 3).cardiac_output_l_min
    value = cat["cardiac_output_l_min"]

    assert np.median(drawn) == pytest.approx(value.value, rel=0.01)
    assert np.quantile(drawn, [0.05, 0.95]) == pytest.approx([value.low, value.high], rel=0.02)


def test_means_of_studies_vary_less_than_single_animals():
    cat = animal("cat", 4.0)

    def width(study_of):
        return float(np.std(np.log(body_of(cat, 300, 5, study_of).alveolar_l_min)))

    assert width(None) > width(8) > width(1000)
    assert width(1000) == pytest.approx(0.16, abs=0.01)


def test_drawn_flows_still_add_to_one_and_fractions_stay_possible():
    body = body_of(animal("sheep", 50.0), 300, 11)

    assert body.flow_fraction.sum(axis=1) == pytest.approx(np.ones(300))
    assert float(body.shunt_fraction.max()) <= 0.6


def test_bodies_and_gases_drawn_with_one_seed_are_independent():
    body = body_of(animal("cat", 4.0), 400, 2)
    gas = solubility_of("isoflurane", "cat", 400, 2)
    correlation = np.corrcoef(np.log(body.cardiac_output_l_min), np.log(gas.blood_gas))[0, 1]

    assert abs(correlation) < 0.15


def test_what_the_site_sets_is_in_the_body_and_still_varies():
    cat = animal("cat", 4.0, {"cardiac_output_l_min": 0.4})

    assert body_of(cat).cardiac_output_l_min.tolist() == [0.4]
    assert np.median(body_of(cat, 100, 1).cardiac_output_l_min) == pytest.approx(0.4, rel=0.01)


def test_a_coefficient_borrowed_from_man_is_drawn_wider():
    own = np.std(np.log(solubility_of("isoflurane", "horse", 300, 1).blood_gas))
    borrowed = np.std(np.log(solubility_of("isoflurane", "pig", 300, 1).blood_gas))

    assert borrowed > 1.3 * own


# Bergadano 2003: isoflurane in horse blood falls 2.63 +- 0.13 % per degree of warming.
@pytest.mark.published("agents_values")
def test_cold_blood_holds_more_and_tissues_follow_blood():
    cold = solubility_of("isoflurane", "horse", state=GasState(temperature_k=309.15))
    warm = solubility_of("isoflurane", "horse", state=GasState(temperature_k=310.15))

    assert warm.blood_gas[0] / cold.blood_gas[0] - 1.0 == pytest.approx(-0.0263, abs=0.0013)
    assert cold.tissue_blood.tolist() == warm.tissue_blood.tolist()


def test_oxygen_is_used_up_and_not_dissolved():
    gas = solubility_of("oxygen", "cat", 3)

    assert gas.blood_gas.tolist() == [0.0, 0.0, 0.0]


def test_a_gas_nobody_measured_and_less_than_no_draws_are_refused():
    with pytest.raises(UnknownReference, match="argon"):
        solubility_of("argon", "cat")
    with pytest.raises(InvalidQuantity, match="draws"):
        body_of(animal("cat", 4.0), draws=-1)
