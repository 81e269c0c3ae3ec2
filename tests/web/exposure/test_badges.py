"""Badges: kept as reported, beside what was reckoned, against the limit; and limits."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from ullage.core.errors import InvalidQuantity, RuleBroken
from ullage.web.exposure.models import BadgeResult, BadgeWithdrawal, ExposureChange, LimitChoice
from ullage.web.exposure.reckoned import badge_beside
from ullage.web.exposure.services import BadgeFacts, badge_add, badge_withdraw, limit_choose
from ullage.web.sites.models import Room

pytestmark = [pytest.mark.web, pytest.mark.django_db]


@pytest.fixture
def typed(room):
    return {
        "agent": "isoflurane",
        "room": str(room.pk),
        "who": "M.O.",
        "task": "Chamber and mask",
        "worn_on": "2026-02-03",
        "worn_from": "09:00",
        "worn_to": "11:00",
        "task_min": "45",
        "level": "1.6",
        "unit": "ppm",
        "celsius": "25",
        "lab": "Marsh Analytics",
        "note": "",
    }


@pytest.fixture
def kept(site, room, operator, at):
    """A badge of today, worn over the morning's case."""

    def make(level=1.6, **changes) -> BadgeResult:
        known = {
            "room": room,
            "agent": "isoflurane",
            "who": "M.O.",
            "worn_from": at(9) - timedelta(days=1),
            "worn_to": at(11) - timedelta(days=1),
            "level": level,
        }
        return badge_add(site=site, by=operator, facts=BadgeFacts(**{**known, **changes}))

    return make


def test_a_badge_is_kept_as_reported(as_operator, typed, operator):
    response = as_operator.post(reverse("exposure:badge_add"), typed)

    badge = BadgeResult.objects.get()
    assert response["Location"] == reverse("exposure:badge", args=[badge.code])
    assert (badge.level, badge.unit, badge.level_ppm, badge.by) == (1.6, "ppm", 1.6, operator)
    assert (badge.worn_min, badge.task_min) == (120.0, 45.0)


# 383 mg/m³ of isoflurane at 20 °C are 50 ppm (EH40).
@pytest.mark.published("machine_S118")
def test_mg_m3_is_turned_at_the_temperature_of_the_laboratory(as_operator, typed):
    as_operator.post(
        reverse("exposure:badge_add"), {**typed, "level": "383", "unit": "mg/m³", "celsius": "20"}
    )

    badge = BadgeResult.objects.get()
    assert (badge.level, badge.unit) == (383.0, "mg/m³")
    assert badge.level_ppm == pytest.approx(50.0, abs=0.1)


def test_a_time_before_the_first_is_on_the_next_day(as_operator, typed):
    as_operator.post(
        reverse("exposure:badge_add"),
        {**typed, "worn_from": "22:00", "worn_to": "01:30", "task_min": ""},
    )

    assert BadgeResult.objects.get().worn_min == 210.0


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"level": "-1"}, "must be between 0"),
        ({"level": "nan"}, "nan"),
        ({"level": "1e9"}, "must be between 0"),
        ({"level": ""}, "This field is required"),
        ({"who": ""}, "This field is required"),
        ({"worn_on": "2999-01-01"}, "has not come yet"),
        ({"worn_on": "9999-12-31"}, "has not come yet"),
        ({"worn_on": "0001-01-01"}, "too long ago"),
        ({"worn_on": "soon"}, "Enter a valid date"),
        ({"task_min": "300"}, "must be above 0 and at most the 120 min"),
        ({"agent": "ether"}, "Select a valid choice"),
        ({"agent": ""}, "This field is required"),
        ({"unit": ""}, "This field is required"),
        ({"unit": "mg/m³", "celsius": ""}, "at which temperature the laboratory counts"),
        ({"room": "999999"}, "Select a valid choice"),
    ],
)
def test_what_cannot_be_is_a_sentence_and_nothing_is_lost(as_operator, typed, wrong, sentence):
    response = as_operator.post(reverse("exposure:badge_add"), {**typed, **wrong})
    html = response.content.decode()

    assert response.status_code == 422
    assert sentence in html
    assert "Marsh Analytics" in html
    assert not BadgeResult.objects.exists()


def test_a_badge_worn_into_the_future_or_elsewhere_is_refused(site, other_site, operator, kept):
    now = timezone.now()
    with pytest.raises(RuleBroken, match="has not come yet"):
        kept(worn_from=now, worn_to=now + timedelta(hours=1))
    with pytest.raises(RuleBroken, match="at another site"):
        kept(room=Room.objects.create(site=other_site, name="Barn"))
    with pytest.raises(InvalidQuantity, match="worn_min"):
        kept(worn_to=now - timedelta(days=9), worn_from=now - timedelta(days=8))


def test_a_viewer_may_not_add_and_a_stranger_sees_nothing(as_viewer, as_stranger, typed, kept):
    assert as_viewer.get(reverse("exposure:badge_add")).status_code == 403
    assert as_viewer.post(reverse("exposure:badge_add"), typed).status_code == 403
    badge = kept()
    assert as_viewer.get(reverse("exposure:badge", args=[badge.code])).status_code == 200
    assert as_stranger.get(reverse("exposure:badge", args=[badge.code])).status_code == 404
    assert as_viewer.get(reverse("exposure:badge", args=[uuid4()])).status_code == 404


def test_a_badge_agrees_or_not_with_what_was_reckoned(kept, plan, at):
    plan(starts_at=at(9) - timedelta(days=1))
    work = badge_beside(kept(0.0)).steps[1].result
    assert "ppm" in work

    fits, high, low = (badge_beside(kept(level)) for level in (2.0, 900.0, 0.0))
    assert (fits.verdict.value, high.verdict.value) == ("Fine", "Look again")
    assert "agrees with the" in fits.sentence
    assert "does not agree with the" in high.sentence
    assert low.verdict.value == "Look again"


@pytest.mark.parametrize(
    ("change", "question"),
    [
        ({"room": None}, "In which room was the badge worn?"),
        ({}, "No case with isoflurane was planned in Theatre 1 on that day."),
    ],
)
def test_without_a_plan_there_is_nothing_to_agree_with(kept, change, question):
    found = badge_beside(kept(**change))

    assert (found.verdict.value, found.settles) == ("Not yet", question)


def test_an_unknown_room_has_nothing_to_agree_with(kept, plan, at, room):
    plan(starts_at=at(9) - timedelta(days=1))
    Room.objects.filter(pk=room.pk).update(air_changes_per_h=None)
    badge = BadgeResult.objects.get(pk=kept().pk)

    assert badge_beside(badge).settles == "How many air changes an hour does Theatre 1 have?"


def test_a_withdrawn_badge_stays_readable_and_counts_no_more(as_operator, kept, operator):
    badge = kept()
    url = reverse("exposure:withdraw", args=[badge.code])

    assert as_operator.post(url, {"reason": " "}).status_code == 422
    as_operator.post(url, {"reason": "Left in the drawer."})
    html = as_operator.get(reverse("exposure:badge", args=[badge.code])).content.decode()
    assert "Left in the drawer." in html
    assert "withdrawn" in as_operator.get(reverse("exposure:badges")).content.decode()
    assert BadgeWithdrawal.objects.count() == 1
    assert as_operator.post(url, {"reason": "Again."}).status_code == 422
    with pytest.raises(RuleBroken, match="withdrawn already"):
        badge_withdraw(badge=badge, by=operator, reason="Again.")


def test_the_list_is_judged_by_the_limit_of_the_site(as_viewer, kept, site, lead):
    kept(1.0)
    page = reverse("exposure:badges")
    assert "Not yet" in as_viewer.get(page).content.decode()
    limit_choose(site=site, by=lead, agent="isoflurane", limit="california_isoflurane")
    assert "Fine" in as_viewer.get(page).content.decode()
    kept(90.0)
    assert "Stop" in as_viewer.get(page).content.decode()


def test_no_badges_say_what_they_are_for(as_operator):
    assert "No badges yet" in as_operator.get(reverse("exposure:badges")).content.decode()


def test_limits_stand_side_by_side_until_one_is_chosen(as_lead, site, lead):
    page = reverse("exposure:limits")
    html = as_lead.get(page).content.decode()
    assert "None chosen: no verdict is given." in html
    assert "ACGIH, 2022" in html
    assert "from memory, not confirmed" in html

    as_lead.post(reverse("exposure:limit", args=["isoflurane"]), {"limit": "uk_wel"})
    assert LimitChoice.objects.get(site=site).limit == "uk_wel"
    assert "chosen here" in as_lead.get(page).content.decode()
    as_lead.post(reverse("exposure:limit", args=["isoflurane"]), {"limit": ""})
    assert [one.after["limit"] for one in ExposureChange.objects.all()] == ["", "uk_wel"]


def test_a_limit_of_another_agent_cannot_be_chosen(as_lead, as_operator, site, lead):
    url = reverse("exposure:limit", args=["halothane"])

    assert as_lead.post(url, {"limit": "acgih_isoflurane"}).status_code == 422
    assert as_operator.get(url).status_code == 403
    assert as_lead.get(reverse("exposure:limit", args=["ether"])).status_code == 404
    with pytest.raises(RuleBroken, match="no limit of halothane"):
        limit_choose(site=site, by=lead, agent="halothane", limit="acgih_isoflurane")
