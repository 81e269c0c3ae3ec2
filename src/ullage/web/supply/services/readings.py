"""Readings: kept as they were seen, asked about, amended by another, never overwritten."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from uuid import UUID, uuid4

from django.db import IntegrityError, transaction
from django.utils import timezone

from ullage.answers import things
from ullage.answers.held import refuse_impossible
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.supply.models import Cylinder, CylinderState, Reading
from ullage.web.supply.selectors.readings import in_force, stands
from ullage.web.supply.selectors.things import cylinder_thing, place_of
from ullage.web.supply.services.log import log_event
from ullage.web.supply.services.questions import question_about
from ullage.web.supply.services.queue import cylinder_ask

__all__ = [
    "Seen",
    "reading_amend",
    "reading_answer",
    "reading_save",
    "reading_set_aside",
    "valve_say",
]

#: How far a clock may run ahead before its time is refused.
_AHEAD = timedelta(minutes=2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What a person saw and when; the code is made with the form, so twice is once."""

    typed: str
    at: datetime
    gauge_kpa: float | None = None
    weight_kg: float | None = None
    temperature_k: float | None = None
    valve_before: str = "unknown"
    code: UUID = field(default_factory=uuid4)


@transaction.atomic
def reading_save(*, cylinder: Cylinder, seen: Seen, by: User, only_note: bool = False) -> Reading:
    """Keep a reading; the question it raises, if any, is kept with it.

    Raises
    ------
    RuleBroken : the cylinder was returned, or the time lies ahead; the remedy is named.
    InvalidQuantity : a number that no gauge or scale can show.
    """
    before = Reading.objects.filter(code=seen.code, cylinder=cylinder).first()
    if before is not None:
        return before
    _possible(cylinder, seen)
    if cylinder.state == CylinderState.RETURNED and not only_note:
        raise RuleBroken(
            f"{cylinder} was returned, so this reading belongs to no fitted cylinder. "
            "Choose the cylinder that was read, or keep it as a note only."
        )
    question = "" if only_note else question_about(cylinder, seen)
    try:
        with transaction.atomic():
            reading = _write(cylinder, seen, by, asked=question, counts=not only_note)
    except IntegrityError as twice:
        return _kept_already(cylinder, seen, twice)
    cylinder_ask(cylinder=cylinder)
    return reading


def _kept_already(cylinder: Cylinder, seen: Seen, twice: IntegrityError) -> Reading:
    """The same entry was sent at the same moment; one for another cylinder is refused."""
    kept = Reading.objects.filter(code=seen.code, cylinder=cylinder).first()
    if kept is None:
        raise RuleBroken("This entry belongs to another page; open this one again.") from twice
    return kept


def _write(cylinder: Cylinder, seen: Seen, by: User, **more: object) -> Reading:
    later = Reading.objects.filter(stands(), cylinder=cylinder, at__gt=seen.at)
    return Reading.objects.create(
        cylinder=cylinder,
        by=by,
        code=seen.code,
        at=seen.at,
        gauge_kpa=seen.gauge_kpa,
        weight_kg=seen.weight_kg,
        temperature_k=seen.temperature_k,
        valve_before=seen.valve_before,
        typed=seen.typed,
        is_late=later.exists(),
        **more,
    )


def _possible(cylinder: Cylinder, seen: Seen) -> None:
    """The last line behind the form: what no instrument can show is refused."""
    if (seen.gauge_kpa is None) == (seen.weight_kg is None):
        raise RuleBroken("A reading is either what the gauge shows or what the scale shows.")
    shown = things.Reading(
        at_min=0.0,
        gauge_kpa=seen.gauge_kpa,
        weight_kg=seen.weight_kg,
        temperature_k=seen.temperature_k,
    )
    place = place_of(cylinder.site, cylinder.room)
    refuse_impossible(cylinder_thing(cylinder), shown, place)
    if seen.at > timezone.now() + _AHEAD:
        raise RuleBroken("This time has not come yet; write when the gauge was read.")


@transaction.atomic
def reading_amend(*, reading: Reading, seen: Seen, reason: str, by: User) -> Reading:
    """Put a better reading in front of one; the original stays readable beside it.

    Raises
    ------
    RuleBroken : no reason was given, or this reading was amended before.
    """
    _may_amend(reading, reason)
    _possible(reading.cylinder, seen)
    better = _in_front(reading, seen, by, reason=reason.strip())
    # A correction of the same moment is not a late reading.
    if seen.at == reading.at and better.is_late != reading.is_late:
        Reading.objects.filter(pk=better.pk).update(is_late=reading.is_late)
        better.is_late = reading.is_late
    cylinder_ask(cylinder=reading.cylinder)
    return better


def _may_amend(reading: Reading, reason: str) -> None:
    if not reason.strip():
        raise RuleBroken("Say why it is amended; the first reading stays readable beside it.")
    if Reading.objects.filter(amends=reading).exists():
        raise RuleBroken("This reading was amended before; amend the one that stands.")


def _in_front(reading: Reading, seen: Seen, by: User, **more: object) -> Reading:
    """Write one in front of another; of two sent at one moment the first stands."""
    try:
        with transaction.atomic():
            return _write(reading.cylinder, seen, by, amends=reading, **more)
    except IntegrityError as twice:
        raise RuleBroken("This reading was amended a moment ago; amend the new one.") from twice


@transaction.atomic
def reading_set_aside(*, reading: Reading, reason: str, by: User) -> Reading:
    """Keep a reading as a note only: shown, used in no sum."""
    _may_amend(reading, reason)
    seen = Seen(
        typed=reading.typed,
        at=reading.at,
        gauge_kpa=reading.gauge_kpa,
        weight_kg=reading.weight_kg,
        temperature_k=reading.temperature_k,
        valve_before=reading.valve_before,
    )
    aside = _in_front(reading, seen, by, reason=reason.strip(), counts=False)
    cylinder_ask(cylinder=reading.cylinder)
    return aside


@transaction.atomic
def reading_answer(*, reading: Reading, said: str, by: User) -> Reading:
    """Keep what the person said to the question about a reading; it is written once."""
    if not said.strip():
        raise RuleBroken("Choose what fits best, or write it in a few words.")
    unsaid = Reading.objects.filter(pk=reading.pk, said="").exclude(asked="")
    if not unsaid.update(said=said.strip()):
        raise RuleBroken("This question was answered before; amend the reading instead.")
    reading.refresh_from_db()
    log_event(
        cylinder=reading.cylinder, kind="said", by=by, reading=reading.typed, said=reading.said
    )
    cylinder_ask(cylinder=reading.cylinder)
    return reading


@transaction.atomic
def valve_say(*, cylinder: Cylinder, valve: str, by: User, reading: Reading | None = None) -> None:
    """Note whether the valve was closed before a reading, the latest where none is named.

    The last word counts; the ones before stay in the log.
    """
    about = reading or in_force(cylinder).first()
    if about is None or about.cylinder_id != cylinder.pk:
        raise RuleBroken(f"{cylinder} has no reading yet; read the gauge first.")
    log_event(cylinder=cylinder, kind="valve said", by=by, reading=str(about.code), valve=valve)
    cylinder_ask(cylinder=cylinder)
