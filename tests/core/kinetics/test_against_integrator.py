"""The engine with feedbacks against a general-purpose integrator, kinks and corners included."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.kinetics.integrator import integrated
from tests.core.kinetics.reference_set import gases, on_air, reference_body
from tests.core.kinetics.test_course import two_step
from tests.core.kinetics.test_linear import CIRCLE
from ullage.core.kinetics import (
    Feedback,
    Run,
    Setting,
    System,
    SystemKind,
    VentilationForm,
    feedback_course,
    model_of,
)

ALL = ("sevoflurane", "nitrous oxide", "oxygen", "nitrogen")
MAC = {"sevoflurane": 0.0185, "nitrous oxide": 1.04}
KINDS = {
    SystemKind.OPEN: 1.0,
    SystemKind.MIXED: 0.15,
    SystemKind.CIRCLE: 0.15,
}

pytestmark = pytest.mark.comparison


def test_all_feedbacks_agree_with_a_general_purpose_integrator():
    feedback = Feedback(balance=True, ventilation_slope=0.35, output_slope=0.15, mac_fraction=MAC)
    model = model_of(reference_body(30.0), gases(ALL), CIRCLE, feedback, 0.25)
    times = np.linspace(0.25, 60.0, 240)

    found = feedback_course(model, Run(settings=two_step(), times_min=times, start=on_air(ALL)))
    expected = integrated(model, two_step(), on_air(ALL), times)

    assert np.abs(found - expected).max() < 1e-6


feedbacks = st.builds(
    Feedback,
    mac_fraction=st.just(MAC),
    balance=st.booleans(),
    hold_expired=st.booleans(),
    at_effect=st.booleans(),
    ventilation_slope=st.floats(0.0, 0.8),
    ventilation_floor=st.sampled_from([0.05, 0.15]),
    ventilation_form=st.sampled_from(list(VentilationForm)),
    output_slope=st.floats(0.0, 0.3),
    output_from=st.sampled_from([0.0, 1.2]),
)
dials = st.tuples(st.floats(0.0, 0.06), st.floats(0.0, 0.6), st.floats(0.05, 2.0))


@settings(max_examples=12, deadline=None)
@given(
    st.sampled_from(list(KINDS)),
    feedbacks,
    st.floats(0.02, 100.0),
    st.lists(dials, min_size=1, max_size=3),
)
def test_any_settings_in_any_system_agree_within_a_millionth(kind, feedback, kg, turned):
    body = reference_body(kg)
    litres = KINDS[kind] * kg**0.75
    system = System(kind=kind, inspiratory_l=litres, reservoir_l=litres)
    model = model_of(body, gases(ALL), system, feedback, 0.25 * (70.0 / kg) ** 0.25)
    pieces = []
    for number, (agent, nitrous, share) in enumerate(turned):
        delivered = {"sevoflurane": agent, "nitrous oxide": nitrous, "oxygen": 1 - agent - nitrous}
        flow = max(share * float(body.minute_volume_l_min[0]), float(body.oxygen_use_l_min[0]))
        pieces.append(Setting(start_min=7.0 * number, fresh_gas_l_min=flow, delivered=delivered))
    times = np.linspace(0.1, 7.0 * len(pieces), 60)

    found = feedback_course(model, Run(settings=pieces, times_min=times, start=on_air(ALL)))
    expected = integrated(model, pieces, on_air(ALL), times)

    assert np.abs(found - expected).max() < 1e-6
