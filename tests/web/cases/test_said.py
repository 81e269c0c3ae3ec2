"""What records say to Today and to the page of a day, in as many queries for one as for many."""

import pytest
from django.urls import reverse
from django.utils import timezone

from ullage.web.cases.models import CaseState, NotTaken, Record, Why
from ullage.web.cases.selectors import records_said
from ullage.web.days.models import PlannedCase

pytestmark = [pytest.mark.web, pytest.mark.django_db]


def made(site, machine, number, **more):
    return Record.objects.create(
        site=site, machine=machine, number=f"2026-{number:05d}", name=f"Clover {number}",
        species="cat", opened_at=timezone.now(), **more,
    )  # fmt: skip


@pytest.mark.parametrize("count", [1, 40])
def test_one_query_says_what_is_open(site, machine, count, django_assert_num_queries):
    for number in range(count):
        made(site, machine, number, state=CaseState.RUNNING)
        made(site, machine, 1000 + number, state=CaseState.CLOSED)
    with django_assert_num_queries(1):
        said = records_said(site, (), False)
    assert len(said.open) == count
    assert {one.state for one in said.open} == {"Running"}
    with django_assert_num_queries(2):
        assert records_said(site, (), True).waits == 0


def test_a_planned_case_finds_its_record_though_it_is_closed(site, machine):
    planned = PlannedCase.objects.create(
        site=site, machine=machine, name="Furze", starts_at=timezone.now(), minutes=60.0
    )
    made(site, machine, 1, state=CaseState.AMENDED, planned=planned)
    said = records_said(site, [planned.pk], False)
    assert said.open == ()
    assert said.by_plan[planned.pk].state == "Amended"


def test_another_site_is_not_told(other_site, site, machine):
    made(site, machine, 1, state=CaseState.RUNNING)
    assert records_said(other_site, (), True).open == ()


def test_a_lead_reads_on_today_how_many_wait(site, machine, record, as_lead, as_operator):
    NotTaken.objects.create(
        site=site, record=record, entry="x", sent="{}", digest="0" * 64, why=Why.CLOSED,
        says="Closed.", at=timezone.now(),
    )  # fmt: skip
    PlannedCase.objects.create(
        site=site, machine=machine, name="Furze", starts_at=timezone.now(), minutes=60.0
    )
    assert "1 entry not taken" in as_lead.get("/").content.decode()
    shown = as_operator.get("/").content.decode()
    assert "not taken" not in shown
    assert "Cases under way" in shown
    assert reverse("cases:running", args=[record.code]) in shown
