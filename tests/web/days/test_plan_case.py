"""Plan a case: what is asked, what is answered, what is kept."""

import re
from uuid import uuid4

import pytest
from django.urls import reverse

from ullage.web.days.models import PlannedCase

pytestmark = pytest.mark.web


@pytest.fixture
def typed(machine):
    return {
        "name": "Tansy",
        "species": "cat",
        "weight_kg": "4",
        "machine": str(machine.pk),
        "system": "T-piece",
        "starts": "10:30",
        "phase_0": "Preparation",
        "minutes_0": "15",
        "phase_1": "Procedure",
        "minutes_1": "45",
        "phase_2": "Waking",
        "minutes_2": "10",
        "agent": "isoflurane",
        "no_drugs": "on",
        "warmed": "yes",
        "co2_measured": "yes",
        "cautery": "no",
    }


@pytest.fixture
def new_url(today):
    return reverse("days:plan_new", args=[today])


@pytest.fixture
def aims(site):
    site.target_mac = 1.3
    site.save()


def answers(client, typed, **changes):
    return client.get(reverse("days:case_answers"), {**typed, **changes}).content.decode()


def test_the_form_starts_empty(as_operator, machine, new_url):
    page = as_operator.get(new_url).content.decode()

    assert 'name="weight_kg" maxlength="40" autocomplete="off" data-quantity="mass"' in page
    assert not re.search(r'name="(weight_kg|minutes_\d|oxygen_l_min_\d)"[^>]* value=', page)
    assert "Still to say: the species, the weight, the minutes of a phase, the agent." in page


def test_no_dial_before_the_drugs_are_said(as_operator, typed, aims):
    del typed["no_drugs"]
    page = answers(as_operator, typed)

    assert "No answer yet: Which drugs were given, or none?" in page
    assert "Vaporizer dial" not in page


def test_no_dial_before_the_site_has_said_its_multiple(as_operator, typed, new_url):
    page = answers(as_operator, typed)

    assert "Which multiple of MAC does the site aim at?" in page
    assert "Vaporizer dial" not in page
    words = "Your site has not set a multiple; a lead sets it under"
    assert words in as_operator.get(new_url).content.decode()


def test_dial_and_levels_come_with_their_ranges(as_operator, typed, aims):
    page = answers(as_operator, typed)

    assert "Vaporizer dial: 3.8 % from 0 min, likely 2.51 to 5" in page
    assert "Levels when the agent is turned off" in page
    assert "A T-piece suits 4 kg best." in page


def test_a_case_is_kept_with_its_plan_and_the_flows_of_the_rules(as_operator, typed, aims, new_url):
    reply = as_operator.post(new_url, typed)

    case = PlannedCase.objects.get()
    assert reply.status_code == 302
    assert (case.agent, case.drugs, case.planned["warmed"]) == ("isoflurane", [], True)
    # Teaching, reasonably safe: 250 mL/kg/min.
    assert [one["oxygen_l_min"] for one in case.phases] == pytest.approx([1.0, 1.0, 1.0])
    assert case.minutes == 70.0


def test_what_is_kept_is_what_is_shown_again(as_operator, typed, aims, new_url):
    as_operator.post(new_url, typed)
    page = as_operator.get(reverse("days:plan_case", args=[PlannedCase.objects.get().code]))

    text = page.content.decode()
    assert 'value="45"' in text
    assert 'name="oxygen_l_min_1" value=' not in text
    assert "Vaporizer dial: 3.8 % from 0 min" in text


def test_the_same_form_sent_twice_plans_one_case(as_operator, typed, aims, new_url):
    typed["code"] = str(uuid4())
    as_operator.post(new_url, typed)
    as_operator.post(new_url, typed)
    as_operator.post(new_url, {**typed, "name": "Sorrel"})

    assert sorted(PlannedCase.objects.values_list("name", flat=True)) == ["Sorrel", "Tansy"]


def test_a_weight_of_25_kg_is_asked_about_for_a_mouse(as_operator, typed, aims):
    page = answers(as_operator, typed, species="mouse", weight_kg="25", system="nose cone")

    assert "25 kg is more than a mouse is likely to weigh" in page
    assert "Use 25 g" in page
    assert 'name="keep"' in page


def test_the_sheet_is_one_page(as_operator, typed, aims):
    import io

    import pikepdf

    reply = as_operator.get(reverse("days:sheet"), typed)

    with pikepdf.open(io.BytesIO(reply.content)) as pdf:
        assert len(pdf.pages) == 1


def test_two_plans_stand_side_by_side(as_operator, typed, aims):
    page = as_operator.get(
        reverse("days:compare"), {**typed, "other_agent": "sevoflurane"}
    ).content.decode()

    assert "agent: isoflurane, then sevoflurane" in page
    assert "more in the second" in page
