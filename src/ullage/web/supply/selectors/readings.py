"""Readings: those that stand, those that wait for a word, and all that were ever made."""

from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q, QuerySet

from ullage.web.supply.models import Cylinder, CylinderEvent, Reading

__all__ = [
    "OPEN_QUESTION",
    "ReadingLine",
    "in_force",
    "latest_reading",
    "reading_lines",
    "stands",
    "valve_said",
    "waiting",
]

#: A question that nobody has answered yet.
OPEN_QUESTION = Q(said="", asked__gt="")


def stands() -> Q:
    """The readings that no other was put in front of; looked up by index, never joined."""
    return Q(~Exists(Reading.objects.filter(amends=OuterRef("pk"))))


def in_force(cylinder: Cylinder) -> QuerySet[Reading]:
    """The readings that count, the latest first: not amended, not a note, no open question."""
    found = Reading.objects.filter(stands(), cylinder=cylinder, counts=True)
    return found.exclude(OPEN_QUESTION)


def latest_reading(cylinder: Cylinder) -> Reading | None:
    """The latest reading that counts, with who made it."""
    return in_force(cylinder).select_related("by").first()


def waiting(cylinder: Cylinder) -> Reading | None:
    """The latest reading whose question waits for a word; it is used in no sum until then."""
    found = Reading.objects.filter(OPEN_QUESTION, stands(), cylinder=cylinder, counts=True)
    return found.select_related("by").first()


def valve_said(cylinder: Cylinder) -> dict[str, str]:
    """What people said about the valve before a reading, by the reading's code; last word wins."""
    said = CylinderEvent.objects.filter(cylinder=cylinder, kind="valve said").order_by("pk")
    return {one.details["reading"]: one.details["valve"] for one in said}


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingLine:
    """A reading that stands, with everything that stood before it."""

    reading: Reading
    before: tuple[Reading, ...]


def reading_lines(cylinder: Cylinder, limit: int = 200) -> list[ReadingLine]:
    """The readings of a cylinder, the latest first, originals kept beside amendments."""
    rows = list(Reading.objects.filter(cylinder=cylinder).select_related("by")[: limit * 2])
    by_pk = {row.pk: row for row in rows}
    amended = {row.amends_id for row in rows}
    lines = []
    for row in rows:
        if row.pk in amended:
            continue
        before, at = [], row.amends_id
        while at is not None and at in by_pk:
            before.append(by_pk[at])
            at = by_pk[at].amends_id
        lines.append(ReadingLine(reading=row, before=tuple(before)))
    return lines[:limit]
