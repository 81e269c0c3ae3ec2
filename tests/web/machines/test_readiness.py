"""Readiness of machines: states and parts, and the rooms that speak on it."""

import pytest
from django.utils import timezone

from ullage.answers import Verdict
from ullage.answers.readiness import Remark
from ullage.web.machines.models import Machine
from ullage.web.machines.selectors import readiness as heard
from ullage.web.machines.selectors import readiness_from, readiness_of, refusal_of
from ullage.web.machines.services import PartFacts, part_add, state_set

pytestmark = pytest.mark.web


@pytest.fixture
def alone(monkeypatch):
    """Nobody speaks but the state of the machine."""
    monkeypatch.setattr(heard, "_SPEAKERS", [])


def test_what_its_state_says_is_said_in_words(alone, machine, operator):
    now = timezone.now()
    assert readiness_of([machine], now)[machine.pk].sentence == "Wren may be used."

    state_set(thing=machine, to="in_doubt", by=operator, reason="It hisses.")
    doubted = readiness_of([machine], now)[machine.pk]
    assert doubted.sentence == "Wren may be used with care: It hisses."

    state_set(thing=machine, to="out_of_use", by=operator, reason="Leak test failed.")
    stopped = readiness_of([machine], now)[machine.pk]
    assert stopped.verdict is Verdict.STOP
    assert stopped.sentence.startswith("Wren may not be used: Leak test failed.")


def test_other_rooms_speak_of_all_machines_at_once(alone, site, machine):
    robin = Machine.objects.create(site=site, name="Robin")
    asked = []

    def speaker(machines, now):
        asked.append([one.name for one in machines])
        waits = Remark(about="check", verdict=Verdict.NOT_YET, sentence="Not checked today.")
        return {robin.pk: [waits]}

    readiness_from(speaker)
    readiness_from(speaker)
    found = readiness_of([machine, robin], timezone.now())

    assert asked == [["Wren", "Robin"]]
    assert found[machine.pk].verdict is Verdict.FINE
    assert found[robin.pk].sentence == "Robin may not be used yet: Not checked today."


def test_a_machine_refuses_with_its_reason_and_one_in_doubt_does_not(site, machine, lead):
    assert refusal_of(machine) == ""
    valve = part_add(
        site=site, kind="relief_valve", said=PartFacts(name="Valve"), by=lead, machine=machine
    )
    state_set(thing=valve, to="in_doubt", by=lead, reason="Stiff.")
    assert refusal_of(machine) == ""
    state_set(thing=valve, to="out_of_use", by=lead, reason="Stuck.")

    assert refusal_of(machine).startswith(
        "Wren is out of use: Relief valve Valve is out of use: Stuck."
    )
