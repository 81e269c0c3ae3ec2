"""Everything an inspector asks of one machine, gathered once for the screen and for paper."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from ullage.answers import Answer
from ullage.answers.service import TASKS
from ullage.web.checks.selectors import Check, checks_of
from ullage.web.machines.selectors import (
    Machine,
    Part,
    StateChange,
    fact_brief,
    machine_parts,
    readiness_of,
    state_changes,
)
from ullage.web.service.selectors import (
    DueLine,
    ServiceEvent,
    due_on_machine,
    events_of,
    site_today,
)
from ullage.web.sites.selectors import Site

__all__ = ["MachinePaper", "machine_paper", "paper_data"]

#: As many of the last checks as stand on a paper.
_CHECKS = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class MachinePaper:
    """One machine: may it be used, its parts, what is due, what was done, what its state was."""

    machine: Machine
    ready: Answer
    parts: tuple[Part, ...]
    lines: tuple[DueLine, ...]
    events: tuple[ServiceEvent, ...]
    states: tuple[StateChange, ...]
    checks: tuple[Check, ...]
    now: datetime


def machine_paper(machine: Machine, now: datetime) -> MachinePaper:
    """Gather it; as many queries for few parts and events as for many."""
    parts = machine_parts(machine)
    return MachinePaper(
        machine=machine,
        ready=readiness_of([machine], now)[machine.pk],
        parts=tuple(parts),
        lines=tuple(due_on_machine(machine, parts, site_today(machine.site, now))),
        events=tuple(events_of(machine, parts)),
        states=tuple(state_changes(machine)),
        checks=tuple(one for one in checks_of(machine) if one.ended_at)[:_CHECKS],
        now=now,
    )


def paper_data(paper: MachinePaper) -> dict[str, Any]:
    """The same as plain data for the printer."""
    site = paper.machine.site
    local = paper.now.astimezone(ZoneInfo(site.time_zone))
    return {
        "title": f"Machine {paper.machine.name}",
        "site": site.name,
        "date": f"{local:%A} {local.day} {local:%B %Y}",
        "worked_out": f"{local:%H:%M}",
        "paper": "us-letter" if site.country == "US" else "a4",
        "note": "Invented demo data." if site.is_demo else "",
        "about": _about(paper.machine),
        "ready": paper.ready,
        "due": [_due(one) for one in paper.lines],
        "parts": [_part(one, site) for one in paper.parts],
        "events": [_event(one) for one in paper.events],
        "checks": [_check(one, site.time_zone) for one in paper.checks],
        "states": [_state(one, site.time_zone) for one in paper.states],
        "files": _files(paper.events),
    }


def _about(machine: Machine) -> str:
    room = machine.room.name if machine.room else "room not said"
    return f"{room} · {machine.system or 'breathing system not said'} · code {machine.code}"


def _due(line: DueLine) -> dict[str, Any]:
    whose = str(line.thing) if line.is_part else "the machine"
    return {"task": line.task, "whose": whose, "answer": line.answer}


def _part(part: Part, site: Site) -> dict[str, str]:
    return {
        "kind": part.row.name,
        "name": part.name,
        "serial": part.serial or "not written down",
        "about": fact_brief(part, site),
        "state": part.get_state_display(),
        "reason": part.state_reason,
    }


def _event(event: ServiceEvent) -> dict[str, Any]:
    gone = getattr(event, "withdrawal", None)
    kept = Answer.from_dict(event.answer) if event.answer else None
    return {
        "on": f"{event.done_on.day} {event.done_on:%B %Y}",
        "what": event.get_kind_display(),
        "whose": str(event.part) if event.part else "the machine",
        "who": event.done_by,
        "note": event.note,
        "found": f"{kept.verdict}: {kept.sentence}" if kept else "",
        "withdrawn": f"withdrawn by {gone.by}: {gone.reason}" if gone else "",
        "by": str(event.by),
    }


def _check(check: Check, zone: str) -> dict[str, str]:
    local = (check.ended_at or check.begun_at).astimezone(ZoneInfo(zone))
    result = check.result or {}
    return {
        "verdict": check.verdict,
        "at": f"{local.day} {local:%B %Y, %H:%M}",
        "name": f"{check.version.title}, version {check.version.number}",
        "sentence": str(result.get("sentence", check.given_up)),
        "by": str(check.ended_by or check.begun_by),
    }


def _state(change: StateChange, zone: str) -> dict[str, str]:
    local = change.at.astimezone(ZoneInfo(zone))
    return {
        "at": f"{local.day} {local:%B %Y, %H:%M}",
        "state": change.get_after_display(),
        "reason": change.reason,
        "by": str(change.by),
    }


def _files(events: Sequence[ServiceEvent]) -> list[dict[str, str]]:
    """The papers by name, with the hashes that prove them."""
    return [
        {
            "name": one.name,
            "of": f"{TASKS[event.kind].name if event.kind in TASKS else event.get_kind_display()}, "
            f"{event.done_on.day} {event.done_on:%B %Y}",
            "sha256": one.sha256,
        }
        for event in events
        for one in event.files.all()
    ]
