"""The pages of a case: add, change, move, copy, cancel, take back, begin, end."""

from datetime import timedelta

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse

from ullage.web.days.models import CaseState, PlannedCase

pytestmark = pytest.mark.web

STEPS = ("move", "again", "cancel", "restore", "begin", "end")


@pytest.fixture
def typed(machine):
    return {
        "name": "Clover",
        "species": "rabbit",
        "weight_kg": "3.4",
        "machine": str(machine.pk),
        "system": "T-piece",
        "starts": "10:30",
        "phase_1": "Procedure",
        "minutes_1": "75",
        "oxygen_l_min_1": "1.7",
    }


@pytest.fixture
def add_url(today):
    return reverse("days:add", args=[today])


def url_of(case, step="case"):
    return reverse(f"days:{step}", args=[case.code])


def said(reply):
    return [str(message) for message in get_messages(reply.wsgi_request)]


def test_the_form_starts_empty_but_for_the_names_of_the_phases(as_operator, machine, add_url):
    page = as_operator.get(add_url).content.decode()

    assert 'value="Preparation"' in page
    assert 'name="weight_kg"' in page
    assert 'value="1.7"' not in page


def test_a_case_is_added_in_the_units_people_write(as_operator, typed, add_url, at):
    typed |= {"weight_kg": "3400 g", "oxygen_l_min_1": "1700 mL/min", "minutes_1": "1.25 h"}
    reply = as_operator.post(add_url, typed)

    case = PlannedCase.objects.get()
    assert reply.status_code == 302
    assert case.weight_kg == pytest.approx(3.4)
    assert case.phases[0]["oxygen_l_min"] == pytest.approx(1.7)
    assert case.minutes == pytest.approx(75.0)
    assert case.starts_at == at(10, 30)


def test_a_slip_in_the_weight_is_asked_about_and_the_form_stays_as_typed(
    as_operator, typed, add_url
):
    reply = as_operator.post(add_url, {**typed, "weight_kg": "340"})
    page = reply.content.decode()

    assert reply.status_code == 422
    assert not PlannedCase.objects.exists()
    assert "Did you mean 3.4 kg?" in page
    assert 'value="340"' in page
    assert 'value="10:30"' in page


def test_the_weight_that_was_meant_is_taken_with_one_touch(as_operator, typed, add_url):
    as_operator.post(add_url, {**typed, "weight_kg": "340", "weight_meant": "3.4 kg"})

    assert PlannedCase.objects.get().weight_kg == pytest.approx(3.4)


def test_an_implausible_weight_is_kept_when_the_person_says_so(as_operator, typed, add_url):
    as_operator.post(add_url, {**typed, "weight_kg": "340", "keep": "on"})

    case = PlannedCase.objects.get()
    assert case.weight_kg == 340.0
    assert "340 kg is more than a rabbit" in case.asked
    assert case.said == "Yes, keep it as typed"


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"weight_kg": "-3"}, "Weight was typed as -3; it must be between 0.0005 and 5000 kg."),
        ({"weight_kg": "3.4 stone"}, "stone"),
        ({"minutes_1": ""}, "Say how many minutes these flows run."),
        ({"minutes_1": "", "oxygen_l_min_1": ""}, "Say how many minutes the case takes."),
        ({"oxygen_l_min_1": "900"}, "it must be between 0 and 200 L/min"),
        ({"oxygen_l_min_1": "nan"}, "nan"),
        ({"minutes_3": "10"}, "Give this phase a name."),
        ({"machine": ""}, "This field is required"),
        ({"name": ""}, "This field is required"),
        ({"starts": "25:99"}, "Enter a valid time"),
    ],
)
def test_what_cannot_be_is_refused_beside_the_field(as_operator, typed, add_url, changes, sentence):
    reply = as_operator.post(add_url, {**typed, **changes})

    assert reply.status_code == 422
    assert sentence in reply.content.decode()
    assert not PlannedCase.objects.exists()


def test_a_case_is_changed_and_its_past_stays_readable(as_operator, case, typed):
    as_operator.post(url_of(case), {**typed, "weight_kg": "3.6"})
    page = as_operator.get(url_of(case)).content.decode()

    case.refresh_from_db()
    assert case.weight_kg == 3.6
    assert "weight before: 3.4 kg" in page


def test_the_form_of_a_case_shows_what_is_planned(as_operator, case):
    page = as_operator.get(url_of(case)).content.decode()

    for value in ("Clover", "3.4", "10:30", "1.7", "75"):
        assert f'value="{value}"' in page


def test_a_case_that_is_done_says_what_to_do_instead(as_operator, case, typed):
    PlannedCase.objects.update(state=CaseState.DONE)
    reply = as_operator.post(url_of(case), {**typed, "weight_kg": "3.6"})

    assert reply.status_code == 422
    assert "copy it to plan another one" in reply.content.decode()


def test_the_steps_of_a_day(as_operator, case, source, today):
    as_operator.post(url_of(case, "cancel"), {"reason": "not fasted"})
    case.refresh_from_db()
    assert case.state == CaseState.CANCELLED

    as_operator.post(url_of(case, "restore"))
    as_operator.post(url_of(case, "begin"))
    case.refresh_from_db()
    assert case.state == CaseState.RUNNING

    reply = as_operator.post(url_of(case, "move"))
    assert "running; copy it instead" in said(reply)[-1]


def test_a_case_is_moved_and_copied_to_the_next_day_or_a_named_one(as_operator, case, today):
    as_operator.post(url_of(case, "again"), {"day": (today + timedelta(days=3)).isoformat()})
    as_operator.post(url_of(case, "move"))

    days = [one.starts_at.date() - today for one in PlannedCase.objects.order_by("starts_at")]
    assert days == [timedelta(days=1), timedelta(days=3)]


def test_ending_what_does_not_run_is_refused_in_a_sentence(as_operator, case):
    reply = as_operator.post(url_of(case, "end"))

    assert reply.status_code == 302
    assert "begin it first" in said(reply)[0]


@pytest.mark.parametrize("step", STEPS)
def test_a_step_is_only_posted(as_operator, case, step):
    assert as_operator.get(url_of(case, step)).status_code == 405


@pytest.mark.parametrize("step", ["case", *STEPS])
def test_a_stranger_finds_nothing(as_stranger, case, step):
    assert as_stranger.post(url_of(case, step)).status_code == 404


@pytest.mark.parametrize("step", ["case", *STEPS])
def test_who_may_only_look_changes_nothing(as_viewer, case, step):
    assert as_viewer.post(url_of(case, step)).status_code == 403
    case.refresh_from_db()
    assert case.state == CaseState.PLANNED


def test_who_may_only_look_adds_nothing(as_viewer, typed, add_url):
    assert as_viewer.post(add_url, typed).status_code == 403


def test_no_machine_of_another_site_is_offered(as_operator, other_site, typed, add_url):
    from ullage.web.machines.models import Machine

    theirs = Machine.objects.create(site=other_site, name="Dipper")
    reply = as_operator.post(add_url, {**typed, "machine": str(theirs.pk)})

    assert reply.status_code == 422
    assert "Dipper" not in reply.content.decode()
