"""Days that are none, and words that would be lost: refused in a sentence, nothing done."""

from datetime import date, timedelta

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse

from ullage.web.days.models import CaseEvent, CaseState, PlannedCase
from ullage.web.days.selectors import day_of
from ullage.web.days.services import case_begin, case_cancel

pytestmark = pytest.mark.web


def said(reply):
    return [str(one) for one in get_messages(reply.wsgi_request)]


@pytest.fixture
def send(as_operator, case):
    def post(name, **typed):
        return as_operator.post(reverse(f"days:{name}", kwargs={"code": case.code}), typed)

    return post


@pytest.mark.parametrize(
    "day", ["2026-02-30", "2026-13-01", "0001-01-01", "9999-12-31", "0000-00-00", "2026-6-9"]
)
@pytest.mark.parametrize("end", ["", "plan.pdf", "add/", "copy/"])
def test_a_date_that_is_none_or_ages_away_has_no_page(as_lead, site, day, end):
    assert as_lead.get(f"/day/{day}/{end}").status_code == 404


@pytest.mark.parametrize("day", ["1900-01-01", "2199-12-31", "2028-02-29"])
def test_the_first_and_the_last_day_that_have_a_page(as_lead, machine, day):
    assert as_lead.get(f"/day/{day}/").status_code == 200


@pytest.mark.parametrize("typed", ["", "yesterday", "2026-02-30"])
def test_the_plan_without_a_day_is_that_of_today(as_viewer, site, today, typed):
    reply = as_viewer.get(reverse("days:plan"), {"day": typed})

    assert reply.url == f"/day/{today.isoformat()}/"


def test_the_plan_of_a_day_that_is_named(as_viewer, site):
    assert as_viewer.get("/day/?day=2026-06-09").url == "/day/2026-06-09/"


@pytest.mark.parametrize("day", ["2026-02-31", "tomorrow", "9999-12-31", "0001-01-01"])
@pytest.mark.parametrize(("name", "what"), [("move", "moved"), ("again", "copied")])
def test_a_day_that_is_none_is_never_taken_for_the_next(send, case, name, what, day):
    before = case.starts_at
    reply = send(name, day=day)

    assert said(reply) == [f"{day} is no day; nothing was {what}."]
    case.refresh_from_db()
    assert case.starts_at == before
    assert PlannedCase.objects.count() == 1


def test_without_a_day_a_case_moves_to_the_next_at_the_same_time_of_day(send, site, case):
    day, clock = day_of(site, case.starts_at), case.starts_at.time()
    send("move")

    case.refresh_from_db()
    assert day_of(site, case.starts_at) == day + timedelta(days=1)
    assert case.starts_at.time() == clock


def test_a_case_moves_over_the_change_of_clocks_and_keeps_its_hour(send, site, case, at):
    """In Europe/London clocks go back in the night to 25 October 2026."""
    saturday = date(2026, 10, 24)
    PlannedCase.objects.update(starts_at=at(10, 30, saturday))
    send("move", day="2026-10-25")

    case.refresh_from_db()
    assert case.starts_at == at(10, 30, date(2026, 10, 25))
    assert case.starts_at - at(10, 30, saturday) == timedelta(hours=25)


@pytest.mark.parametrize("day", ["2026-02-31", "9999-12-31", "0001-01-01", ""])
def test_a_day_to_copy_from_that_is_none_stays_as_typed(as_operator, case, day):
    address = reverse("days:copy", kwargs={"day": "2026-06-09"})
    reply = as_operator.post(address, {"day": day, "csrfmiddlewaretoken": "x"})

    assert reply.status_code == 422
    assert f'value="{day}"' in reply.content.decode() or not day
    assert PlannedCase.objects.count() == 1


def test_a_reason_too_long_to_keep_is_not_dropped_in_silence(send, case):
    reply = send("cancel", reason="w" * 201)

    assert said(reply) == ["Say why in at most 200 letters; nothing was cancelled."]
    case.refresh_from_db()
    assert case.state == CaseState.PLANNED


def test_a_reason_of_200_letters_is_kept_whole(send, case):
    send("cancel", reason="w" * 200)

    assert CaseEvent.objects.get(kind="cancelled").details["reason"] == "w" * 200


def test_what_was_cancelled_stays_on_the_page_and_comes_back(send, as_viewer, site, case, operator):
    case_cancel(case=case, by=operator, reason="The rabbit is well.")
    address = reverse("days:day", args=[day_of(site, case.starts_at)])
    page = as_viewer.get(address).content.decode()

    assert "Clover" in page
    assert "Cancelled" in page or "cancelled" in page
    send("restore")
    case.refresh_from_db()
    assert case.state == CaseState.PLANNED
    assert {"added", "cancelled", "taken back"} == set(
        CaseEvent.objects.values_list("kind", flat=True)
    )


def test_taking_back_what_was_not_cancelled_writes_nothing(send, case):
    send("restore")

    assert not CaseEvent.objects.filter(kind="taken back").exists()


@pytest.mark.parametrize(
    ("name", "sentence"),
    [
        ("move", "Clover is running; copy it instead."),
        ("cancel", "Clover is running and cannot be cancelled."),
        ("begin", "Clover is running; it cannot begin again."),
    ],
)
def test_a_case_that_runs_says_what_can_be_done_instead(
    send, case, operator, source, name, sentence
):
    case_begin(case=case, by=operator)
    before = CaseEvent.objects.count()

    assert said(send(name)) == [sentence]
    assert CaseEvent.objects.count() == before
