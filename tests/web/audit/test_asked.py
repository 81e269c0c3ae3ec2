"""What is asked of the audit: a day by the clock of the site, one thing, one person."""

from datetime import UTC, date, datetime

import pytest
from django.utils import timezone

from ullage.web.audit.forms import WantedForm
from ullage.web.audit.selectors import (
    Wanted,
    breaks_of,
    content_of,
    lines_about,
    lines_of,
    people_at,
)
from ullage.web.audit.services import Kind, Seen, audit_line, audit_person, seen_in
from ullage.web.sites.models import Membership

pytestmark = [pytest.mark.web, pytest.mark.django_db]


def said(lines):
    return [one.said for one in lines]


@pytest.mark.parametrize(
    ("zone", "at", "day"),
    [
        # London goes back at 02:00 of 25 October 2026: that day has 25 hours
        ("Europe/London", datetime(2026, 10, 24, 22, 59, 59, tzinfo=UTC), 24),
        ("Europe/London", datetime(2026, 10, 24, 23, 0, tzinfo=UTC), 25),
        ("Europe/London", datetime(2026, 10, 25, 23, 59, 59, tzinfo=UTC), 25),
        ("Europe/London", datetime(2026, 10, 26, 0, 0, tzinfo=UTC), 26),
        ("Pacific/Auckland", datetime(2026, 10, 24, 10, 59, tzinfo=UTC), 24),
        ("Pacific/Auckland", datetime(2026, 10, 24, 11, 0, tzinfo=UTC), 25),
        ("America/Denver", datetime(2026, 10, 25, 5, 59, tzinfo=UTC), 24),
        ("UTC", datetime(2026, 10, 25, 23, 59, 59, 999999, tzinfo=UTC), 25),
    ],
)
def test_a_day_is_that_of_the_site(site, operator, monkeypatch, zone, at, day):
    monkeypatch.setattr(timezone, "now", lambda: at)
    audit_line(Kind.READ, "once", site=site, person=operator)
    site.time_zone = zone

    found = [one for one in (24, 25, 26) if lines_of(site, Wanted(day=date(2026, 10, one)))]
    assert found == [day]


def test_a_clock_that_goes_back_changes_no_number_of_a_line(site, operator, monkeypatch):
    for hour in (9, 8):
        at = datetime(2026, 6, 8, hour, tzinfo=UTC)
        monkeypatch.setattr(timezone, "now", lambda at=at: at)
        audit_line(Kind.READ, f"at {hour}", site=site, person=operator)

    numbered = lines_about(site, "")
    assert [(one.number, one.said) for one in numbered] == [(2, "at 8"), (1, "at 9")]
    assert not list(breaks_of(site))


def test_failed_tries_under_a_name_that_nobody_has_are_seen_at_every_site(site, other_site):
    audit_line(Kind.SIGN_IN_FAILED, "A wrong name.", site=None)

    assert (
        said(lines_of(site, Wanted())) == said(lines_of(other_site, Wanted())) == ["A wrong name."]
    )
    assert said(lines_about(site, "")) == []


def test_what_was_done_with_one_thing_is_told_newest_first_and_by_kind(site, other_site, operator):
    for kind, text in ((Kind.READ, "read"), (Kind.PRINT, "printed"), (Kind.READ, "read again")):
        audit_line(kind, text, site=site, person=operator, about="record 7")
    audit_line(Kind.READ, "another", site=site, person=operator, about="record 70")
    audit_line(Kind.READ, "theirs", site=other_site, person=operator, about="record 7")

    assert said(lines_about(site, "record 7")) == ["read again", "printed", "read"]
    assert said(lines_about(site, "record 7", [Kind.PRINT])) == ["printed"]
    assert said(lines_about(site, "record 7", [Kind.EXPORT])) == []
    assert said(lines_about(site, "record")) == []


def test_who_was_let_go_can_still_be_asked_for_and_who_never_was_here_cannot(
    site, operator, lead, stranger
):
    audit_line(Kind.READ, "once", site=site, person=operator)
    Membership.objects.filter(user=operator).delete()

    assert [one.username for one in people_at(site)] == ["lena", "otto"]
    form = WantedForm({"person": "otto"}, people=people_at(site))
    assert form.is_valid()
    assert said(lines_of(site, form.wanted())) == ["once"]
    assert not WantedForm({"person": stranger.username}, people=people_at(site)).is_valid()


def test_an_empty_form_asks_for_everything(site, operator):
    form = WantedForm({}, people=people_at(site))

    assert form.is_valid()
    assert form.wanted() == Wanted()


def test_a_line_keeps_the_name_that_somebody_had_then(site, operator):
    audit_line(Kind.READ, "before", site=site, person=operator)
    operator.full_name = "Otto Ångström"
    operator.save()
    audit_line(Kind.READ, "after", site=site, person=operator)

    names = [one.name for one in lines_about(site, "")]
    assert names == ["Otto Ångström (otto)", "Otto Reads (otto)"]
    assert not list(breaks_of(site))


def test_who_belongs_nowhere_is_written_down_without_a_site(person, site):
    nobody = person("Nora Nowhere")
    audit_person(Kind.PASSWORD, nobody, "A new password.")
    (line,) = lines_of(site, Wanted())

    assert (line.site, line.person, line.name) == (None, nobody, "Nora Nowhere (nora)")


def test_without_a_request_nothing_is_said_of_where_it_came_from(site):
    assert seen_in(None) == Seen(address="", device="")
    line = audit_line(Kind.BACKUP, "By itself.", site=site)
    assert (line.person, line.name, line.address, line.device) == (None, "", "", "")


@pytest.mark.parametrize(
    ("field", "most"), [("said", 400), ("about", 200), ("address", 64), ("device", 80)]
)
def test_what_is_too_long_is_cut_to_what_the_column_holds_and_still_fits_its_sum(site, field, most):
    long = "ß" * (most + 1)
    seen = Seen(address=long, device=long)
    line = audit_line(Kind.READ, long, site=site, about=long, seen=seen)

    line.refresh_from_db()
    assert getattr(line, field) == "ß" * most
    assert content_of(line, site)[field] == "ß" * most
    assert not list(breaks_of(site))
