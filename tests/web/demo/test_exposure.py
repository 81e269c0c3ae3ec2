"""Waste gas of the practice world: invented, and told so that every verdict can be seen."""

import pytest

from ullage.web.exposure.models import BadgeResult, WorkWay
from ullage.web.exposure.reckoned import badge_beside, room_day
from ullage.web.exposure.selectors import limits_of
from ullage.web.sites.models import Room

pytestmark = [pytest.mark.web, pytest.mark.django_db]


def test_the_chamber_of_the_rodent_lab_is_opened_without_a_purge(world):
    way = WorkWay.objects.get(machine__name="Siskin")
    lab = Room.objects.get(name="Rodent lab, Mill End")
    found = room_day(world.sites[0], lab, world.local_now.date())

    assert way.purged is False
    assert [one.why_not for one in found.cases] == ["", ""]
    kinds = {one.kind.value for one in found.escapes}
    assert {"chamber", "mask", "recovery"} <= kinds
    answers = found.gases[0].answers
    assert answers["day"].value is not None
    assert "purge" not in answers["limit"].todo
    assert any("before it is opened" in one.what for one in answers["helps"].steps)


def test_one_badge_agrees_one_does_not_and_one_is_withdrawn(world):
    badges = list(BadgeResult.objects.order_by("-worn_from"))
    words = [badge_beside(one).verdict.value for one in badges[:2]]

    assert len(badges) == 3
    assert words == ["Fine", "Look again"]
    assert badges[2].withdrawal.reason == "It lay in the drawer and was not worn."


def test_one_site_has_chosen_a_limit_and_the_other_has_not(world):
    fennel, saddle = world.sites

    assert limits_of(fennel) == {"isoflurane": "uk_wel"}
    assert limits_of(saddle) == {}
