"""The page behind a QR code: entry first, answers as stored, nothing for strangers."""

import re
from uuid import uuid4

import pytest
from django.urls import reverse

from ullage.web.supply.models import CylinderEvent, Reading
from ullage.web.supply.services import change_begin, cylinder_quarantine, cylinder_return

pytestmark = pytest.mark.web


def page_of(cylinder):
    return reverse("supply:cylinder", kwargs={"code": cylinder.code})


def text_of(reply):
    return reply.content.decode()


def test_the_page_opens_on_its_gauge_entry(as_operator, alder):
    text = text_of(as_operator.get(page_of(alder)))

    assert "What does the gauge say?" in text
    assert 'inputmode="decimal"' in text
    assert "Not read yet" in text


def test_the_entry_starts_empty_and_the_last_value_stands_beside_it(as_operator, alder, read):
    read(alder, 71)
    text = text_of(as_operator.get(page_of(alder)))

    assert "last 71 bar" in text
    (entry,) = re.findall(r'<input[^>]*id="id_number"[^>]*>', text)
    assert "value" not in entry


def test_the_units_of_the_site_come_first(as_operator, alder, site):
    site.pressure_unit = "psi"
    site.save()
    text = text_of(as_operator.get(page_of(alder)))

    assert text.index('value="psi"') < text.index('value="bar"') < text.index('value="MPa"')


def test_who_is_not_signed_in_is_sent_to_the_door(client, alder):
    reply = client.get(page_of(alder))

    assert reply.status_code == 302
    assert reverse("account_login") in reply.url


def test_a_stranger_finds_nothing(as_stranger, alder):
    assert as_stranger.get(page_of(alder)).status_code == 404


def test_a_code_that_nobody_made_finds_nothing(as_operator):
    code = uuid4()

    assert as_operator.get(reverse("supply:cylinder", kwargs={"code": code})).status_code == 404


def test_a_viewer_looks_and_enters_nothing(as_viewer, alder, read):
    read(alder, 71)
    text = text_of(as_viewer.get(page_of(alder)))

    assert "71 bar" in text
    assert reverse("supply:read", kwargs={"code": alder.code}) not in text
    assert "Change cylinder" not in text


def test_the_page_is_only_looked_at(as_operator, alder):
    assert as_operator.post(page_of(alder)).status_code == 405


def test_gas_and_colour_are_named_in_the_scheme_of_the_site(as_operator, alder, site):
    assert "Oxygen (white shoulder, ISO 32)" in text_of(as_operator.get(page_of(alder)))
    site.gas_colours = "us"
    site.save()
    assert "Oxygen (green shoulder, US)" in text_of(as_operator.get(page_of(alder)))


def test_a_liquefied_gas_is_weighed(as_operator, nitrous):
    text = text_of(as_operator.get(page_of(nitrous)))

    assert "the gauge cannot tell: weigh it" in text
    assert text.index('value="kg"') < text.index('value="bar"')


def test_a_reading_that_waits_asks_its_question_first(as_operator, alder, read):
    asked = read(alder, 71)
    Reading.objects.filter(pk=asked.pk).update(asked="Another cylinder, or a warmer room?")
    text = text_of(as_operator.get(page_of(alder)))

    assert "Another cylinder, or a warmer room?" in text
    assert "used in no sum until you say what it is" in text
    assert "Answer the question about the last reading" in text


def test_a_change_that_was_left_is_the_next_step(as_operator, alder, source, operator):
    change_begin(source=source, old=alder, by=operator)
    text = text_of(as_operator.get(page_of(alder)))

    assert "Go on with the change of cylinder" in text
    assert "Other gas for the animal first" in text


def test_a_full_one_that_is_scanned_is_offered_to_the_change_that_waits(
    as_operator, alder, hazel, nitrous, source, operator
):
    change_begin(source=source, old=alder, by=operator)

    assert "A change at Wren waits for a full one" in text_of(as_operator.get(page_of(hazel)))
    wrong = text_of(as_operator.get(page_of(nitrous)))
    assert "Stop: Larch holds nitrous oxide" in wrong
    assert "Take Larch" not in wrong


def test_one_set_apart_says_so_and_offers_no_connection(as_operator, hazel, operator):
    cylinder_quarantine(cylinder=hazel, reason="Label torn.", by=operator)
    text = text_of(as_operator.get(page_of(hazel)))

    assert "Leave it alone until somebody has looked at it" in text
    assert reverse("supply:connect", kwargs={"code": hazel.code}) not in text


def test_one_handed_back_keeps_its_page_and_takes_no_reading(as_operator, hazel, operator):
    cylinder_return(cylinder=hazel, by=operator)
    text = text_of(as_operator.get(page_of(hazel)))

    assert "its record stays here" in text
    assert reverse("supply:read", kwargs={"code": hazel.code}) not in text


def test_no_style_or_script_stands_in_the_page(as_operator, alder, read):
    read(alder, 71)
    text = text_of(as_operator.get(page_of(alder)))

    assert " style=" not in text
    assert "<script>" not in text
    assert " onclick=" not in text


def test_the_number_of_queries_does_not_grow_with_the_readings(
    as_operator, alder, read, django_assert_num_queries, operator
):
    read(alder, 71, hours_ago=20)
    page = page_of(alder)
    as_operator.get(page)
    with django_assert_num_queries(COUNT):
        as_operator.get(page)
    for hours in range(10):
        read(alder, 70, hours_ago=10 - hours)
    CylinderEvent.objects.create(cylinder=alder, kind="moved", at=alder.connected_at, by=operator)
    with django_assert_num_queries(COUNT):
        as_operator.get(page)


#: Session, person, site, cylinder, and one query for each card.
COUNT = 17
