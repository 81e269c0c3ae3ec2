"""Everything that has an address: found by people of its site, and by nobody else."""

from collections.abc import Callable
from datetime import timedelta
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import Http404
from django.utils import timezone

from ullage.web.checks.selectors import check_for, file_for
from ullage.web.checks.services import check_begin, file_add
from ullage.web.days.models import PlannedCase
from ullage.web.days.selectors import case_for
from ullage.web.exposure.selectors import badge_for
from ullage.web.exposure.services import BadgeFacts, badge_add
from ullage.web.machines.selectors import machine_anywhere, part_for
from ullage.web.machines.services import PartFacts, part_add
from ullage.web.service.selectors import certificate_for, event_for
from ullage.web.service.services import EventSaid, event_add
from ullage.web.shared.attachments import attachment_kept
from ullage.web.sites.models import Membership, Role
from ullage.web.stock.selectors import (
    area_for,
    fitted_for,
    item_for,
    move_for,
    note_for,
    order_for,
)
from ullage.web.stock.services import (
    FittedFacts,
    ItemFacts,
    MoveFacts,
    area_add,
    fitted_note,
    fitted_put_in,
    item_add,
    move_add,
    order_add,
)
from ullage.web.supply.models import Cylinder, Reading, Source
from ullage.web.supply.selectors import cylinder_for, reading_for, source_for

pytestmark = pytest.mark.web

PDF = b"%PDF-1.7\ntrailer\n<<>>\n%%EOF\n"


def a_paper():
    return attachment_kept(SimpleUploadedFile("paper.pdf", PDF))


def a_badge(site, room, by):
    worn_to = timezone.now() - timedelta(days=1)
    facts = BadgeFacts(
        room=room,
        agent="isoflurane",
        who="M.O.",
        worn_from=worn_to - timedelta(hours=2),
        worn_to=worn_to,
        level=1.0,
    )
    return badge_add(site=site, by=by, facts=facts)


@pytest.fixture
def things(site, room, machine, lead):
    """One of everything, each with the selector that finds it."""
    now = timezone.now()
    part = part_add(site=site, kind="hose", said=PartFacts(name="Hose"), by=lead, machine=machine)
    said = EventSaid(kind="service", done_on=now.date(), done_by="Us", file=a_paper())
    event = event_add(thing=part, said=said, by=lead)
    check = check_begin(machine=machine, key="start_of_day", by=lead)
    item = item_add(site=site, kind="other", facts=ItemFacts(name="Tape"), by=lead)
    can = fitted_put_in(
        site=site, kind="canister", facts=FittedFacts(name="Can", start_kg=0.2), by=lead
    )
    cylinder = Cylinder.objects.create(
        site=site, name="Tree", gas="oxygen", size="E", water_capacity_l=4.7
    )
    reading = Reading.objects.create(cylinder=cylinder, gauge_kpa=9_000.0, at=now, by=lead)
    case = PlannedCase.objects.create(
        site=site, machine=machine, name="Clover", species="dog", starts_at=now, minutes=60.0
    )
    weight = fitted_note(fitted=can, kind="weight", facts={"weight_kg": 0.21}, by=lead)
    return [
        (machine_anywhere, machine),
        (part_for, part),
        (event_for, event),
        (certificate_for, event.files.get()),
        (check_for, check),
        (file_for, file_add(check=check, step="leak", kept=a_paper(), by=lead)),
        (item_for, item),
        (move_for, move_add(item=item, facts=MoveFacts(kind="counted", count=1), by=lead)),
        (order_for, order_add(item=item, count=1, by=lead)),
        (fitted_for, can),
        (note_for, weight),
        (area_for, area_add(site=site, room=room, by=lead)),
        (cylinder_for, cylinder),
        (source_for, Source.objects.create(site=site, name="W", kind="cylinder", gas="oxygen")),
        (reading_for, reading),
        (case_for, case),
        (badge_for, a_badge(site, room, lead)),
    ]


def find(finder: Callable, user, thing):
    return finder(user, thing.code)


def test_every_role_of_its_site_finds_each_thing(things, viewer, operator, veterinarian):
    for finder, thing in things:
        assert [find(finder, one, thing) for one in (viewer, operator, veterinarian)] == [thing] * 3


def test_to_a_stranger_each_thing_is_as_if_it_did_not_exist(things, stranger):
    for finder, thing in things:
        with pytest.raises(Http404, match=r"^$"):
            find(finder, stranger, thing)
        with pytest.raises(Http404, match=r"^$"):
            finder(stranger, uuid4())


def test_a_person_of_both_sites_finds_each_thing_once(things, stranger, site):
    Membership.objects.create(user=stranger, site=site, role=Role.VIEWER)

    for finder, thing in things:
        assert find(finder, stranger, thing) == thing


def test_who_left_a_site_finds_nothing_of_it_any_more(things, operator, site):
    Membership.objects.filter(user=operator, site=site).delete()

    for finder, thing in things:
        with pytest.raises(Http404, match=r"^$"):
            find(finder, operator, thing)


def test_a_thing_is_found_with_its_site_and_papers_in_two_queries(
    things, viewer, django_assert_max_num_queries
):
    for finder, thing in things:
        with django_assert_max_num_queries(2):
            found = find(finder, viewer, thing)
        assert type(found) is type(thing)
