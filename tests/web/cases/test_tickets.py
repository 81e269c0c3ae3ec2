"""Tickets of authors: what they prove, for how long, by whose clock; none can be made up."""

from datetime import UTC, datetime, timedelta

import pytest
from django.core import signing

from ullage.core.errors import RuleBroken
from ullage.web.cases.models import Tablet
from ullage.web.cases.services.tickets import Ticket, ticket_new, ticket_read

pytestmark = pytest.mark.web

BEGINS = datetime(2026, 10, 24, 14, 0, tzinfo=UTC)
ENDS = BEGINS + timedelta(hours=12)
TICKET = Ticket(user=7, username="otto", tablet="", begins=BEGINS, ends=ENDS)


def minutes(number):
    return timedelta(minutes=number)


@pytest.mark.parametrize(
    ("written", "offset_s", "is_covered"),
    [
        (BEGINS, 0.0, True),
        (ENDS, 0.0, True),
        # five minutes are let by: so much do clocks differ
        (BEGINS - minutes(5), 0.0, True),
        (BEGINS - minutes(5.1), 0.0, False),
        (ENDS + minutes(5), 0.0, True),
        (ENDS + minutes(5.1), 0.0, False),
        # a clock that runs an hour ahead, as it was measured
        (ENDS + minutes(60), 3600.0, True),
        (BEGINS + minutes(30), 3600.0, False),
        (BEGINS - minutes(60), -3600.0, True),
    ],
)
def test_what_was_written_while_somebody_was_signed_in_is_theirs(written, offset_s, is_covered):
    assert TICKET.covers(written, offset_s) is is_covered


def test_a_night_with_two_clocks_is_no_longer_than_any_other():
    # London goes back at 01:00 UTC of 25 October 2026, within this ticket
    from zoneinfo import ZoneInfo

    ends = ENDS.astimezone(ZoneInfo("Europe/London"))

    assert f"{ends:%H:%M}" == "02:00"
    assert TICKET.covers(ends + minutes(5), 0.0)
    assert not TICKET.covers(ends + minutes(6), 0.0)


@pytest.mark.django_db
def test_a_ticket_is_read_as_it_was_given(operator):
    text, given = ticket_new(user=operator, tablet=None)

    assert ticket_read(text) == given
    assert given.ends - given.begins == timedelta(hours=12)
    assert (given.user, given.username, given.tablet) == (operator.pk, "otto", "")


@pytest.mark.django_db
def test_a_ticket_names_the_device_that_is_enrolled(operator, site):
    tablet = Tablet.objects.create(
        site=site, name="Table 1", public_key="{}", enrolled_by=operator, enrolled_at=BEGINS
    )

    assert ticket_read(ticket_new(user=operator, tablet=tablet)[0]).tablet == str(tablet.code)


@pytest.mark.django_db
def test_a_renamed_person_keeps_what_an_older_ticket_says(operator):
    text, _ = ticket_new(user=operator, tablet=None)
    operator.username = "otto.reads"
    operator.save()

    assert ticket_read(text).username == "otto"


@pytest.mark.parametrize("text", ["", "a", "a:b:c", "\x00", "é:é:é", "x" * 1001, "::" * 300])
def test_a_ticket_that_was_made_up_proves_nothing(text):
    with pytest.raises(RuleBroken, match=r"^The ticket of its author is none of ours\.$"):
        ticket_read(text)


@pytest.mark.django_db
def test_one_changed_letter_or_another_use_makes_it_none_of_ours(operator):
    text, _ = ticket_new(user=operator, tablet=None)
    said = signing.loads(text, salt="ullage.cases.author")
    others = [
        text[:-1] + ("A" if text[-1] != "A" else "B"),
        signing.dumps({**said, "user": 1}, salt="another use"),
        text.swapcase(),
    ]

    for other in others:
        with pytest.raises(RuleBroken, match="none of ours"):
            ticket_read(other)


@pytest.mark.django_db
@pytest.mark.parametrize(("days", "proves"), [(0, True), (60, True), (61, False), (400, False)])
def test_a_ticket_proves_what_lies_within_it_for_sixty_days(operator, monkeypatch, days, proves):
    text, given = ticket_new(user=operator, tablet=None)
    later = given.ends.timestamp() + days * 86_400 - 3600
    monkeypatch.setattr("django.core.signing.time.time", lambda: later)

    if proves:
        assert ticket_read(text) == given
    else:
        with pytest.raises(RuleBroken, match="too old to prove anything"):
            ticket_read(text)
