"""Drawn events, withdrawals and intervals: a due day is the last one that counts, and the days."""

import random
from dataclasses import dataclass, field
from datetime import date, timedelta

import pytest

from ullage.core.errors import InvalidQuantity, RuleBroken, UnknownReference
from ullage.web.machines.selectors import UseState
from ullage.web.machines.services import PartFacts, part_change
from ullage.web.service.models import Interval, OutputRule, ServiceEvent
from ullage.web.service.selectors import (
    DueAsked,
    due_list,
    due_on_part,
    events_of,
    intervals_at,
)
from ullage.web.service.selectors.dates import dates_of
from ullage.web.service.services import (
    address_make,
    address_revoke,
    event_add,
    event_withdraw,
    interval_set,
    limit_set,
)

pytestmark = pytest.mark.web

#: [d] Yearly, as the published page says that the service data name for an output test.
YEARLY = 365


@dataclass
class Book:
    """What a careful person keeps of one vaporizer: days of tests, struck or not."""

    bought: date | None = None
    tested: dict = field(default_factory=dict)
    struck: set = field(default_factory=set)
    every: int = YEARLY

    @property
    def due(self) -> date | None:
        """The day of the next test; none where nothing is known."""
        counted = [day for pk, day in self.tested.items() if pk not in self.struck]
        since = max(counted, default=self.bought)
        return None if since is None else since + timedelta(days=self.every)


def due_day(part, today):
    (line,) = [one for one in due_on_part(part, today) if one.due.interval.task == "output_test"]
    return line.due.due_on


def sorted_day(site, today):
    """The day by which the list is sorted, from one pass over the whole site."""
    rules = intervals_at(site)
    (day,) = [
        one.day
        for one in dates_of(site, rules, today).lines
        if (rules[one.rule].thing, rules[one.rule].task) == ("vaporizer", "output_test")
    ]
    return None if day is None else date.fromordinal(day)


def draw(book, part, dice, lead, today):
    """Something happens to a vaporizer or to the rules about it."""
    deed = dice.randrange(5)
    day = today - timedelta(days=dice.randrange(1500))
    if deed <= 1:
        event = ServiceEvent.objects.create(
            site=part.site, part=part, kind="output_test", done_on=day, done_by="Us", by=lead
        )
        book.tested[event.pk] = day
    elif deed == 2 and set(book.tested) - book.struck:
        pk = dice.choice(sorted(set(book.tested) - book.struck))
        event_withdraw(event=ServiceEvent.objects.get(pk=pk), by=lead, reason="Wrong one.")
        book.struck.add(pk)
    elif deed == 3:
        days = dice.choice([None, 30, 90, 180, 730])
        interval_set(
            site=part.site, thing="vaporizer", task="output_test", days=days, why="Drawn.", by=lead
        )
        book.every = days or YEARLY
    else:
        book.bought = day
        said = PartFacts(name=part.name, facts={"agent": "isoflurane"}, bought_on=day)
        part_change(part=part, said=said, by=lead)


@pytest.mark.parametrize("seed", range(6))
def test_the_due_day_is_the_last_test_that_counts_and_the_interval_that_holds(
    site, vaporizer, lead, today, seed
):
    dice = random.Random(seed)
    book = Book()
    for _ in range(30):
        draw(book, vaporizer, dice, lead, today)
        vaporizer.refresh_from_db()
        assert due_day(vaporizer, today) == book.due
        asked = DueAsked(thing="vaporizer", task="output_test")
        (line,) = due_list(site, asked, today).lines
        assert line.due.due_on == book.due
        assert sorted_day(site, today) == book.due


def test_a_day_of_purchase_counts_until_something_was_done(vaporizer, lead, done, today):
    said = PartFacts(name="Iso", facts={"agent": "isoflurane"}, bought_on=today)
    part_change(part=vaporizer, said=said, by=lead)
    vaporizer.refresh_from_db()
    assert due_day(vaporizer, today) == today + timedelta(days=YEARLY)
    done(vaporizer, "output_test", 100)

    assert due_day(vaporizer, today) == today + timedelta(days=YEARLY - 100)


@pytest.mark.parametrize("seed", range(4))
def test_whatever_went_away_and_came_back_the_state_follows_and_stays_in_the_log(
    vaporizer, lead, said, seed
):
    dice = random.Random(seed)
    away = False
    for _ in range(12):
        kind = dice.choice(["loan", "return", "cleaning"])
        if kind == "return" and not away:
            with pytest.raises(RuleBroken, match="is not away by this record"):
                event_add(thing=vaporizer, said=said(kind), by=lead)
            continue
        event_add(thing=vaporizer, said=said(kind), by=lead)
        vaporizer.refresh_from_db()
        if kind == "loan":
            away = True
            assert vaporizer.state == UseState.OUT
        elif kind == "return":
            away = False
            assert vaporizer.state == UseState.IN_DOUBT
    told = events_of(parts=[vaporizer])
    assert len(told) == ServiceEvent.objects.count()


def test_a_loan_that_was_withdrawn_is_none_to_come_back_from(vaporizer, lead, said):
    event = event_add(thing=vaporizer, said=said("loan"), by=lead)
    event_withdraw(event=event, by=lead, reason="It never left.")

    with pytest.raises(RuleBroken, match="not away by this record"):
        event_add(thing=vaporizer, said=said("return"), by=lead)


def test_a_reason_is_needed_to_withdraw_and_once_is_enough(vaporizer, lead, operator, done):
    event = done(vaporizer, "cleaning", 5)
    with pytest.raises(RuleBroken, match="Say why; what was written stays readable"):
        event_withdraw(event=event, by=operator, reason=" ")
    event_withdraw(event=event, by=operator, reason="Another one was meant.")
    with pytest.raises(RuleBroken, match="It is withdrawn already"):
        event_withdraw(event=event, by=lead, reason="Again.")


# --- rules ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "raised", "words"),
    [
        ({"why": "  "}, RuleBroken, "Say why, or on whose word"),
        ({"task": "polish"}, UnknownReference, "polish"),
        ({"thing": "kettle"}, UnknownReference, "kettle"),
        ({"days": 0}, InvalidQuantity, "days"),
        ({"days": -30}, InvalidQuantity, "days"),
        ({"days": 10**6}, InvalidQuantity, "days"),
    ],
)
def test_an_interval_that_cannot_be_is_refused(site, lead, changes, raised, words):
    known = {"thing": "vaporizer", "task": "output_test", "days": 90, "why": "Old ones."}
    with pytest.raises(raised, match=words):
        interval_set(site=site, by=lead, **{**known, **changes})
    assert not Interval.objects.exists()


@pytest.mark.parametrize(
    ("key", "share", "why", "raised", "words"),
    [
        ("policy", None, "", RuleBroken, "Say why"),
        ("", None, "Ours.", RuleBroken, "Choose one of the limits, or write a share"),
        ("the neighbour", None, "Ours.", RuleBroken, "Choose one of the limits"),
        ("", 0.0, "Ours.", InvalidQuantity, "of_dial_share"),
        ("", -0.1, "Ours.", InvalidQuantity, "of_dial_share"),
        ("", float("nan"), "Ours.", InvalidQuantity, "of_dial_share"),
    ],
)
def test_a_limit_that_cannot_be_is_refused(*, site, lead, key, share, why, raised, words):
    with pytest.raises(raised, match=words):
        limit_set(site=site, key=key, of_dial_share=share, why=why, by=lead)
    assert not OutputRule.objects.exists()


def test_a_share_of_our_own_goes_before_a_key_that_was_sent_with_it(site, lead):
    rule = limit_set(site=site, key="policy", of_dial_share=0.1, why="Ours.", by=lead)

    assert (rule.key, rule.of_dial_share) == ("", 0.1)


# --- calendar addresses --------------------------------------------------------------------------


def test_an_address_says_for_whom_and_not_more_than_fifty_hold(site, lead):
    with pytest.raises(RuleBroken, match="Say which calendar this is for"):
        address_make(site=site, name="  ", by=lead)
    made = [address_make(site=site, name=f"Phone {number}", by=lead) for number in range(50)]
    with pytest.raises(RuleBroken, match="50 addresses hold already: revoke those"):
        address_make(site=site, name="One more", by=lead)
    address_revoke(address=made[0][0], by=lead)
    address_make(site=site, name="One more", by=lead)

    assert len({secret for _, secret in made}) == 50


def test_who_revoked_an_address_first_stays_written(site, lead, veterinarian):
    address, _ = address_make(site=site, name="Phone", by=lead)
    first = address_revoke(address=address, by=veterinarian).revoked_at
    address_revoke(address=address, by=lead)
    address.refresh_from_db()

    assert (address.revoked_by, address.revoked_at) == (veterinarian, first)
