"""The linear engine against the computed reference solutions and against laws."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.kinetics.reference_set import reference_body, reference_gas
from ullage.core.errors import InvalidQuantity
from ullage.core.kinetics import (
    FA,
    FI,
    PV,
    TISSUE,
    Feedback,
    Run,
    Setting,
    System,
    SystemKind,
    linear_course,
    model_of,
)

CIRCLE = System(kind=SystemKind.CIRCLE, inspiratory_l=2.0, reservoir_l=5.0)
OPEN = System(kind=SystemKind.OPEN)

# uptake.md section 6: minutes, delivered fraction, fresh gas in L/min.
SCHEDULE = [
    (10, 0.03, 6),
    (20, 0.02, 2),
    (30, 0.025, 1),
    (60, 0.015, 0.5),
    (60, 0.02, 1),
    (30, 0, 6),
    (30, 0, 8),
]

# uptake.md section 9.1 (computed), per cent of 1 atm: FI FR FA Pv, seven tissues.
PRINTED_CIRCLE = {
    1: "2.84562 0.73894 0.84977 0.06187 0.10998 0.13270 0.57026 0.00330 0.00579 0.00018 0.00116",
    30: "1.54277 1.31378 1.13593 0.88743 1.15130 1.14434 1.12953 0.28481 0.45683 0.01783 0.10778",
    120: "0.87427 0.81770 0.74699 0.67019 0.74338 0.74357 0.74453 0.58633 0.73740 0.05284 0.28320",
    240: "0.00000 0.07960 0.14602 0.23384 0.15208 0.15142 0.14899 0.55052 0.50846 0.08297 0.37272",
}

# uptake.md section 9.2 (computed), mouse of 25 g: FA Pv, seven tissues.
PRINTED_MOUSE = {
    1: "0.94681 0.32005 0.41120 0.54810 0.80281 0.08726 0.09299 0.00746 0.04202",
    10: "1.43639 1.09661 1.38150 1.39954 1.41593 0.86558 0.89863 0.10919 0.51679",
    15: "0.27799 0.44483 0.36558 0.31884 0.29325 0.66223 0.66916 0.12362 0.49235",
}


def schedule():
    start, found = 0.0, []
    for minutes, fraction, flow in SCHEDULE:
        delivered = {"isoflurane": fraction}
        found.append(Setting(start_min=start, fresh_gas_l_min=flow, delivered=delivered))
        start += minutes
    return found


def course(body, system, pieces, times):
    gases = {"isoflurane": reference_gas("isoflurane", body.count)}
    model = model_of(body, gases, system, Feedback())
    return linear_course(model, Run(settings=pieces, times_min=times))[:, :, 0]


@pytest.mark.comparison
@pytest.mark.parametrize("minute", PRINTED_CIRCLE)
def test_the_circle_agrees_with_the_computed_reference_solution(minute):
    printed = [float(one) for one in PRINTED_CIRCLE[minute].split()]

    found = course(reference_body(70.0), CIRCLE, schedule(), np.array([float(minute)]))[0, 0]

    assert 100.0 * found[:11] == pytest.approx(printed, abs=0.6e-5)


@pytest.mark.comparison
@pytest.mark.parametrize("minute", PRINTED_MOUSE)
def test_the_mouse_agrees_with_the_computed_reference_solution(minute):
    printed = [float(one) for one in PRINTED_MOUSE[minute].split()]
    pieces = [
        Setting(start_min=0, fresh_gas_l_min=1, delivered={"isoflurane": 0.02}),
        Setting(start_min=10, fresh_gas_l_min=1),
    ]

    mouse = reference_body(0.025, "mouse")
    found = course(mouse, OPEN, pieces, np.array([float(minute)]))[0, 0]

    assert 100.0 * found[2:11] == pytest.approx(printed, abs=0.6e-5)


def test_where_we_look_does_not_change_what_we_see():
    body = reference_body(70.0)
    every_second = np.arange(1, 14401) / 60.0
    uneven = np.array([0.25, 9.0, 10.0, 17.3, 95.0, 239.0])

    fine = course(body, CIRCLE, schedule(), every_second)[0]
    coarse = course(body, CIRCLE, schedule(), uneven)[0]

    assert np.allclose(fine[[14, 539, 599, 1037, 5699, 14339]], coarse, atol=1e-12)


def test_many_animals_are_each_like_one():
    one = course(reference_body(70.0), CIRCLE, schedule(), np.arange(1.0, 200.0))
    many = course(reference_body(70.0, count=5), CIRCLE, schedule(), np.arange(1.0, 200.0))

    assert np.allclose(many, one, atol=1e-12)


def test_mass_is_conserved_in_a_closed_circle():
    body = reference_body(70.0)
    gas = reference_gas("isoflurane")
    oxygen = float(body.oxygen_use_l_min[0])
    pieces = [
        Setting(start_min=0, fresh_gas_l_min=oxygen, delivered={"isoflurane": 0.10}),
        Setting(start_min=10, fresh_gas_l_min=oxygen),
    ]
    states = course(body, CIRCLE, pieces, np.array([10.0, 60.0, 610.0]))[0]

    lung = body.lung_l + gas.blood_gas * (body.arterial_l + 1.2 * body.lung_tissue_l)
    held = gas.blood_gas * (gas.tissue_blood * body.tissue_l)[0]
    shunt = 1.0 - body.shunt_fraction
    total = (
        CIRCLE.inspiratory_l * states[:, FI]
        + CIRCLE.reservoir_l * states[:, 1]
        + lung * states[:, FA]
        + gas.blood_gas * body.venous_l * states[:, PV]
        + states[:, TISSUE] @ held
    )

    assert shunt[0] == pytest.approx(0.97)
    assert total == pytest.approx(10 * oxygen * 0.10, rel=1e-9)


@settings(max_examples=25, deadline=None)
@given(st.floats(0.001, 0.08), st.floats(0.2, 8.0), st.floats(0.02, 500.0))
def test_twice_the_dial_gives_twice_the_level(fraction, flow, kg):
    body, times = reference_body(kg), np.array([1.0, 7.0, 30.0])

    def at(dial):
        delivered = {"isoflurane": dial}
        return course(
            body, CIRCLE, [Setting(start_min=0, fresh_gas_l_min=flow, delivered=delivered)], times
        )

    assert np.allclose(at(2 * fraction), 2 * at(fraction), rtol=1e-9, atol=1e-15)


def test_everything_comes_to_the_inspired_level_in_the_end():
    body = reference_body(0.025, "mouse")
    pieces = [Setting(start_min=0, fresh_gas_l_min=1, delivered={"isoflurane": 0.015})]

    end = course(body, OPEN, pieces, np.array([1e5]))[0, 0]

    assert end[[FI, FA, PV, *range(4, 11)]] == pytest.approx(0.015, rel=1e-9)


@pytest.mark.parametrize("times", [[], [3.0, 2.0], [-1.0]])
def test_times_that_fall_or_come_too_early_are_refused(times):
    with pytest.raises(InvalidQuantity, match=r"times_min is .* rising times"):
        course(
            reference_body(70.0), OPEN, [Setting(start_min=0, fresh_gas_l_min=1)], np.array(times)
        )


def test_delivered_fractions_above_one_together_are_refused():
    with pytest.raises(InvalidQuantity, match=r"delivered fractions is 1\.2"):
        Setting(start_min=0, fresh_gas_l_min=1, delivered={"oxygen": 0.7, "nitrous oxide": 0.5})
