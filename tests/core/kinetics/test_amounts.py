"""Nothing is lost: what comes in is held, spilled, taken by absorbent, or destroyed."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.kinetics.reference_set import gases, on_air, reference_body, reference_gas
from tests.core.kinetics.test_course import ALL, two_step
from ullage.core.errors import InvalidQuantity
from ullage.core.kinetics import (
    FA,
    FI,
    PV,
    Feedback,
    Run,
    Setting,
    System,
    SystemKind,
    amounts_over,
    arterial,
    breathing_air,
    end_tidal,
    feedback_course,
    flows_over,
    held_in_body_l,
    held_in_system_l,
    linear_course,
    model_of,
)

SYSTEMS = {
    SystemKind.OPEN: System(kind=SystemKind.OPEN),
    SystemKind.MIXED: System(kind=SystemKind.MIXED, inspiratory_l=3.0),
    SystemKind.CIRCLE: System(kind=SystemKind.CIRCLE, inspiratory_l=2.0, reservoir_l=4.5),
}
FINE = np.arange(0.0, 40.0001, 0.01)


def unaccounted(model, run, states):
    """What came in less what left, less what is held, for each gas [L] at each time."""
    gone_where = amounts_over(model, run, states)
    held = held_in_body_l(model, states) + held_in_system_l(model, states)
    gone = gone_where["spilled"] + gone_where["lost"] + gone_where["destroyed"]
    if model.system.kind is SystemKind.OPEN:
        gone = gone + gone_where["exhaled"]
    if model.feedback.balance:
        gone = gone + model.used[:, None] * run.times_min[:, None]
    return held - held[:, :1] - (gone_where["delivered"] - gone)


@pytest.mark.parametrize("kind", SYSTEMS)
def test_the_linear_engine_loses_nothing(kind):
    gas = reference_gas("halothane")
    model = model_of(reference_body(70.0), {"halothane": gas}, SYSTEMS[kind], Feedback())
    pieces = [
        Setting(start_min=0, fresh_gas_l_min=2.0, delivered={"halothane": 0.02}),
        Setting(start_min=20, fresh_gas_l_min=6.0),
    ]
    run = Run(settings=pieces, times_min=FINE)

    assert np.abs(unaccounted(model, run, linear_course(model, run))).max() < 2e-5


@pytest.mark.parametrize("kind", SYSTEMS)
def test_the_volume_balance_loses_nothing(kind):
    feedback = Feedback(
        balance=True, ventilation_slope=0.35, output_slope=0.2, mac_fraction={"sevoflurane": 0.018}
    )
    model = model_of(reference_body(70.0), gases(ALL), SYSTEMS[kind], feedback)
    run = Run(settings=two_step(), times_min=FINE, start=on_air(ALL))
    states = feedback_course(model, run)

    rest = unaccounted(model, run, states)

    assert np.abs(rest).max() < 5e-4


def test_what_absorbent_and_circuit_take_is_counted():
    gas = reference_gas("sevoflurane")
    lossy = type(gas)(
        blood_gas=gas.blood_gas,
        tissue_blood=gas.tissue_blood,
        extraction_fraction=gas.extraction_fraction,
        lost_l_min=0.12,
    )
    circle = SYSTEMS[SystemKind.CIRCLE]
    piece = Setting(start_min=0, fresh_gas_l_min=1.0, delivered={"sevoflurane": 0.03})
    run = Run(settings=[piece], times_min=FINE)
    levels = {}
    for name, one in (("tight", gas), ("lossy", lossy)):
        model = model_of(reference_body(70.0), {"sevoflurane": one}, circle, Feedback())
        states = linear_course(model, run)
        levels[name] = float(states[0, -1, 0, FA])
        assert np.abs(unaccounted(model, run, states)).max() < 2e-5

    assert levels["lossy"] < levels["tight"]


def test_end_tidal_gas_lies_between_alveolar_and_inspired_and_arterial_between_lung_and_vein():
    model = model_of(
        reference_body(70.0),
        {"isoflurane": reference_gas("isoflurane")},
        SYSTEMS[SystemKind.CIRCLE],
        Feedback(),
    )
    piece = Setting(start_min=0, fresh_gas_l_min=4.0, delivered={"isoflurane": 0.02})
    states = linear_course(model, Run(settings=[piece], times_min=np.arange(0.5, 60.0, 0.5)))

    tidal, blood = end_tidal(model.body, states), arterial(model.body, states)

    assert np.all((tidal > states[..., FA]) & (tidal < states[..., FI]))
    assert np.all((blood < states[..., FA]) & (blood > states[..., PV]))


def test_animals_on_air_stay_on_air():
    names = ("oxygen", "nitrogen")
    model = model_of(
        reference_body(70.0), gases(names), SYSTEMS[SystemKind.OPEN], Feedback(balance=True)
    )
    start = breathing_air(model, {"oxygen": 0.21, "nitrogen": 0.79}, 0.15, 0.80)
    air = Setting(start_min=0, fresh_gas_l_min=1.0, delivered={"oxygen": 0.21, "nitrogen": 0.79})

    states = feedback_course(model, Run(settings=[air], times_min=np.array([600.0]), start=start))

    assert states[0, 0, 0, FA] == pytest.approx(0.15, abs=0.01)
    assert states[0, 0, 1, FA] == pytest.approx(0.80, abs=0.01)


@settings(max_examples=10, deadline=None)
@given(st.floats(0.2, 6.0), st.floats(0.0, 0.06), st.floats(1.0, 80.0))
def test_nothing_is_lost_whatever_is_set(flow, dial, kg):
    body = reference_body(kg)
    used = float(body.oxygen_use_l_min[0])
    circle = System(kind=SystemKind.CIRCLE, inspiratory_l=0.03 * kg, reservoir_l=0.06 * kg)
    model = model_of(body, {"isoflurane": reference_gas("isoflurane")}, circle, Feedback())
    piece = Setting(start_min=0, fresh_gas_l_min=used + flow, delivered={"isoflurane": dial})
    run = Run(settings=[piece], times_min=np.arange(0.0, 10.0001, 0.005))
    states = linear_course(model, run)

    brought = amounts_over(model, run, states)["delivered"][0, -1, 0]

    assert np.abs(unaccounted(model, run, states)).max() <= 1e-4 * brought + 1e-12


def test_flows_of_a_run_that_kept_only_some_states_are_refused():
    model = model_of(
        reference_body(70.0),
        {"isoflurane": reference_gas("isoflurane")},
        SYSTEMS[SystemKind.OPEN],
        Feedback(),
    )
    piece = Setting(start_min=0, fresh_gas_l_min=4.0, delivered={"isoflurane": 0.02})
    run = Run(settings=[piece], times_min=np.array([1.0]), keep=(FI,))

    with pytest.raises(InvalidQuantity, match="states kept is 1; it must be all of them"):
        flows_over(model, run, linear_course(model, run))
