"""What makes the answers of a day old, and that one round of work answers many askings."""

from datetime import timedelta

import pytest
from django.utils import timezone

from ullage.web.days.selectors import day_answers, day_subject
from ullage.web.days.services import day_ask, day_work
from ullage.web.machines.services import machine_change
from ullage.web.sites.services import room_add, room_change, site_change
from ullage.web.supply.models import StoredAnswer
from ullage.web.supply.services import Seen, reading_save

pytestmark = pytest.mark.web


@pytest.fixture
def is_old(site, today, keep_day):
    kept = keep_day()
    StoredAnswer.objects.update(worked_out_at=kept.worked_out_at - timedelta(minutes=1))
    return lambda: day_answers(site, today).is_stale


def test_kept_answers_are_not_old_by_themselves(is_old):
    assert not is_old()


def test_a_reading_makes_the_answers_of_today_old(is_old, cylinder, operator):
    seen = Seen(typed="71 bar", gauge_kpa=7100.0, at=timezone.now())
    reading_save(cylinder=cylinder, seen=seen, by=operator)

    assert is_old()


def test_a_setting_makes_the_answers_of_today_old(is_old, site, lead):
    site_change(site=site, by=lead, section="reserve", facts={"reserve_kpa": 2000.0})

    assert is_old()


def test_a_change_of_machine_makes_the_answers_of_today_old(is_old, machine, lead):
    machine_change(machine=machine, by=lead, facts={"drive_gas_factor": 0.4})

    assert is_old()


def test_a_change_of_plan_makes_the_answers_of_its_day_old(is_old, case):
    assert is_old()


def test_work_that_nobody_asked_for_again_is_not_done_twice(site, today, keep_day):
    kept = keep_day()
    day_work(site_pk=site.pk, day=today, only_if_asked=True)
    kept.refresh_from_db()

    assert kept.payload["seed"] == 1
    assert kept.worked_out_at == StoredAnswer.objects.get(kind="day").worked_out_at


def test_a_site_that_is_gone_is_no_error(db, today):
    day_work(site_pk=0, day=today)

    assert not StoredAnswer.objects.exists()


def test_asking_is_kept_beside_the_answers(site, today):
    day_ask(site=site, day=today)

    assert StoredAnswer.objects.get().subject == day_subject(site, today)
    assert day_answers(site, today).is_stale


def test_a_warmer_room_makes_the_answers_of_today_old_and_a_new_room_does_not(is_old, site, room):
    room_add(site=site, name="Theatre 2")
    assert not is_old()

    room_change(room=room, temperature_k=298.15)
    assert is_old()
