"""The plan of a day: cases, answers with their time, copying, print."""

import io
import json
from datetime import timedelta

import pikepdf
import pytest
from django.urls import reverse

from ullage.answers import Answer, Verdict
from ullage.web.days.models import CaseState, PlannedCase
from ullage.web.days.selectors import day_answers
from ullage.web.days.services import day_ask

pytestmark = pytest.mark.web


@pytest.fixture
def url(today):
    return reverse("days:day", args=[today])


def test_an_empty_day_says_what_to_do(as_operator, machine, url):
    page = as_operator.get(url).content.decode()

    assert "No case is planned for this day." in page
    assert "Add the first case" in page


def test_a_day_without_machines_asks_for_one(as_operator, site, url):
    assert "Add a machine first" in as_operator.get(url).content.decode()


def test_a_case_shows_times_weight_system_and_flows_by_phase(as_viewer, case, url):
    page = as_viewer.get(url).content.decode()

    assert "10:30 to 12:20" in page
    assert "rabbit · 3.4 kg · T-piece" in page
    assert "Procedure 1 h 15 min: oxygen 1.7 L/min" in page


def test_a_weight_that_is_missing_is_said_to_be_missing(as_viewer, case, url):
    PlannedCase.objects.update(weight_kg=None)

    assert "not weighed" in as_viewer.get(url).content.decode()


def test_the_answers_stand_with_their_time_and_their_why(
    as_viewer, case, url, keep_day, outlook_of
):
    kept = keep_day(outlook_of(verdict=Verdict.LOOK_AGAIN))
    page = as_viewer.get(url).content.decode()

    assert "Worked out" in page
    assert kept.worked_out_at is not None
    assert "14:07" in page
    assert "13:49 to 14:24" in page
    assert "Fit a full one before Sorrel." in page
    assert "By the linear rule?" in page
    assert "Clover&#x27;s chance?" in page
    assert "4096 draws" in page


def test_a_source_without_a_reading_is_asked_about(as_viewer, case, url, keep_day):
    unread = {"source": "Wall oxygen", "machines": ["Wren"], "question": "What does Alder hold?"}
    keep_day(unread=[unread])
    page = as_viewer.get(url).content.decode()

    assert "No answer yet: What does Alder hold?" in page
    assert "Every source lasts the day" not in page


def test_a_plan_that_cannot_be_answered_says_why(as_viewer, case, url, keep_day):
    keep_day(refused="Wall and Floor both feed oxygen to Wren.", verdict="Not yet")

    assert "Wall and Floor both feed oxygen to Wren." in as_viewer.get(url).content.decode()


def test_newer_answers_on_their_way_are_announced(as_viewer, site, today, case, url, keep_day):
    keep_day()
    day_ask(site=site, day=today)
    page = as_viewer.get(url).content.decode()

    assert "newer answers are on their way" in page
    assert day_answers(site, today).is_stale


def test_old_answers_are_asked_for_again_when_somebody_looks(
    as_viewer, case, url, keep_day, django_capture_on_commit_callbacks
):
    kept = keep_day()
    kept.__class__.objects.update(worked_out_at=kept.worked_out_at - timedelta(hours=1))
    site_rows = kept.__class__.objects.filter(kind="asked")
    site_rows.update(worked_out_at=kept.worked_out_at - timedelta(hours=1))
    with django_capture_on_commit_callbacks() as asked:
        as_viewer.get(url)
    with django_capture_on_commit_callbacks() as again:
        as_viewer.get(url)

    assert (len(asked), len(again)) == (1, 0)


def test_a_past_day_is_not_worked_out_again(
    as_viewer, today, machine, django_capture_on_commit_callbacks
):
    past = reverse("days:day", args=[today - timedelta(days=3)])
    with django_capture_on_commit_callbacks() as asked:
        as_viewer.get(past)

    assert not asked


def test_a_cancelled_case_stays_on_the_page_and_out_of_the_count(as_operator, case, url):
    PlannedCase.objects.update(state=CaseState.CANCELLED)
    page = as_operator.get(url).content.decode()

    assert "Take back" in page
    assert "0 cases at Fennel Lane" in page


def test_who_may_only_look_sees_no_button_to_change(as_viewer, case, url):
    page = as_viewer.get(url).content.decode()

    assert "Cancel case" not in page
    assert "First gas now" not in page


def test_nobody_begins_a_case_of_another_day(as_operator, case, today):
    PlannedCase.objects.update(starts_at=case.starts_at + timedelta(days=1))
    page = as_operator.get(reverse("days:day", args=[today + timedelta(days=1)])).content.decode()

    assert "Clover" in page
    assert "First gas now" not in page


def test_the_day_named_is_gone_to(as_viewer, site, today):
    plan = reverse("days:plan")

    assert as_viewer.get(plan)["Location"] == reverse("days:day", args=[today])
    assert as_viewer.get(plan, {"day": "2026-06-09"})["Location"] == "/day/2026-06-09/"
    assert as_viewer.get(plan, {"day": "2026-13-99"})["Location"].startswith("/day/")


@pytest.mark.parametrize("typed", ["2026-02-30", "2026-13-01", "0000-01-01"])
def test_a_date_that_does_not_exist_is_not_found(as_viewer, site, typed):
    assert as_viewer.get(f"/day/{typed}/").status_code == 404


def test_cases_are_copied_from_another_day(as_operator, case, today):
    to = today + timedelta(days=1)
    reply = as_operator.post(reverse("days:copy", args=[to]), {"day": today.isoformat()})

    assert reply.status_code == 302
    assert PlannedCase.objects.count() == 2
    assert "near by" in as_operator.get(reverse("days:copy", args=[to])).content.decode()


def test_copying_a_day_into_itself_is_refused_beside_the_form(as_operator, case, today):
    reply = as_operator.post(reverse("days:copy", args=[today]), {"day": today.isoformat()})

    assert reply.status_code == 422
    assert "Choose another day" in reply.content.decode()


def test_the_plan_prints_with_its_answers_inside(as_viewer, case, today, keep_day, outlook_of):
    keep_day(outlook_of())
    reply = as_viewer.get(reverse("days:pdf", args=[today]))

    assert reply["Content-Type"] == "application/pdf"
    with pikepdf.open(io.BytesIO(reply.content)) as pdf:
        kept = json.loads(pdf.attachments["answers.json"].get_file().read_bytes())
    assert kept["cases"][0]["name"] == "Clover"
    assert Answer.from_dict(kept["sources"][0]["answers"][0]).value == 847.0


def test_another_sites_day_is_its_own(as_stranger, case, url):
    assert "Clover" not in as_stranger.get(url).content.decode()


@pytest.mark.parametrize("name", ["day", "pdf"])
def test_a_day_is_only_read(as_operator, site, today, name):
    assert as_operator.post(reverse(f"days:{name}", args=[today])).status_code == 405
