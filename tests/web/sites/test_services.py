"""Who may do what, and what is written about settings, rooms and people."""

import pytest
from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.sites.models import Membership, Role, Room, Site, SiteChange
from ullage.web.sites.selectors import (
    changes_of,
    demand,
    first_day,
    membership_at,
    memberships_of,
    people_of,
    policy_of,
    role_may,
    room_for,
    rooms_of,
)
from ullage.web.sites.services import (
    member_add,
    member_remove,
    member_role_set,
    room_add,
    room_change,
    site_change,
)
from ullage.web.supply.models import Cylinder, Reading

pytestmark = pytest.mark.web


@pytest.mark.parametrize(
    ("role", "may"),
    [
        (Role.VIEWER, {"look"}),
        (Role.OPERATOR, {"look", "operate"}),
        (Role.LEAD, {"look", "operate", "manage", "rule"}),
        (Role.VETERINARIAN, {"look", "operate", "manage", "rule"}),
    ],
)
def test_what_each_role_may(role, may):
    assert {what for what in ("look", "operate", "manage", "rule") if role_may(role, what)} == may


def test_a_role_that_nobody_knows_may_nothing():
    assert not any(role_may("owner", what) for what in ("look", "operate", "manage", "rule"))


@pytest.mark.parametrize("what", ["operate", "manage", "rule"])
def test_who_may_not_is_told_who_can(what, viewer, site):
    with pytest.raises(PermissionDenied, match=r"A lead or a veterinarian can|An operator, a lead"):
        demand(membership_at(viewer, site), what)


def test_a_stranger_has_no_membership(stranger, site):
    with pytest.raises(Http404, match=r"^$"):
        membership_at(stranger, site)


def test_the_first_site_joined_comes_first(viewer, site, other_site):
    member_add(site=other_site, user=viewer, role=Role.LEAD)

    assert [one.site for one in memberships_of(viewer)] == [site, other_site]


def test_one_person_has_one_role_at_a_site(viewer, site):
    with pytest.raises(RuleBroken, match="Vera Looks is at Fennel Lane already"):
        member_add(site=site, user=viewer, role=Role.LEAD)
    assert Membership.objects.get(user=viewer).role == Role.VIEWER


def test_the_last_who_may_manage_stays_whatever_is_tried(lead, operator, site):
    last = membership_at(lead, site)
    for try_it in (
        lambda: member_remove(membership=last),
        lambda: member_role_set(membership=last, role=Role.OPERATOR),
        lambda: member_role_set(membership=last, role=Role.VIEWER),
    ):
        with pytest.raises(RuleBroken, match="is the last who may manage Fennel Lane"):
            try_it()
    assert membership_at(lead, site).role == Role.LEAD


def test_the_last_who_may_manage_may_change_between_the_two_that_may(lead, site):
    member_role_set(membership=membership_at(lead, site), role=Role.VETERINARIAN)

    assert membership_at(lead, site).role == Role.VETERINARIAN


def test_who_manages_another_site_does_not_count_here(lead, stranger, site):
    with pytest.raises(RuleBroken, match="last who may manage"):
        member_remove(membership=membership_at(lead, site))


def test_of_two_who_manage_only_one_can_go(lead, veterinarian, site):
    first, second = membership_at(lead, site), membership_at(veterinarian, site)
    member_remove(membership=first)

    with pytest.raises(RuleBroken, match="last who may manage"):
        member_remove(membership=second)


def test_people_stand_by_name(lead, operator, viewer, stranger, site):
    assert [str(one.user) for one in people_of(site)] == ["Lena Leads", "Otto Reads", "Vera Looks"]


def test_a_setting_is_kept_with_what_it_was_and_became_and_by_whom(site, lead):
    site_change(
        site=site, by=lead, section="reserve", facts={"reserve_min": 20.0, "begin_kpa": None}
    )
    (change,) = changes_of(site, "reserve")

    # What stayed as it was is no change.
    assert (change.before, change.after) == ({"reserve_min": None}, {"reserve_min": 20.0})
    assert change.by == lead


def test_the_same_again_is_no_change(site, lead):
    for _ in range(2):
        site_change(site=site, by=lead, section="place", facts={"elevation_m": 70.0})

    assert SiteChange.objects.count() == 1


def test_two_who_set_different_things_at_once_keep_both(site, lead, veterinarian):
    """Each writes only what they changed, so the other's word stays."""
    theirs = Site.objects.get(pk=site.pk)
    site_change(site=site, by=lead, section="reserve", facts={"reserve_min": 20.0})
    site_change(site=theirs, by=veterinarian, section="units", facts={"pressure_unit": "psi"})
    now = Site.objects.get(pk=site.pk)

    assert (now.reserve_min, now.pressure_unit) == (20.0, "psi")


def test_changes_of_one_part_stand_with_that_part_the_latest_first(site, lead):
    for metres in (70.0, 80.0):
        site_change(site=site, by=lead, section="place", facts={"elevation_m": metres})
    site_change(site=site, by=lead, section="units", facts={"pressure_unit": "psi"})

    assert [one.after["elevation_m"] for one in changes_of(site, "place")] == [80.0, 70.0]
    assert len(changes_of(site, "place", count=1)) == 1


def test_what_is_kept_back_is_the_policy_of_the_answers(site):
    site.reserve_kpa, site.reserve_l, site.reserve_min, site.begin_kpa = 1400.0, 70.0, 15.0, 6900.0
    policy = policy_of(site)

    assert (policy.pressure_kpa, policy.volume_l, policy.minutes, policy.begin_kpa) == (
        1400.0, 70.0, 15.0, 6900.0,
    )  # fmt: skip


@pytest.mark.parametrize("name", ["Theatre 1", "theatre 1", "THEATRE 1"])
def test_a_room_of_a_name_stands_once(room, site, name):
    with pytest.raises(RuleBroken, match="There is a room"):
        room_add(site=site, name=name)
    other = room_add(site=site, name="Barn")
    with pytest.raises(RuleBroken, match="There is a room"):
        room_change(room=other, name=name)
    assert [one.name for one in rooms_of(site)] == ["Barn", "Theatre 1"]


def test_another_site_may_have_a_room_of_the_same_name(room, other_site):
    assert room_add(site=other_site, name="Theatre 1").site == other_site


@pytest.mark.parametrize("pk", [0, -1, 10**18, 10**30])
def test_a_room_that_is_not_there_is_not_found_whatever_its_number(site, pk):
    with pytest.raises(Http404, match=r"^$"):
        room_for(site, pk)


def test_a_room_of_a_number_beyond_any_has_no_page(as_lead):
    assert as_lead.get(f"/rooms/{10**30}/").status_code == 404


def test_a_first_day_knows_what_is_there_already(site, machine, operator):
    assert first_day(site)["machine"]
    assert not first_day(site)["reading"]
    one = Cylinder.objects.create(site=site, name="Alder", water_capacity_l=4.7)
    Reading.objects.create(
        cylinder=one, at=timezone.now(), gauge_kpa=100.0, typed="1 bar", by=operator
    )
    assert first_day(site)["reading"]


def test_a_first_day_is_not_that_of_another_site(other_site, machine):
    assert not any(first_day(other_site).values())
    assert Room.objects.count() == 1
