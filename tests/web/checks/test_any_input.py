"""Whatever is typed at a step: an entry or a sentence, never half of one, never a crash."""

from uuid import uuid4

import pytest
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ullage.answers.checks import check_list, shipped_lists
from ullage.web.checks.forms import LookForm, StepForm, step_form
from ullage.web.checks.tiles import TILES

pytestmark = [pytest.mark.web, pytest.mark.django_db]

STEPS = [step for one in shipped_lists() for step in one.steps]
MEASURED = {step.kind: step for step in STEPS if step.measures}
TYPED = st.one_of(
    st.sampled_from(["", "0", "-1", "1e309", "nan", "inf", "30", "30 cmH2O", "1,5", "yes", "no"]),
    st.text(max_size=60),
    st.floats(allow_nan=True).map(str),
)


@pytest.mark.parametrize("kind", MEASURED)
@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(data=st.data())
def test_a_measured_step_is_an_entry_or_a_sentence(kind, data, site):
    step = MEASURED[kind]
    typed = {one.name: data.draw(TYPED, label=one.name) for one in step.fields}
    form = step_form(step, site, {"code": str(uuid4()), **typed})

    if form.is_valid():
        assert set(form.given()) <= {one.name for one in step.fields}
    else:
        assert all(str(said) for said in form.errors.values())


@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(air=TYPED, oxygen=TYPED, code=st.one_of(st.uuids().map(str), st.text(max_size=40)))
def test_the_address_of_a_step_never_breaks(as_operator, check, air, oxygen, code):
    before = check.entries.count()
    is_again = code in {str(one) for one in check.entries.values_list("code", flat=True)}
    at = reverse("checks:step", args=[check.code, "oxygen_analyser"])
    reply = as_operator.post(at, {"code": code, "air_fraction": air, "oxygen_fraction": oxygen})

    assert reply.status_code in {302, 422}
    written = check.entries.count() - before
    assert written == (1 if reply.status_code == 302 and not is_again else 0)


def test_each_kind_of_step_has_a_form_and_every_field_is_empty(site):
    for step in STEPS:
        form = step_form(step, site)
        assert isinstance(form, StepForm if step.measures else LookForm)
        for bound in form:
            if bound.name not in {"code"}:
                assert not bound.value(), (step.key, bound.name)


def test_every_tile_belongs_to_a_field_and_is_taken_there(site):
    for (kind, name), tiles in TILES.items():
        step = MEASURED[kind]
        field = step_form(step, site).fields[name]
        for words in tiles:
            assert isinstance(field.clean(words), float), (kind, name, words)


def test_ways_of_measuring_keep_their_order_and_hold_every_field(site):
    step = check_list("start_of_day").step("leak")
    ways = list(step_form(step, site).ways())

    assert ways[0][0] == "flow that holds"
    assert [bound.name for _, fields in ways for bound, _ in fields] == [
        one.name for one in step.fields
    ]


def test_a_gauge_is_asked_in_the_unit_of_the_site(site, other_site):
    step = check_list("start_of_day").step("reserve_cylinder")

    assert step_form(step, site).fields["gauge_kpa"].unit == "bar"
    assert step_form(step, other_site).fields["gauge_kpa"].unit == "psi"
