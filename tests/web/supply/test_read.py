"""Saving a reading: number and unit, Save; what was expected shows afterwards."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ullage.web.supply.models import Reading
from ullage.web.supply.selectors import cylinder_thing
from ullage.web.supply.services import cylinder_return

pytestmark = pytest.mark.web


@pytest.fixture
def post(as_operator, alder):
    def send(client=None, cylinder=None, **typed):
        known = {"number": "71", "unit": "bar", "code": str(uuid4())}
        address = reverse("supply:read", kwargs={"code": (cylinder or alder).code})
        return (client or as_operator).post(address, {**known, **typed})

    return send


def text_of(reply):
    return reply.content.decode()


def test_a_reading_is_kept_and_the_page_says_so(post, as_operator, operator):
    reply = post()

    kept = Reading.objects.get()
    assert (kept.typed, kept.gauge_kpa, kept.by) == ("71 bar", 7100.0, operator)
    assert reply.status_code == 302
    text = text_of(as_operator.get(reply.url))
    assert "Saved 71 bar" in text
    assert "Amend" in text


def test_a_unit_may_be_typed_with_the_number(post):
    post(number="1030 psi")

    kept = Reading.objects.get()
    assert kept.typed == "1030 psi"
    assert kept.gauge_kpa == pytest.approx(7101.6, abs=0.1)


def test_a_double_touch_keeps_one_reading(post):
    code = str(uuid4())
    post(code=code)
    post(code=code)

    assert Reading.objects.count() == 1


def test_a_stranger_finds_nothing(post, as_stranger):
    assert post(client=as_stranger).status_code == 404
    assert not Reading.objects.exists()


def test_a_viewer_is_told_who_can(post, as_viewer):
    reply = post(client=as_viewer)

    assert reply.status_code == 403
    assert not Reading.objects.exists()


def test_only_a_post_saves(as_operator, alder):
    assert as_operator.get(reverse("supply:read", kwargs={"code": alder.code})).status_code == 405


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"number": ""}, "Write what the needle shows."),
        ({"number": "seventy"}, "is not a pressure; write a number and one of"),
        ({"number": "-3"}, "a gauge reads 0 or more"),
        ({"number": "nan"}, "is not a pressure"),
        ({"number": "1030"}, "no more than 207 bar is allowed here"),
        ({"number": "1030"}, "If it was psi, that is 71 bar."),
        ({"number": "71 furlongs"}, "is not a unit of pressure"),
        ({"unit": "cubits"}, "Select a valid choice"),
        ({"temperature": "300"}, "it must be between -30 and 65 °C"),
    ],
)
def test_what_cannot_be_is_refused_and_the_form_stays_as_typed(typed, sentence, post):
    reply = post(**typed)

    text = text_of(reply).replace("&#x27;", "'")
    assert reply.status_code == 422
    assert sentence in text
    assert not Reading.objects.exists()
    for value in typed.values():
        assert not value or f'value="{value}"' in text or "cubits" in value


def test_a_time_to_come_is_refused(post):
    later = timezone.localtime() + timedelta(days=1)
    reply = post(at=later.strftime("%Y-%m-%dT%H:%M"))

    assert reply.status_code == 422
    assert "has not come yet" in text_of(reply)


def test_an_earlier_time_is_kept_as_a_late_reading(post):
    post()
    earlier = timezone.localtime() - timedelta(hours=3)
    post(number="80", at=earlier.strftime("%Y-%m-%dT%H:%M"))

    late = Reading.objects.get(typed="80 bar")
    assert late.is_late


def test_a_weight_is_kept_for_a_liquefied_gas(post, nitrous):
    post(cylinder=nitrous, number="7.4", unit="kg")

    assert Reading.objects.get().weight_kg == 7.4


def test_a_weight_below_the_tare_is_refused(post, nitrous):
    reply = post(cylinder=nitrous, number="5", unit="kg")

    assert reply.status_code == 422
    assert "less than its tare of 6 kg" in text_of(reply)


def test_a_reading_of_one_handed_back_can_be_kept_as_a_note(post, hazel, operator):
    cylinder_return(cylinder=hazel, by=operator)
    refused = post(cylinder=hazel)

    assert refused.status_code == 422
    post(cylinder=hazel, only_note="1")
    assert not Reading.objects.get().counts


@settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.text(max_size=30))
def test_whatever_is_typed_gets_a_sentence_or_is_kept(post, alder, typed):
    before = Reading.objects.count()
    reply = post(number=typed)

    assert reply.status_code in {302, 422}
    assert (Reading.objects.count() == before + 1) is (reply.status_code == 302)
    for kept in Reading.objects.all():
        assert 0 <= kept.gauge_kpa <= cylinder_thing(alder).test_pressure_kpa
