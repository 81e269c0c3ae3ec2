"""Every species as the answers build it, run through the engine against the printed courses."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers.animals import animal
from ullage.answers.bodies import body_of, solubility_of
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

# Uptake section 4.3 (computed there): constant inspired level, alveolar over inspired isoflurane at
# 2, 5, 10, 20, 30 min; sevoflurane at 10 min; half-time of the brain against its blood in min.
PRINTED = {
    ("mouse", 0.025): ("0.54 0.64 0.72 0.82 0.87", "0.85", "1.0"),
    ("rat", 0.3): ("0.50 0.57 0.64 0.72 0.77", "0.79", "1.1"),
    ("rabbit", 3.0): ("0.46 0.53 0.60 0.66 0.71", "0.77", "1.4"),
    ("cat", 4.0): ("0.46 0.54 0.61 0.66 0.70", "0.77", "1.9"),
    ("dog", 15.0): ("0.44 0.51 0.58 0.64 0.67", "0.75", "4.1"),
    ("pig", 30.0): ("0.43 0.51 0.58 0.63 0.66", "0.75", "1.6"),
    ("human", 70.0): ("0.42 0.53 0.62 0.68 0.70", "0.79", "2.3"),
    ("horse", 500.0): ("0.45 0.54 0.60 0.66 0.70", "0.74", "2.5"),
}
MINUTES = np.array([2.0, 5.0, 10.0, 20.0, 30.0])
HALF_DIGIT = 0.00505


def course(species, weight, gas, times):
    body = body_of(animal(species, weight, which=ValueSet.UPTAKE))
    held = solubility_of(gas, species, which=ValueSet.UPTAKE)
    model = model_of(body, {gas: held}, System(kind=SystemKind.OPEN), Feedback())
    setting = Setting(start_min=0.0, fresh_gas_l_min=1.0, delivered={gas: 0.01})
    return linear_course(model, Run(settings=[setting], times_min=times))[0, :, 0] / 0.01


@pytest.mark.published("uptake_base")
@pytest.mark.parametrize("key", PRINTED, ids=lambda key: key[0])
def test_the_lung_of_every_species_follows_its_printed_course(key):
    isoflurane, sevoflurane, _ = PRINTED[key]
    found = course(*key, "isoflurane", MINUTES)[:, FA]
    other = course(*key, "sevoflurane", np.array([10.0]))[0, FA]

    assert found == pytest.approx([float(one) for one in isoflurane.split()], abs=HALF_DIGIT)
    assert other == pytest.approx(float(sevoflurane), abs=HALF_DIGIT)


@pytest.mark.published("uptake_base")
@pytest.mark.parametrize("key", PRINTED, ids=lambda key: key[0])
def test_the_brain_follows_its_blood_with_the_printed_half_time(key):
    body = body_of(animal(*key, which=ValueSet.UPTAKE))
    gas = solubility_of("isoflurane", key[0], which=ValueSet.UPTAKE)
    flow = body.cardiac_output_l_min[0] * body.flow_fraction[0, 0]
    half = np.log(2.0) * body.tissue_l[0, 0] * gas.tissue_blood[0, 0] / flow

    assert half == pytest.approx(float(PRINTED[key][2]), abs=0.05)


@given(st.sampled_from(sorted(PRINTED)), st.floats(0.5, 2.0))
def test_the_plateau_is_the_same_for_every_weight_of_a_species(key, times):
    species, weight = key
    bodies = [
        body_of(animal(species, one, which=ValueSet.UPTAKE, weight_is_right=True))
        for one in (weight, weight * times)
    ]
    ratios = [one.alveolar_l_min[0] / one.cardiac_output_l_min[0] for one in bodies]

    assert ratios[0] == pytest.approx(ratios[1])
    assert bodies[0].flow_fraction.tolist() == bodies[1].flow_fraction.tolist()


@pytest.mark.parametrize("species", ["hamster", "guinea pig", "ferret", "sheep", "macaque"])
def test_a_borrowed_body_takes_up_gas_like_the_others(species):
    weight = {"hamster": 0.1, "guinea pig": 0.8, "ferret": 1.2, "sheep": 50.0, "macaque": 6.0}
    lung = course(species, weight[species], "isoflurane", MINUTES)[:, FA]

    assert np.all(np.diff(lung) > 0.0)
    assert 0.35 < lung[0] < lung[-1] < 0.95
