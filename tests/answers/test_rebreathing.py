"""Carbon dioxide to expect: every system, breathing by itself and ventilated, and its refusals."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.answers import BreathingSystem, Verdict, animal
from ullage.answers.rebreathing import Breathed, carbon_dioxide
from ullage.answers.things import Place
from ullage.core.errors import InvalidQuantity, RuleBroken

CAT, DOG, MOUSE = animal("cat", 4.0), animal("dog", 20.0), animal("mouse", 0.025)
WITH_LIMB = (BreathingSystem.T_PIECE, BreathingSystem.COAXIAL_D, BreathingSystem.NOSE_CONE)


def found(system, who=CAT, **breathed):
    return carbon_dioxide(who, system, Breathed(**{"fresh_gas_l_min": 2.0, **breathed}))


@pytest.mark.parametrize("system", BreathingSystem)
def test_every_system_is_answered_for_a_breath_of_its_own(system):
    answer = found(system)

    assert answer.value is not None
    assert answer.low < answer.value < answer.high
    assert answer.cautions


def test_an_awake_animal_without_rebreathing_stands_at_forty():
    # Physiology section 3: ventilation over ventilation awake is 40 over PaCO2 at the same output.
    answer = found(BreathingSystem.CIRCLE, depth=0.0)

    assert answer.value == pytest.approx(40.0, abs=1.0)
    assert answer.verdict is Verdict.FINE


@pytest.mark.parametrize("system", WITH_LIMB)
def test_forms_stand_side_by_side_and_one_is_chosen(system):
    by_itself, ventilated = found(system), found(system, ventilated=True)

    assert len(by_itself.views) == len(ventilated.views) == 4
    assert by_itself.views[0].label.startswith("Plug flow")
    assert ventilated.views[0].label.startswith("Overflow")
    assert ventilated.views[2].how_known == "memory"


def test_a_machine_that_breathes_more_brings_it_down():
    by_itself = found(BreathingSystem.CIRCLE, DOG)
    ventilated = found(BreathingSystem.CIRCLE, DOG, ventilated=True)

    assert ventilated.value < by_itself.value
    assert any("ventilator" in one for one in ventilated.assumptions)


def test_little_fresh_gas_is_breathed_in_again_and_said():
    answer = found(BreathingSystem.T_PIECE, fresh_gas_l_min=0.6)

    assert answer.verdict is Verdict.LOOK_AGAIN
    assert "is breathed in again" in answer.sentence
    assert "fresh gas" in answer.todo


def test_a_chamber_adds_what_its_gas_holds():
    free = found(BreathingSystem.CIRCLE)
    boxed = found(BreathingSystem.CHAMBER, fresh_gas_l_min=1.0)

    assert boxed.value > free.value
    assert boxed.verdict is Verdict.LOOK_AGAIN


# BF16: rebreathing on an A begins at 0.75 of the minute volume; B and C ask for twice of it.
@pytest.mark.published("machine_S16")
@pytest.mark.parametrize(
    ("system", "enough", "little"),
    [
        (BreathingSystem.MAPLESON_A, 0.8, 0.7),
        (BreathingSystem.MINI_A, 0.8, 0.7),
        (BreathingSystem.MAPLESON_B, 2.05, 1.95),
        (BreathingSystem.MAPLESON_C, 2.05, 1.95),
    ],
)
def test_below_the_printed_multiple_there_is_no_number(system, enough, little):
    one = carbon_dioxide(DOG, system, Breathed(fresh_gas_l_min=1.0))
    breath = 0.65 * DOG["minute_volume_l_min"].value / 1.124

    assert found(system, DOG, fresh_gas_l_min=enough * breath).value is not None
    short = found(system, DOG, fresh_gas_l_min=little * breath)
    assert short.value is None
    assert short.settles
    assert short.verdict is Verdict.LOOK_AGAIN
    assert one.question


@pytest.mark.parametrize("system", [BreathingSystem.MAPLESON_A, BreathingSystem.MAPLESON_C])
def test_a_ventilated_a_has_no_number_at_any_flow(system):
    answer = found(system, DOG, fresh_gas_l_min=20.0, ventilated=True)

    assert answer.value is None
    assert answer.verdict is Verdict.STOP


def test_dead_space_of_equipment_raises_it_and_can_take_the_breath():
    plain = found(BreathingSystem.CIRCLE)
    with_more = found(BreathingSystem.CIRCLE, equipment_l=0.008)

    assert with_more.value > 1.3 * plain.value
    with pytest.raises(RuleBroken, match="leaves nothing of a breath"):
        found(BreathingSystem.CIRCLE, equipment_l=0.03)


def test_high_up_the_same_breath_holds_less():
    high = carbon_dioxide(
        CAT, BreathingSystem.CIRCLE, Breathed(fresh_gas_l_min=2.0), Place(barometric_kpa=80.5)
    )

    assert high.value == pytest.approx(found(BreathingSystem.CIRCLE).value, rel=0.01)


def test_a_ventilator_that_breathes_too_much_is_seen():
    answer = found(BreathingSystem.CIRCLE, DOG, ventilated=True, tidal_l=0.3, breaths_per_min=25.0)

    assert answer.value < 30.0
    assert answer.verdict is Verdict.LOOK_AGAIN


@pytest.mark.parametrize(
    "wrong",
    [
        {"fresh_gas_l_min": 0.0},
        {"depth": -1.0},
        {"equipment_l": -0.001},
        {"tidal_l": 0.0},
        {"limb_l": float("nan")},
    ],
)
def test_what_cannot_be_is_refused(wrong):
    with pytest.raises(InvalidQuantity, match=f"{next(iter(wrong))} is"):
        Breathed(**{"fresh_gas_l_min": 1.0, **wrong})


@settings(max_examples=20, deadline=None)
@given(st.floats(0.4, 8.0), st.floats(1.01, 2.0))
def test_more_fresh_gas_never_raises_it(flow, times):
    less = found(BreathingSystem.T_PIECE, fresh_gas_l_min=flow)
    more = found(BreathingSystem.T_PIECE, fresh_gas_l_min=flow * times)

    assert more.value <= less.value + 1e-6
