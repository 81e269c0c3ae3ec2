"""One cylinder, source, change or reading; to a stranger it is as if it did not exist."""

from uuid import UUID

from django.db.models import QuerySet

from ullage.web.accounts.selectors import User
from ullage.web.sites.selectors import own_or_404
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
    rows = Cylinder.objects.select_related("site", "room", "source", "source__room")
    return own_or_404(rows, user, code)


def source_for(user: User, code: UUID) -> Source:
    """A source with its site and room; 404 for strangers."""
    return own_or_404(Source.objects.select_related("site", "room", "reserve_of"), user, code)


def change_for(user: User, code: UUID) -> CylinderChange:
    """A change of cylinder with its source and both cylinders; 404 for strangers."""
    return own_or_404(_changes(), user, code, "source__site")


def reading_for(user: User, code: UUID) -> Reading:
    """A reading with its cylinder; 404 for strangers."""
    rows = Reading.objects.select_related("cylinder", "cylinder__site", "cylinder__source", "by")
    return own_or_404(rows, user, code, "cylinder__site")


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
