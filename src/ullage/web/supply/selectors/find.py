"""One cylinder, source, change or reading; to a stranger it is as if it did not exist."""

from uuid import UUID

from django.db.models import QuerySet
from django.http import Http404

from ullage.web.accounts.selectors import User
from ullage.web.supply.models import Cylinder, CylinderChange, Reading, Source

__all__ = [
    "change_for",
    "changes_that_choose",
    "cylinder_for",
    "open_change_of",
    "reading_for",
    "source_for",
]


def cylinder_for(user: User, code: UUID) -> Cylinder:
    """The cylinder behind a QR code, with its site, room and source; 404 for strangers."""
    found = (
        Cylinder.objects.filter(code=code, site__memberships__user=user)
        .select_related("site", "room", "source", "source__room")
        .first()
    )
    if found is None:
        raise Http404
    return found


def source_for(user: User, code: UUID) -> Source:
    """A source with its site and room; 404 for strangers."""
    found = (
        Source.objects.filter(code=code, site__memberships__user=user)
        .select_related("site", "room", "reserve_of")
        .first()
    )
    if found is None:
        raise Http404
    return found


def change_for(user: User, code: UUID) -> CylinderChange:
    """A change of cylinder with its source and both cylinders; 404 for strangers."""
    found = _changes().filter(code=code, source__site__memberships__user=user).first()
    if found is None:
        raise Http404
    return found


def reading_for(user: User, code: UUID) -> Reading:
    """A reading with its cylinder; 404 for strangers."""
    found = (
        Reading.objects.filter(code=code, cylinder__site__memberships__user=user)
        .select_related("cylinder", "cylinder__site", "cylinder__source", "by")
        .first()
    )
    if found is None:
        raise Http404
    return found


def _changes() -> QuerySet[CylinderChange]:
    return CylinderChange.objects.select_related(
        "source", "source__site", "source__room", "old", "new"
    )


def open_change_of(cylinder: Cylinder) -> CylinderChange | None:
    """The change that this cylinder is part of, old or new, while it is not finished."""
    running = _changes().filter(finished_at=None, given_up_at=None)
    return running.filter(old=cylinder).first() or running.filter(new=cylinder).first()


def changes_that_choose(cylinder: Cylinder) -> list[CylinderChange]:
    """Changes at the site that wait for a full one, when this one may be it."""
    if cylinder.state not in {"full", "part_used"}:
        return []
    found = _changes().filter(
        source__site=cylinder.site_id,
        finished_at=None,
        given_up_at=None,
        new=None,
        step__in=("animal", "flows", "check"),
    )
    return list(found)
