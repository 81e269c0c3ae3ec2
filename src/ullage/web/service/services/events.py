"""What was done is written once, with its paper; a loan and a way back change what may be used."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any
from uuid import UUID, uuid4

from django.db import transaction

from ullage.answers import Answer, Verdict, vaporizer_tested
from ullage.answers.places import place_at
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.machines.selectors import Lift, Machine, Part, UseState
from ullage.web.machines.services import PartFacts, part_change, state_set
from ullage.web.service.models import Certificate, EventKind, ServiceEvent, Withdrawal
from ullage.web.service.selectors.due import site_today
from ullage.web.service.selectors.records import output_test_of
from ullage.web.service.selectors.rules import limit_at
from ullage.web.shared.attachments import Kept
from ullage.web.sites.selectors import membership_at, role_may

__all__ = ["EventSaid", "event_add", "event_withdraw", "output_test_add", "service_history_write"]

_EARLIEST = date(1950, 1, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class EventSaid:
    """What a person says about something that was done; sent twice it carries the same code."""

    kind: str
    done_on: date
    done_by: str
    note: str = ""
    file: Kept | None = None
    replace_by: date | None = None
    facts: Mapping[str, Any] = field(default_factory=dict)
    code: UUID = field(default_factory=uuid4)


@transaction.atomic
def event_add(*, thing: Machine | Part, said: EventSaid, by: User) -> ServiceEvent:
    """Write down what was done to a machine or a part, and keep its paper.

    A loan takes the thing out of use; what came back is in doubt until somebody has checked it.

    Raises
    ------
    RuleBroken : a day that has not come, nobody named, an output test (it has its own form), or a
        return of what is not away.
    """
    if said.kind == EventKind.OUTPUT_TEST:
        raise RuleBroken("An output test has a form of its own, with its readings.")
    if said.kind == EventKind.RETURN and _loan_of(thing) is None and not _is_sent(said):
        raise RuleBroken(f"{thing} is not away by this record; write down when it left first.")
    if said.replace_by is not None and not isinstance(thing, Part):
        raise RuleBroken("Only a part carries a date to replace it by.")
    event, is_new = _written(thing, said, by, dict(said.facts), None)
    if is_new:
        _follow(thing, said, by, event)
    return event


def _follow(thing: Machine | Part, said: EventSaid, by: User, event: ServiceEvent) -> None:
    """What an event changes: the state of what is lent, the date on what is new."""
    on = f"{said.done_on.day} {said.done_on:%B %Y}"
    if said.kind == EventKind.LOAN:
        reason = f"Away since {on}: {said.done_by}."
        _state(thing, UseState.OUT, by, reason, event)
    elif said.kind == EventKind.RETURN:
        reason = f"Back since {on}: check it before the next case."
        _state(thing, UseState.IN_DOUBT, by, reason, event)
    elif said.kind == EventKind.REPLACEMENT and isinstance(thing, Part):
        _replace_by(thing, said, by)


def _state(thing: Machine | Part, to: UseState, by: User, reason: str, event: ServiceEvent) -> None:
    state_set(thing=thing, to=to, by=by, reason=reason, lift=Lift.OPERATOR, record_code=event.code)


def _replace_by(part: Part, said: EventSaid, by: User) -> None:
    """Write the date of the new one on the part; none is known where none was said."""
    if not any(one.name == "replace_by" for one in part.row.facts):
        return
    facts = {**part.facts, "replace_by": said.replace_by}
    known = PartFacts(
        name=part.name,
        serial=part.serial,
        facts=facts,
        made_on=part.made_on,
        bought_on=part.bought_on,
    )
    part_change(part=part, said=known, by=by)


def _is_sent(said: EventSaid) -> bool:
    return ServiceEvent.objects.filter(code=said.code, kind=said.kind).exists()


def _loan_of(thing: Machine | Part) -> ServiceEvent | None:
    """The loan that nothing has ended yet."""
    found = thing.service_events.filter(
        kind__in=[EventKind.LOAN, EventKind.RETURN], withdrawal__isnull=True
    )
    last = found.order_by("-done_on", "-pk").first()
    return last if last is not None and last.kind == EventKind.LOAN else None


@transaction.atomic
def output_test_add(*, part: Part, said: EventSaid, by: User) -> tuple[ServiceEvent, Answer]:
    """Write down an output test and what it comes to by the limit that holds now.

    Beyond the limit the vaporizer goes out of use; where it cannot be told, it is in doubt.

    Raises
    ------
    RuleBroken : no vaporizer, no agent written down, a day that has not come, nobody named.
    InvalidQuantity : a reading that cannot be.
    """
    facts = _test_facts(part, said)
    test = output_test_of(facts, said.done_on)
    answer = vaporizer_tested(test, limit_at(part.site))
    event, is_new = _written(part, said, by, facts, answer)
    reason = f"Output test of {said.done_on.day} {said.done_on:%B %Y}: {answer.sentence}"
    to = {Verdict.STOP: UseState.OUT, Verdict.LOOK_AGAIN: UseState.IN_DOUBT}.get(
        answer.verdict or Verdict.FINE
    )
    if is_new and to is not None:
        state_set(thing=part, to=to, by=by, reason=reason, record_code=event.code)
    return event, answer


def _test_facts(part: Part, said: EventSaid) -> dict[str, Any]:
    """What was measured, beside what is written down of the vaporizer on this day."""
    if part.kind != "vaporizer":
        raise RuleBroken(f"{part} is no vaporizer: only those have an output to test.")
    if not part.facts.get("agent"):
        raise RuleBroken(f"Write down which agent {part} is made for; its dial depends on it.")
    own = ("agent", "works_by", "flow_lowest_l_min", "flow_highest_l_min")
    kept = {name: part.facts[name] for name in own if part.facts.get(name) is not None}
    facts = {**said.facts, **kept}
    if facts.get("barometric_kpa") is None:
        site = part.site
        here = place_at(elevation_m=site.elevation_m, barometric_kpa=site.barometric_kpa)
        facts["barometric_kpa"] = here.barometric_kpa
    return facts


def _written(
    thing: Machine | Part, said: EventSaid, by: User, facts: dict[str, Any], answer: Answer | None
) -> tuple[ServiceEvent, bool]:
    """The event as a row, with its paper; the same sent twice is one, anything else is another."""
    _refuse(thing, said, by)
    # Held until the end, so that the same form sent twice at once waits for itself.
    type(thing)._default_manager.select_for_update().get(pk=thing.pk)
    row = {
        "site": thing.site,
        "machine": thing if isinstance(thing, Machine) else None,
        "part": thing if isinstance(thing, Part) else None,
        "kind": said.kind,
        "done_on": said.done_on,
        "done_by": said.done_by.strip(),
        "note": said.note.strip(),
        "facts": facts,
    }
    sent = ServiceEvent.objects.filter(code=said.code).first()
    is_new = sent is None or any(getattr(sent, name) != value for name, value in row.items())
    if sent is None or is_new:
        kept = answer.as_dict() if answer else None
        code = said.code if sent is None else uuid4()
        sent = ServiceEvent.objects.create(code=code, answer=kept, by=by, **row)
    if said.file is not None and not sent.files.filter(sha256=said.file.sha256).exists():
        Certificate.objects.create(event=sent, by=by, **said.file.row)
    return sent, is_new


def _refuse(thing: Machine | Part, said: EventSaid, by: User) -> None:
    if said.done_on > site_today(thing.site):
        raise RuleBroken("This day has not come yet; write when it was done.")
    if said.done_on < _EARLIEST:
        raise RuleBroken("This day lies before any such machine; write when it was done.")
    if not said.done_by.strip():
        raise RuleBroken("Say who did it: a person or a firm.")
    if not role_may(membership_at(by, thing.site).role, "operate"):
        raise RuleBroken("You can see this, not change it. An operator or a lead can.")


@transaction.atomic
def event_withdraw(*, event: ServiceEvent, by: User, reason: str) -> Withdrawal:
    """Say that an event was written by mistake; it stays readable and counts for nothing.

    Raises
    ------
    RuleBroken : no reason, withdrawn already, or written by somebody else for a small role.
    """
    if not reason.strip():
        raise RuleBroken("Say why; what was written stays readable.")
    if Withdrawal.objects.filter(event=event).exists():
        raise RuleBroken("It is withdrawn already.")
    is_own = event.by_id == by.pk
    if not is_own and not role_may(membership_at(by, event.site).role, "manage"):
        raise RuleBroken(
            "Somebody else wrote this: they, a lead or a veterinarian can withdraw it."
        )
    return Withdrawal.objects.create(event=event, by=by, reason=reason.strip())


def service_history_write(*, events: list[ServiceEvent]) -> None:
    """Write many past events at once; nothing is told to anybody, no state changes."""
    ServiceEvent.objects.bulk_create(events, batch_size=500)
