"""The engine with feedbacks against computed reference solutions, and laws."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.kinetics.reference_set import gases, on_air, reference_body, reference_gas
from tests.core.kinetics.test_linear import CIRCLE, OPEN, schedule
from ullage.core.errors import InvalidQuantity
from ullage.core.kinetics import (
    FA,
    FI,
    Feedback,
    Run,
    Setting,
    System,
    SystemKind,
    feedback_course,
    held_in_body_l,
    linear_course,
    model_of,
)
from ullage.core.kinetics.feedback import streams_at

ALL = ("sevoflurane", "nitrous oxide", "oxygen", "nitrogen")
ADULT = System(kind=SystemKind.CIRCLE, inspiratory_l=2.0, reservoir_l=4.5)


def two_step():
    """Preoxygenation and the two-step low-flow sequence of uptake.md section 8."""
    first = {"sevoflurane": 0.02, "oxygen": 0.98 / 3, "nitrous oxide": 0.98 * 2 / 3}
    second = {"sevoflurane": 0.026, "oxygen": 0.974 * 3 / 7, "nitrous oxide": 0.974 * 4 / 7}
    third = {"sevoflurane": 0.02, "oxygen": 0.98 * 3 / 7, "nitrous oxide": 0.98 * 4 / 7}
    return [
        Setting(start_min=0, fresh_gas_l_min=8, delivered={"oxygen": 1.0}),
        Setting(start_min=3, fresh_gas_l_min=6, delivered=first),
        Setting(start_min=6, fresh_gas_l_min=0.7, delivered=second),
        Setting(start_min=18, fresh_gas_l_min=0.7, delivered=third),
    ]


# uptake.md section 9.3 (computed), per cent: FI and FA of sevo, N2O, O2, N2; U and VS in L/min.
PRINTED = {
    (False, 6): ("1.9983 65.2869 32.7068 0.0016", "1.4521 55.3054 34.8449 0.6215", 0.7995, 5.0069),
    (False, 18): ("1.6877 54.7838 38.8249 1.8369", "1.4579 52.2334 35.9188 2.2374", 0.3159, 0.1905),
    (False, 48): ("1.5628 62.9040 31.0470 2.6418", "1.4085 61.6157 27.0554 2.9851", 0.2510, 0.2554),
    (True, 6): ("1.9300 63.5624 34.1306 0.0762", "1.4631 55.0571 36.4570 0.5972", 0.7917, 5.0147),
    (True, 48): ("1.5553 62.8025 31.2511 2.6591", "1.4095 61.5816 27.5156 2.9830", 0.2512, 0.2551),
}


@pytest.mark.comparison
@pytest.mark.parametrize(("hold_expired", "minute"), PRINTED)
def test_volume_balance_agrees_with_the_computed_reference_solution(hold_expired, minute):
    inspired, alveolar, net, spill = PRINTED[hold_expired, minute]
    feedback = Feedback(balance=True, hold_expired=hold_expired)
    model = model_of(reference_body(70.0), gases(ALL), ADULT, feedback)
    pieces = two_step()

    # The flows are printed one step of 0.01 min before the levels.
    times = np.array([minute - 0.01, minute - 1e-9])
    found = feedback_course(model, Run(settings=pieces, times_min=times, start=on_air(ALL)))
    streams, uptake = streams_at(model, found, [p for p in pieces if p.start_min < minute][-1])

    assert 100 * found[0, 1, :, FI] == pytest.approx([float(x) for x in inspired.split()], abs=2e-4)
    assert 100 * found[0, 1, :, FA] == pytest.approx([float(x) for x in alveolar.split()], abs=2e-4)
    taken = float(uptake[0, 0].sum() - model.body.co2_output_l_min[0])
    assert taken == pytest.approx(net, abs=1e-4)
    assert float(streams.spill[0, 0]) == pytest.approx(spill, abs=1e-4)


# uptake.md section 9.4 (computed): inspired fraction -> FA/FI and VA/VA0 after 20 min.
DEPTH = [(0.005, 0.5046, 0.8900), (0.02, 0.4266, 0.6222), (0.10, 0.1810, 0.1636)]


@pytest.mark.comparison
@pytest.mark.parametrize(("inspired", "ratio", "share"), DEPTH)
def test_depth_slows_breathing_as_in_the_computed_reference_solution(inspired, ratio, share):
    names = ("halothane", "oxygen", "nitrogen")
    feedback = Feedback(balance=True, ventilation_slope=0.35, mac_fraction={"halothane": 0.0075})
    model = model_of(reference_body(70.0), gases(names), OPEN, feedback)
    delivered = {"halothane": inspired, "oxygen": 1.0 - inspired}
    piece = Setting(start_min=0, fresh_gas_l_min=1, delivered=delivered)

    found = feedback_course(
        model, Run(settings=[piece], times_min=np.array([20.0]), start=on_air(names))
    )
    streams, _ = streams_at(model, found, piece)

    assert found[0, 0, 0, FA] / inspired == pytest.approx(ratio, abs=3e-4)
    assert streams.into[0, 0] / model.body.alveolar_l_min[0] == pytest.approx(share, abs=3e-4)


def test_without_feedbacks_it_is_the_linear_engine():
    body = reference_body(70.0)
    gas = {"isoflurane": reference_gas("isoflurane")}
    times = np.array([0.5, 10.0, 33.0, 125.0, 239.0])
    model = model_of(body, gas, CIRCLE, Feedback())

    run = Run(settings=schedule(), times_min=times)

    assert np.abs(feedback_course(model, run) - linear_course(model, run)).max() < 1e-7


def test_only_the_states_asked_for_come_back():
    gas = {"isoflurane": reference_gas("isoflurane", 3)}
    model = model_of(reference_body(70.0, count=3), gas, CIRCLE, Feedback())
    times = np.arange(1.0, 40.0)
    whole, part = (
        Run(settings=schedule(), times_min=times, keep=keep) for keep in (None, (FI, FA))
    )

    for course in (feedback_course, linear_course):
        wanted = course(model, whole)[..., [FI, FA]]
        assert course(model, part) == pytest.approx(wanted, abs=1e-15)


def test_the_gases_of_the_alveoli_leave_room_for_carbon_dioxide_alone():
    model = model_of(reference_body(70.0), gases(ALL), ADULT, Feedback(balance=True))
    pieces = two_step()
    found = feedback_course(
        model, Run(settings=pieces, times_min=np.array([5.0, 4000.0]), start=on_air(ALL))
    )
    streams, _ = streams_at(model, found, pieces[-1])

    rest = 1.0 - found[0, 1:, :, FA].sum(axis=1)

    assert rest == pytest.approx(model.body.co2_output_l_min[0] / streams.out_of[0, 1:], rel=0.02)


def test_a_volume_balance_without_oxygen_is_refused():
    with pytest.raises(InvalidQuantity, match="gases is 1; it must be with oxygen"):
        model_of(reference_body(70.0), gases(("sevoflurane",)), OPEN, Feedback(balance=True))


@settings(max_examples=15, deadline=None)
@given(st.floats(0.001, 0.05), st.floats(0.001, 0.05), st.floats(0.3, 6.0))
def test_a_higher_dial_never_gives_a_lower_level_whatever_breathing_does(one, other, flow):
    low, high = sorted((one, other))
    feedback = Feedback(
        ventilation_slope=0.35, output_slope=0.2, mac_fraction={"isoflurane": 0.0128}
    )
    gas = {"isoflurane": reference_gas("isoflurane")}
    model = model_of(reference_body(30.0), gas, ADULT, feedback, 0.3)
    times = np.array([2.0, 10.0, 40.0])

    levels = []
    for dial in (low, high):
        piece = Setting(start_min=0, fresh_gas_l_min=flow, delivered={"isoflurane": dial})
        levels.append(feedback_course(model, Run(settings=[piece], times_min=times))[0, :, 0, FA])

    assert np.all(levels[1] >= levels[0] - 2e-7)


def test_a_trace_comes_to_the_inspired_level_with_the_volume_balance_on():
    names = ("isoflurane", "oxygen", "nitrogen")
    feedback = Feedback(balance=True, hold_expired=True)
    model = model_of(reference_body(3.0), gases(names), OPEN, feedback)
    delivered = {"isoflurane": 1e-4, "oxygen": 0.5, "nitrogen": 0.4999}
    piece = Setting(start_min=0, fresh_gas_l_min=1, delivered=delivered)
    run = Run(settings=[piece], times_min=np.array([50_000.0]), start=on_air(names))

    end = feedback_course(model, run)[0, 0]

    # What is breathed out is less than what is breathed in by the oxygen kept, so gas thickens.
    thicker = 1.0 + (model.body.oxygen_use_l_min - model.body.co2_output_l_min)[0] / float(
        model.body.alveolar_l_min[0]
    )
    assert end[0, FA] == pytest.approx(1e-4 * thicker, rel=1e-3)
    assert end[0, 4:11] == pytest.approx(end[0, FA], rel=1e-3)


@pytest.mark.published("uptake_base")
def test_the_body_holds_about_as_much_nitrogen_as_is_told():
    """uptake.md section 2.4: 1.3 L at 70 kg, litres of which kind is not said; ours of the lung."""
    names = ("oxygen", "nitrogen")
    model = model_of(reference_body(70.0), gases(names), OPEN, Feedback(balance=True))
    states = on_air(names)[:, None]

    held = held_in_body_l(model, states)[0, 0, 1] - 0.80 * float(model.body.lung_l[0])

    assert held == pytest.approx(1.3, rel=0.15)


def test_oxygen_washes_nitrogen_out_of_the_lung_in_minutes_and_of_the_body_in_hours():
    names = ("oxygen", "nitrogen")
    model = model_of(reference_body(70.0), gases(names), OPEN, Feedback(balance=True))
    piece = Setting(start_min=0, fresh_gas_l_min=8, delivered={"oxygen": 1.0})
    run = Run(settings=[piece], times_min=np.array([0.0, 5.0, 240.0]), start=on_air(names))
    states = feedback_course(model, run)
    held = held_in_body_l(model, states)[0, :, 1]

    assert states[0, 1, 1, FA] < 0.02
    assert held[1] > 0.2 * held[0] > held[2] > 0.0
