"""The engine as every answer runs it: litres, animals, gases and feedbacks from the tables."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers.animals import animal
from ullage.answers.kinetics import (
    Draws,
    Mode,
    body_in_lung_litres,
    conscious_body,
    course,
    effect_rate_per_min,
    feedback_for,
    gas_in_lung_litres,
    litres_of,
    model_for,
    needs_balance,
    output_at,
    room_system,
)
from ullage.core.kinetics import (
    EFFECT,
    FA,
    TISSUE,
    Feedback,
    Run,
    Setting,
    System,
    SystemKind,
)
from ullage.reference.solubility import ValueSet

OPEN = System(kind=SystemKind.OPEN)
SEA = litres_of()


def on(fraction, agent="isoflurane", flow=1.0):
    return Setting(start_min=0, fresh_gas_l_min=flow, delivered={agent: fraction})


@pytest.mark.published("uptake_base")
def test_the_delay_of_the_effect_is_that_of_man_and_goes_with_weight_as_rates_do():
    """uptake.md 5.1: 0.2 to 0.3 /min; Lindstedt and Schaeffer 2002: rates go with weight^-0.25."""
    assert 0.2 <= effect_rate_per_min(70.0) <= 0.3
    assert effect_rate_per_min(70.0 / 16.0) == pytest.approx(2.0 * effect_rate_per_min(70.0))


@pytest.mark.published("physiology_values")
def test_the_delay_of_a_cat_agrees_with_the_one_that_was_measured():
    """C012: ventilation of cats lags end-tidal gas with a half-time of 3.6 +- 1.0 min."""
    cat = animal("cat", 4.0)
    body = body_in_lung_litres(cat, SEA)
    gas = gas_in_lung_litres("sevoflurane", "cat", SEA)
    flow = body.cardiac_output_l_min * body.flow_fraction[:, 0]
    brain = float((flow / (body.tissue_l[:, 0] * gas.tissue_blood[:, 0]))[0])
    delay, minutes = effect_rate_per_min(4.0), np.linspace(0.0, 20.0, 20_001)

    lag = delay * np.exp(-brain * minutes) - brain * np.exp(-delay * minutes)
    response = 1.0 - lag / (delay - brain)

    assert minutes[np.searchsorted(response, 0.5)] == pytest.approx(3.6, abs=1.0)


@pytest.mark.published("physiology_values")
def test_an_animal_awake_breathes_what_the_table_says():
    """A032: 24.75 L/h per kg^0.75; A034: a third of it is dead space."""
    mouse = animal("mouse", 0.035)
    body = body_in_lung_litres(mouse, SEA, conscious=True)

    minute = 24.75 / 60.0 * 0.035**0.75
    assert body.minute_volume_l_min[0] == pytest.approx(minute)
    assert body.alveolar_l_min[0] == pytest.approx(0.67 * minute)


def test_draws_of_an_animal_awake_keep_their_factors():
    mouse = animal("mouse", 0.035)
    calm = body_in_lung_litres(mouse, SEA, Draws(count=30, seed=3))
    awake = conscious_body(calm, mouse)

    ratio = awake.alveolar_l_min / calm.alveolar_l_min
    assert ratio == pytest.approx(ratio[0])


@pytest.mark.published("physiology_values")
def test_output_stays_to_the_depth_that_was_read_and_then_falls_as_read():
    """C001, dog: no change at 1.2 MAC, -17 % at 2 MAC."""
    assert output_at(1.2) == 1.0
    assert output_at(2.0) == pytest.approx(0.83)


@given(st.floats(0.0, 10.0), st.floats(0.0, 10.0))
def test_output_never_rises_with_depth(one, other):
    low, high = sorted((one, other))

    assert 0.0 <= output_at(high) <= output_at(low) <= 1.0


@pytest.mark.published("uptake_checks")
def test_the_loss_and_the_volume_give_back_the_times_of_the_test_lung():
    """T-LUNG: 155, 534 and 1165 s to 4 % from a dial of 6 % at 3, 1 and 0.5 L/min."""
    from ullage.reference import sourced

    volume = sourced("kinetics", "test_lung_l").value
    lost = sourced("kinetics", "lost.sevoflurane_l_min").value
    for flow, seconds in ((3.0, 155.0), (1.0, 534.0), (0.5, 1165.0)):
        out = flow + lost
        found = 60.0 * volume / out * np.log(1.0 / (1.0 - 4.0 / 6.0 * out / flow))
        assert found == pytest.approx(seconds, rel=0.045)


def test_only_sevoflurane_is_lost_because_only_it_was_measured():
    assert gas_in_lung_litres("sevoflurane", "dog", SEA).lost_l_min[0] > 0.0
    assert gas_in_lung_litres("isoflurane", "dog", SEA).lost_l_min[0] == 0.0


def test_the_switch_of_the_labels_reaches_the_engine():
    clinical, label = (
        gas_in_lung_litres("sevoflurane", "dog", SEA, Draws(which=one)).blood_gas[0]
        for one in (ValueSet.USER, ValueSet.LABEL)
    )

    assert (clinical, label) == (0.74, 0.65)


@pytest.mark.parametrize(
    ("delivered", "needed"),
    [
        ({"isoflurane": 0.05, "oxygen": 0.95}, False),
        ({"desflurane": 0.12, "oxygen": 0.88}, True),
        ({"nitrous oxide": 0.3, "oxygen": 0.7}, True),
        ({"oxygen": 0.3, "nitrogen": 0.7}, False),
    ],
)
def test_the_volume_balance_is_for_nitrous_oxide_and_for_much_vapour(delivered, needed):
    setting = Setting(start_min=0, fresh_gas_l_min=1, delivered=delivered)

    assert needs_balance([setting]) is needed


def test_a_machine_that_breathes_keeps_breathing_and_holds_what_it_inspires():
    macs = {"isoflurane": 0.0128}
    alone = feedback_for("dog", macs, Mode(), balance=True)
    machine = feedback_for("dog", macs, Mode(spontaneous=False), balance=True)

    assert (alone.ventilation_slope, alone.hold_expired) == (0.35, True)
    assert (machine.ventilation_slope, machine.hold_expired) == (0.0, False)


def test_waking_has_the_slope_and_floor_of_its_species():
    waking = feedback_for("rat", {"isoflurane": 0.014}, Mode(recovering=True))

    assert (waking.ventilation_slope, waking.ventilation_floor) == (0.30, 0.15)


def test_the_effect_follows_the_brain_with_its_delay():
    cat = animal("cat", 4.0)
    gas = {"isoflurane": gas_in_lung_litres("isoflurane", "cat", SEA)}
    model = model_for(body_in_lung_litres(cat, SEA), gas, OPEN, Feedback())
    run = Run(settings=[on(0.02)], times_min=np.arange(0.5, 30.0, 0.5))
    states = course(model, run)[0, :, 0]

    assert np.all(states[:, EFFECT] < states[:, TISSUE.start])


def test_feedback_turns_the_exact_engine_into_the_other_and_slows_deep_breathing():
    cat = animal("cat", 4.0)
    gas = {"isoflurane": gas_in_lung_litres("isoflurane", "cat", SEA)}
    run = Run(settings=[on(0.04)], times_min=np.array([20.0]))
    levels = []
    for mode in (Mode(), Mode(spontaneous=False)):
        feedback = feedback_for("cat", {"isoflurane": 0.0163}, mode)
        model = model_for(body_in_lung_litres(cat, SEA), gas, OPEN, feedback)
        levels.append(course(model, run)[0, 0, 0, FA])

    assert levels[0] < 0.95 * levels[1]


def test_higher_up_the_same_litre_of_free_gas_washes_in_faster():
    dog = animal("dog", 20.0)
    circle = System(kind=SystemKind.CIRCLE, inspiratory_l=2.0, reservoir_l=4.5)
    levels = []
    for kpa in (101.325, 80.5):
        place = litres_of(kpa)
        gas = {"isoflurane": gas_in_lung_litres("isoflurane", "dog", place)}
        model = model_for(
            body_in_lung_litres(dog, place), gas, room_system(circle, place), Feedback()
        )
        setting = on(0.02, flow=1.0 * place.of_free)
        states = course(model, Run(settings=[setting], times_min=np.array([15.0])))
        levels.append(states[0, 0, 0, FA])

    assert levels[1] > 1.1 * levels[0]
