"""How cases, rules and changes are said on the day pages."""

from datetime import timedelta

import pytest
from django.urls import reverse

from ullage.web.days.models import CaseEvent, PlannedCase
from ullage.web.days.services import CaseFacts, case_change
from ullage.web.days.templatetags.days import (
    case_facts,
    event_lines,
    kept_words,
    litres_words,
    phase_lines,
)
from ullage.web.sites.models import Site

pytestmark = pytest.mark.web


@pytest.mark.parametrize(
    ("rules", "words"),
    [
        ({}, "Kept back: the proposal, until the site sets its own rule."),
        ({"reserve_kpa": 1400.0}, "Kept back: 14 bar, site rule."),
        ({"reserve_min": 90.0}, "Kept back: 1 h 30 min, site rule."),
        ({"reserve_kpa": 0.0}, "Kept back: 0 bar, site rule."),
        (
            {"reserve_kpa": 1400.0, "reserve_l": 70.0, "reserve_min": 15.0},
            "Kept back: the largest of 14 bar, 70 L, 15 min, site rule.",
        ),
    ],
)
def test_what_is_kept_back_is_said_with_whose_rule_it_is(rules, words):
    assert kept_words(Site(**rules)) == words


def test_what_is_kept_back_stands_in_the_unit_of_the_gauges():
    site = Site(reserve_kpa=200 * 6.894757, pressure_unit="psi")

    assert kept_words(site) == "Kept back: 200 psi, site rule."


@pytest.mark.parametrize(("condition", "at"), [("15C", "15 °C"), ("70F", "70 °F"), ("0C", "0 °C")])
def test_litres_say_at_which_condition_they_are(condition, at):
    assert litres_words(Site(condition=condition)).startswith(f"Litres are free gas at {at} ")


@pytest.mark.parametrize(
    ("known", "words"),
    [
        ({"species": "mouse", "weight_kg": 0.024, "system": "Mask"}, "mouse · 24 g · Mask"),
        ({"species": "pony", "weight_kg": 220.0}, "pony · 220 kg"),
        ({"system": "Chamber"}, "not weighed · Chamber"),
    ],
)
def test_a_case_in_one_line_says_what_is_not_known(known, words):
    assert case_facts(PlannedCase(**known)) == words


def test_each_phase_is_said_with_its_minutes_and_flows():
    case = PlannedCase(
        phases=[
            {"name": "Preparation", "minutes": 20.0, "oxygen_l_min": 3.0, "air_l_min": 0.0},
            {"name": "Procedure", "minutes": 110.0, "oxygen_l_min": 1.0, "air_l_min": 0.5},
            {"name": "Waiting", "minutes": 5.0},
        ],
        extras={"flushes": 2, "chamber_l": 3.5, "minute_volume_l_min": 6.0},
    )

    assert phase_lines(case) == [
        "Preparation 20 min: oxygen 3 L/min",
        "Procedure 1 h 50 min: oxygen 1, air 0.5 L/min",
        "Waiting 5 min: no gas",
        "Flushes: 2",
        "Chamber of 3.5 L, filled and purged",
        "Ventilator: 6 L/min minute volume",
    ]


@pytest.fixture
def changed(case, operator, at):
    """A case that was changed in everything that a person can change."""
    facts = CaseFacts(
        name="Sorrel",
        machine=case.machine,
        starts_at=case.starts_at + timedelta(minutes=45),
        phases=[{"name": "Procedure", "minutes": 60.0, "oxygen_l_min": 1.0}],
        species="cat",
        weight_kg=4.1,
        system="Circle",
        extras={"flushes": 1},
        note="Old dog.",
    )
    return case_change(case=case, facts=facts, by=operator)


def test_what_stood_there_before_a_change_is_said_as_people_say_it(changed, as_viewer, site):
    event = CaseEvent.objects.get(kind="changed")
    lines = dict(one.split(" before: ", 1) for one in event_lines(event))

    assert lines["name"] == "Clover"
    assert lines["species"] == "rabbit"
    assert lines["weight"] == "3.4 kg"
    assert lines["system"] == "T-piece"
    assert lines["note"] == "not given"
    assert lines["flushes, chamber and ventilator"] == "not given"
    assert lines["gas by phase"].startswith("Preparation 20 min: oxygen 1.7 L/min; Procedure")
    # 20 + 75 + 15 minutes.
    assert lines["minutes"] == "1 h 50 min"


def test_the_time_before_a_change_stands_on_the_clock_of_the_site(changed, as_operator):
    """Planned for 10:30 in London, where the base keeps UTC."""
    page = as_operator.get(reverse("days:case", args=[changed.code])).content.decode()
    read = page[page.index("<body") :]

    assert "first gas before: 10:30" in read
    assert "+00:00" not in read


def test_a_move_says_from_where_to_where():
    event = CaseEvent(kind="moved", details={"was": "2026-06-09", "now": "2026-06-10"})

    assert event_lines(event) == ["from 2026-06-09 to 2026-06-10"]


def test_a_question_and_its_answer_stand_together():
    details = {"asked": "A rabbit of 340 kg?", "said": "Yes, keep it as typed"}

    assert event_lines(CaseEvent(kind="added", details=details)) == [
        "asked: A rabbit of 340 kg?",
        "said: Yes, keep it as typed",
    ]
