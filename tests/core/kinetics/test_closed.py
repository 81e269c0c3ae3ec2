"""The square-root rule on paper, doses into a closed circle, and oxygen at low flow."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core.kinetics.reference_set import gases, on_air, reference_body, reference_gas
from ullage.core.errors import InvalidQuantity
from ullage.core.kinetics import (
    FI,
    Feedback,
    Run,
    Setting,
    System,
    SystemKind,
    dosed_course,
    feedback_course,
    held_in_body_l,
    held_in_system_l,
    model_of,
    oxygen_in_circle_fraction,
    prime_dose_l,
    square_root_dose_times_min,
    square_root_uptake_l,
    square_root_uptake_l_min,
    streams_at,
    unit_dose_l,
)

CLOSED = System(kind=SystemKind.MIXED, inspiratory_l=33.0)


@pytest.mark.published("uptake_base")
def test_the_unit_dose_of_the_horse_gives_the_output_that_was_read():
    """uptake.md equation 11: 4.2 mL of liquid in 500 kg horses come to an output of 21.6 L/min."""
    vapour_l = 4.2 * 0.195

    assert unit_dose_l(21.6, 1.43, 0.0131) == pytest.approx(vapour_l, rel=0.02)


@given(st.floats(0.01, 2.0), st.floats(0.5, 200.0))
def test_the_rule_of_the_rate_is_the_slope_of_the_rule_of_the_sum(unit, minute):
    step = 1e-4 * minute
    rise = square_root_uptake_l(unit, minute + step) - square_root_uptake_l(unit, minute - step)

    assert rise / (2 * step) == pytest.approx(square_root_uptake_l_min(unit, minute), rel=1e-6)


def test_between_two_doses_of_the_rule_one_unit_is_taken_up():
    times = square_root_dose_times_min(100.0)

    taken = np.diff([square_root_uptake_l(0.8, one) for one in times])

    assert times == tuple(float(k * k) for k in range(11))
    assert taken == pytest.approx(0.8)


def test_the_prime_fills_circuit_and_lung_and_half_a_unit():
    assert prime_dose_l(5.0, 3.0, 0.08, 0.4) == pytest.approx(0.64 + 0.2)


def closed_model(count=1):
    body = reference_body(500.0, count=count)
    return model_of(body, {"isoflurane": reference_gas("isoflurane", count)}, CLOSED, Feedback())


def test_doses_into_a_closed_circle_are_all_still_there():
    model = closed_model()
    used = float(model.body.oxygen_use_l_min[0])
    run = Run(
        settings=[Setting(start_min=0, fresh_gas_l_min=used)],
        times_min=np.array([0.0, 0.5, 1.0, 30.0, 81.0]),
    )
    doses = [(minute, 0.819) for minute in square_root_dose_times_min(81.0)]

    states = dosed_course(model, run, doses)
    held = (held_in_body_l(model, states) + held_in_system_l(model, states))[0, :, 0]

    given_before = [0.819 * sum(1 for at, _ in doses if at < one) for one in run.times_min]
    given_before[0] = 0.819  # the first dose is in the circle at once
    assert held == pytest.approx(given_before, rel=1e-9)
    assert states[0, 0, 0, FI] == pytest.approx(0.819 / 33.0)


def test_a_setting_may_change_between_two_doses():
    model = closed_model()
    used = float(model.body.oxygen_use_l_min[0])
    pieces = [
        Setting(start_min=0, fresh_gas_l_min=used),
        Setting(start_min=2.5, fresh_gas_l_min=used + 10.0),
    ]
    run = Run(settings=pieces, times_min=np.array([2.0, 3.0, 6.0]))

    levels = dosed_course(model, run, [(0.0, 0.8), (1.0, 0.8)])[0, :, 0, FI]

    assert levels[2] < levels[1] < levels[0]


def test_doses_into_an_open_system_are_refused():
    model = model_of(
        reference_body(70.0),
        {"isoflurane": reference_gas("isoflurane")},
        System(kind=SystemKind.OPEN),
        Feedback(),
    )
    run = Run(settings=[Setting(start_min=0, fresh_gas_l_min=1)], times_min=np.array([1.0]))

    with pytest.raises(InvalidQuantity, match="system volume is 0; it must be above 0"):
        dosed_course(model, run, [(0.0, 0.1)])


def test_oxygen_at_low_flow_comes_to_the_share_of_what_leaves():
    """uptake.md equation 15 against the engine with its volume balance, after hours."""
    names = ("nitrous oxide", "oxygen", "nitrogen")
    circle = System(kind=SystemKind.CIRCLE, inspiratory_l=2.0, reservoir_l=4.5)
    model = model_of(reference_body(70.0), gases(names), circle, Feedback(balance=True))
    fresh = {"nitrous oxide": 0.5, "oxygen": 0.5}
    piece = Setting(start_min=0, fresh_gas_l_min=1.0, delivered=fresh)
    run = Run(settings=[piece], times_min=np.array([400.0]), start=on_air(names))

    states = feedback_course(model, run)
    _, uptake = streams_at(model, states, piece)
    found = oxygen_in_circle_fraction(
        1.0, 0.5, float(model.body.oxygen_use_l_min[0]), float(uptake[0, 0, 0])
    )

    leaving = states[0, 0, 1, 1]
    assert found == pytest.approx(leaving, abs=0.003)


def test_less_oxygen_than_is_used_leaves_none():
    assert oxygen_in_circle_fraction(1.0, 0.2, 0.24) == 0.0


def test_a_circle_that_nothing_leaves_is_refused():
    with pytest.raises(InvalidQuantity, match=r"gas that leaves the circle is -0\.1"):
        oxygen_in_circle_fraction(0.2, 0.2, 0.2, 0.1)
