"""The air of a room over a day of planned cases."""

from datetime import timedelta

import pytest
from django.urls import reverse

from ullage.web.days.selectors import case_input, plan_of, said_of
from ullage.web.exposure.models import ExposureChange, WorkWay
from ullage.web.exposure.reckoned import room_day
from ullage.web.exposure.selectors import case_waste_at, setup_of, work_room
from ullage.web.exposure.services import limit_choose, mixing_set, way_set
from ullage.web.machines.models import Part

pytestmark = [pytest.mark.web, pytest.mark.django_db]

KNOWN = {
    "scavenging": "active",
    "mask_escape_share": 0.1,
    "purged": False,
    "leak_l_min": 0.0,
    "hood": False,
    "away": False,
    "animals": 1,
}


@pytest.fixture
def page(room):
    return reverse("exposure:room", args=[room.pk])


def shown(client, url):
    response = client.get(url)
    assert response.status_code == 200
    return response.content.decode()


def test_a_day_without_cases_says_so(as_viewer, page):
    assert "No case is planned in this room on this day." in shown(as_viewer, page)


def test_a_planned_case_shows_levels_a_chart_and_what_helps(as_viewer, page, plan):
    plan()
    html = shown(as_viewer, page)

    assert "Isoflurane" in html
    assert 'class="chart"' in html
    assert "Which limit does this site follow?" in html
    assert "Work under local exhaust that leads out of the building" in html
    assert "Is the waste gas scavenged, and how?" in html


def test_a_room_that_nobody_measured_is_asked_about(as_lead, page, plan, room):
    plan()
    room.volume_m3 = None
    room.save()
    html = shown(as_lead, page)

    assert "How large is Theatre 1?" in html
    assert 'role="img"' not in html
    assert reverse("sites:room", args=[room.pk]) in html


def test_air_changes_are_asked_about_too(as_viewer, page, plan, room):
    plan()
    room.air_changes_per_h = None
    room.save()

    assert "How many air changes an hour does Theatre 1 have?" in shown(as_viewer, page)


def test_a_chosen_limit_gives_a_verdict_and_a_line(as_viewer, page, plan, site, lead):
    plan()
    limit_choose(site=site, by=lead, agent="isoflurane", limit="niosh_by_custom")
    html = shown(as_viewer, page)

    assert "limit 2 ppm" in html
    assert "NIOSH, 1977" in html
    assert "Which limit does this site follow?" not in html


def test_a_case_that_cannot_be_reckoned_is_named_with_the_reason(as_viewer, page, plan):
    plan(agent="", name="C-30")
    plan(drugs=None, name="C-32")
    html = shown(as_viewer, page)

    assert "C-30" in html
    assert "Left out:" in html
    assert "Which drugs were given, or none?" in html


def test_a_cancelled_case_and_one_of_another_day_do_not_count(site, room, plan, today, at):
    plan(state="cancelled")
    plan(starts_at=at(9) - timedelta(days=2), name="C-29")

    assert room_day(site, room, today).cases == ()


def test_what_was_said_narrows_the_band(site, room, plan, today, machine, lead):
    plan()
    before = room_day(site, room, today).gases[0].answers["day"]
    way_set(machine=machine, by=lead, facts=KNOWN)
    mixing_set(room=room, by=lead, mixing_factor=2.0)
    after = room_day(site, room, today)
    day = after.gases[0].answers["day"]

    assert before.value is None
    assert day.value is not None
    assert day.high < before.high
    assert after.questions == ()


def test_two_cases_add_up(plan, today, machine, lead, at):
    site, room = machine.site, machine.room
    way_set(machine=machine, by=lead, facts=KNOWN)
    plan()
    once = room_day(site, room, today).gases[0].answers["day"].high
    plan(name="C-32", starts_at=at(9))

    assert room_day(site, room, today).gases[0].answers["day"].high == pytest.approx(
        2.0 * once, rel=0.01
    )


def test_a_plan_is_told_what_it_does_to_its_room(site, machine, room, plan, today, lead):
    way_set(machine=machine, by=lead, facts=KNOWN)
    row = plan()
    given = plan_of(case_input(site, said_of(row, 540.0)))

    found = case_waste_at(machine, given)
    alone = room_day(site, room, today).gases[0].answers
    assert found.answers["isoflurane"]["day"].high == pytest.approx(alone["day"].high, rel=1e-9)
    machine.room = None
    assert case_waste_at(machine, given) is None


def test_scavenging_that_is_fitted_counts_where_none_was_said(site, machine, lead):
    assert setup_of(machine).scavenging is None
    Part.objects.create(
        site=site, machine=machine, kind="scavenging", name="Can", facts={"way": "charcoal"}
    )
    assert setup_of(machine).scavenging.value == "charcoal"
    way_set(machine=machine, by=lead, facts={"scavenging": "none"})
    assert setup_of(machine).scavenging.value == "none"


def test_a_cupboard_is_no_room_to_stand_in(room):
    room.volume_m3 = 1.0

    assert work_room(room).question == "How large is Theatre 1?"


@pytest.mark.parametrize(
    "day", ["yesterday", "2026-13-01", "9999-12-31", "0001-01-01", "2026-02-30"]
)
def test_a_day_that_is_none_is_not_found(as_viewer, page, day):
    assert as_viewer.get(page, {"day": day}).status_code == 404


def test_a_room_of_another_site_is_not_found(as_stranger, page):
    assert as_stranger.get(page).status_code == 404


def test_queries_do_not_grow_with_cases(as_viewer, page, plan, django_assert_max_num_queries):
    for number in range(6):
        plan(name=f"C-{number}")
    with django_assert_max_num_queries(16):
        as_viewer.get(page)


TYPED = {"scavenging": "charcoal", "mask_escape_share": "15", "purged": "no", "animals": "4"}


def test_how_work_is_done_is_kept_with_its_change(as_operator, machine, operator):
    url = reverse("exposure:way", args=[machine.code])

    typed = {**TYPED, "leak_l_min": "120", "hood": "on", "spilled_ml": "1.5"}
    assert as_operator.post(url, typed)["Location"] == url
    kept = WorkWay.objects.get(machine=machine)
    assert setup_of(machine).spilled_ml == pytest.approx(1.5)
    assert (kept.scavenging, kept.purged, kept.animals, kept.hood) == ("charcoal", False, 4, True)
    assert kept.mask_escape_share == pytest.approx(0.15)
    assert kept.leak_l_min == pytest.approx(0.12)
    change = ExposureChange.objects.get()
    assert (change.by, change.before["scavenging"], change.after["animals"]) == (operator, "", 4)
    html = shown(as_operator, url)
    assert "charcoal canister" in html
    assert "Charcoal does not hold nitrous oxide" in html


def test_saying_the_same_again_keeps_no_change(as_operator, machine):
    url = reverse("exposure:way", args=[machine.code])
    for _ in range(2):
        as_operator.post(url, TYPED)

    assert ExposureChange.objects.count() == 1


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"mask_escape_share": "120"}, "must be between 0 and 100 %"),
        ({"mask_escape_share": "nan"}, "nan"),
        ({"animals": "0"}, "must be between 1 and 100"),
        ({"leak_l_min": "-5"}, "must be between 0"),
        ({"scavenging": "magic"}, "Select a valid choice"),
    ],
)
def test_what_cannot_be_is_a_sentence(as_operator, machine, wrong, sentence):
    response = as_operator.post(reverse("exposure:way", args=[machine.code]), {**TYPED, **wrong})

    assert response.status_code == 422
    assert sentence in response.content.decode()
    assert not WorkWay.objects.exists()


def test_a_viewer_may_not_change_the_way(as_viewer, machine, page, plan):
    plan()
    url = reverse("exposure:way", args=[machine.code])

    assert as_viewer.get(url).status_code == 403
    assert as_viewer.post(url, TYPED).status_code == 403
    assert url not in shown(as_viewer, page)


def test_a_mixing_factor_is_said_and_taken_back(as_lead, room):
    url = reverse("exposure:mixing", args=[room.pk])
    as_lead.post(url, {"mixing_factor": "3"})
    assert work_room(room).mixing_factor == 3.0
    as_lead.post(url, {"mixing_factor": ""})
    assert work_room(room).mixing_factor is None
    assert [one.after["mixing_factor"] for one in ExposureChange.objects.all()] == [None, 3.0]
    assert as_lead.post(url, {"mixing_factor": "0.5"}).status_code == 422


def test_a_purge_is_worked_out_in_any_unit(as_viewer):
    url = reverse("exposure:purge")
    asked = {"volume_l": "4", "flow_l_min": "2", "start_share": "2", "end_share": "1000"}
    html = shown(as_viewer, f"{url}?" + "&".join(f"{k}={v}" for k, v in asked.items()))

    # Twice the logarithm of twenty: 5.99 min, and ten times that where nothing mixes.
    assert "6 min to 1 h 00 min" in html
    known = as_viewer.get(url, {**asked, "volume_l": "45 m³", "flow_l_min": "540 m³/h"})
    assert "15" in known.content.decode()


@pytest.mark.parametrize(
    "wrong", [{"volume_l": "0"}, {"flow_l_min": ""}, {"end_share": "0"}, {"mixing_factor": "99"}]
)
def test_a_purge_that_cannot_be_is_a_sentence(as_viewer, wrong):
    asked = {"volume_l": "4", "flow_l_min": "2", "start_share": "2", "end_share": "1000"}

    assert as_viewer.get(reverse("exposure:purge"), {**asked, **wrong}).status_code == 422


def test_the_first_page_leads_to_rooms(as_viewer, room, page):
    html = shown(as_viewer, reverse("exposure:home"))

    assert page in html
    assert "None chosen yet" in html


def test_a_site_without_rooms_is_told_what_comes_first(as_lead):
    assert "No rooms yet" in shown(as_lead, reverse("exposure:home"))
