"""The Today board: every machine, may it begin, what is left, and its day."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from ullage.answers import Verdict
from ullage.web.days.models import CaseState, PlannedCase
from ullage.web.days.selectors import board_of, due_of, next_of
from ullage.web.machines.models import Machine
from ullage.web.supply.models import Cylinder, Reading, Source
from ullage.web.supply.services import Worked, answers_store

from .conftest import answer

pytestmark = pytest.mark.web

URL = reverse("days:today")


def board(site, today):
    return board_of(site, today, timezone.now())


def test_a_new_site_says_where_to_begin(as_lead, site):
    page = as_lead.get(URL).content.decode()

    assert "Nothing is known yet" in page
    assert "Add the first machine" in page


def test_who_may_not_add_a_machine_is_told_who_can(as_viewer, site):
    assert "A lead or a veterinarian can add it." in as_viewer.get(URL).content.decode()


@pytest.mark.usefixtures("unspoken")
def test_a_machine_shows_what_is_left_and_for_how_long(as_viewer, case, reading, keep):
    keep()
    page = as_viewer.get(URL).content.decode()

    assert "Alder, 71 bar" in page
    assert '<span class="num">343</span>' in page
    assert "2 h 41 min" in page
    assert "today needs 450 L" in page
    assert "1 machine: 1 fine" in page


def test_the_lane_says_its_day_in_words_too(as_viewer, case, reading, keep):
    keep()
    page = as_viewer.get(URL).content.decode()

    assert "Wren: Clover 10:30 to 12:20, planned; Fit a full one before Sorrel." in page


def test_no_style_attribute_is_used_since_the_policy_blocks_it(as_viewer, case, reading, keep):
    keep()

    assert "style=" not in as_viewer.get(URL).content.decode()


def test_a_full_cylinder_in_store_is_not_called_enough(as_viewer, case, reading, keep):
    keep()
    page = as_viewer.get(URL).content.decode()

    assert "A full one?" in page
    assert "Enough?" not in page
    assert reverse("stock:order") in page


@pytest.mark.usefixtures("unspoken")
def test_the_gravest_verdict_stands_first_with_what_to_do(site, today, case, reading, keep):
    keep(Verdict.LOOK_AGAIN)
    found = board(site, today).machines[0]

    assert found.verdict is Verdict.LOOK_AGAIN
    assert found.lead == "Fit a full one before Sorrel."
    assert found.lane.band is not None


def test_a_machine_out_of_use_is_stopped_and_its_cases_blocked(site, today, case, reading, keep):
    keep()
    Machine.objects.update(
        state="out_of_use", state_reason="Leak test failed: 450 mL/min, limit 300."
    )
    found = board(site, today).machines[0]

    assert found.verdict is Verdict.STOP
    assert found.more == "Leak test failed: 450 mL/min, limit 300."
    assert [one.look for one in found.lane.blocks] == ["halt"]


def test_a_check_that_is_not_done_hides_behind_no_second_look(site, today, case, reading, keep):
    keep(Verdict.LOOK_AGAIN)
    found = board(site, today).machines[0]

    assert found.verdict is Verdict.NOT_YET
    assert found.verdict is found.ready.verdict
    assert found.lead == "Do the check of the start of the day."
    assert found.more.endswith(
        "Look again, too: Fit a full one before Sorrel. Said in one sentence."
    )


@pytest.mark.usefixtures("unspoken")
def test_an_old_reading_is_an_estimate_and_is_asked_for(site, today, case, reading, keep):
    keep()
    Reading.objects.update(at=timezone.now() - timedelta(days=4))
    found = board(site, today).machines[0]

    assert found.verdict is Verdict.LOOK_AGAIN
    assert found.lead == "Read the gauge before use."
    assert found.lines[0].is_estimate


@pytest.mark.usefixtures("unspoken")
def test_a_cylinder_that_was_never_read_gives_no_number(
    site, today, as_viewer, case, cylinder, keep_day
):
    question = "What does Alder hold? No reading yet: read the gauge of it."
    keep_day(unread=[{"source": "Wall oxygen", "machines": ["Wren"], "question": question}])
    page = as_viewer.get(URL).content.decode()

    assert f"No answer yet: {question}" in page
    assert board(site, today).machines[0].verdict is Verdict.LOOK_AGAIN


def test_a_machine_without_a_source_is_not_answered_for(site, today, machine):
    found = board(site, today).machines[0]

    assert found.verdict is Verdict.NOT_YET
    assert found.lead == "No source feeds it yet."


@pytest.mark.usefixtures("unspoken")
def test_a_running_case_says_for_how_long(site, today, case, reading, keep):
    keep()
    began = timezone.now() - timedelta(minutes=71)
    PlannedCase.objects.update(state=CaseState.RUNNING, began_at=began)
    found = board(site, today).machines[0]

    assert found.more == "In use: Clover, 1 h 11 min."
    assert found.lane.blocks[0].look == "run"


@pytest.mark.usefixtures("unspoken")
def test_a_reserve_stands_behind_and_does_not_set_the_verdict(
    site, today, case, reading, keep_day, outlook_of
):
    source = reading.cylinder.source
    behind = Source.objects.create(site=site, name="Behind", kind="cylinder", reserve_of=source)
    behind.machines.add(case.machine)
    keep_day(
        outlook_of(),
        outlook_of("Behind", Verdict.STOP, reserve_of="Wall oxygen"),
    )
    found = board(site, today).machines[0]

    assert found.verdict is Verdict.FINE
    assert [one.row.source.name for one in found.reserves] == ["Behind"]


def test_what_is_due_is_listed_the_earliest_first(site, today, case, reading, keep):
    keep(Verdict.LOOK_AGAIN)
    found = due_of(board(site, today), site)

    assert [one.what for one in found] == ["First gas, Clover", "Full cylinder on Wall oxygen"]
    # The early end of the band, 829 minutes after midnight.
    assert found[1].when == "by 13:49"


def test_the_next_step_is_the_gravest_thing_due(site, today, case, reading, keep):
    keep(Verdict.STOP)
    shown = board(site, today)

    assert next_of(shown, due_of(shown, site)).words == "Fit a full one before Sorrel."


def test_a_case_whose_time_has_passed_is_late(site, today, case, reading, keep):
    keep()
    shown = board_of(site, today, case.starts_at + timedelta(minutes=20))
    late = [one for one in due_of(shown, site) if one.word == "Late"]

    assert "First gas, Clover" in [one.what for one in late]


def test_htmx_gets_the_board_and_the_tag_without_the_page(as_viewer, case, reading, keep):
    keep()
    reply = as_viewer.get(URL, headers={"HX-Request": "true"})
    part = reply.content.decode()

    assert "<html" not in part
    assert 'hx-swap-oob="true"' in part
    assert "HX-Request" in reply["Vary"]


def test_the_board_asks_again_at_most_twice_a_minute(as_viewer, case):
    assert 'hx-trigger="every 60s"' in as_viewer.get(URL).content.decode()


def test_the_number_of_queries_does_not_grow_with_the_site(
    as_viewer, site, case, reading, keep, operator
):
    keep()
    as_viewer.get(URL)
    with CaptureQueriesContext(connection) as few:
        as_viewer.get(URL)
    for number in range(12):
        machine = Machine.objects.create(site=site, name=f"Bird {number}")
        source = Source.objects.create(site=site, name=f"Source {number}", kind="cylinder")
        source.machines.add(machine)
        on = Cylinder.objects.create(
            site=site, source=source, name=f"Tree {number}", water_capacity_l=4.7, state="in_use"
        )
        Reading.objects.create(
            cylinder=on, at=timezone.now(), gauge_kpa=9000.0, typed="90 bar", by=operator
        )
    as_viewer.get(URL)  # what is kept in mind of service is worked out anew once
    with CaptureQueriesContext(connection) as many:
        as_viewer.get(URL)

    assert len(many) == len(few)


def test_another_site_is_not_shown(as_stranger, case, machine):
    assert "Wren" not in as_stranger.get(URL).content.decode()


def test_who_is_not_signed_in_goes_to_the_door(client, site):
    assert client.get(URL).status_code == 302


def test_the_board_is_only_read(as_lead, site):
    assert as_lead.post(URL).status_code == 405


@pytest.mark.usefixtures("unspoken")
def test_a_leak_that_readings_show_is_said_with_its_size(site, today, case, reading, keep):
    keep()
    leak = answer("Does it leak?", "mL/min", 100.0, low=80.0, high=120.0)
    told = {**leak.as_dict(), "verdict": "Look again", "todo": "Watch the needle."}
    worked = Worked(subject=f"cylinder:{reading.cylinder.pk}", payloads={"leak": {"answer": told}})
    answers_store(site=site, worked=worked, at=timezone.now())
    found = board(site, today).machines[0]

    assert found.lead == "Watch the needle."
    assert found.more == "Alder seems to leak: 100 mL/min (80 to 120 mL/min)."
