"""What the board shows: each source with its cylinders and what was last worked out about them."""

from dataclasses import dataclass
from datetime import datetime

from ullage.answers import Verdict
from ullage.web.machines.selectors import Machine
from ullage.web.sites.selectors import Site
from ullage.web.supply.models import Cylinder, CylinderChange, Reading, Source
from ullage.web.supply.selectors.lists import latest_of, sources_of
from ullage.web.supply.selectors.readings import OPEN_QUESTION, stands
from ullage.web.supply.selectors.stored import Kept, kept_by_cylinder

__all__ = ["BoardCylinder", "BoardRow", "board_rows"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardCylinder:
    """A cylinder on its source: last reading, stored answers, and what is unfinished."""

    cylinder: Cylinder
    reading: Reading | None
    kept: Kept
    is_waiting: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardRow:
    """One source; ``change`` is a change of cylinder that was begun and not finished."""

    source: Source
    machines: tuple[Machine, ...]
    cylinders: tuple[BoardCylinder, ...]
    change: CylinderChange | None

    @property
    def worked_out_at(self) -> datetime | None:
        """The oldest time among its answers, so that the page never looks fresher than it is."""
        known = [one.kept.worked_out_at for one in self.cylinders if one.kept.worked_out_at]
        return min(known, default=None)

    @property
    def is_stale(self) -> bool:
        """True while newer answers are being worked out."""
        return any(one.kept.is_stale for one in self.cylinders)

    @property
    def verdict(self) -> Verdict:
        """The gravest verdict of its cylinders; an unfinished change is at least 'look again'."""
        said = {
            one.kept.verdict_of(kind)
            for one in self.cylinders
            for kind in ("contents", "lasts", "leak")
        }
        if Verdict.STOP in said:
            return Verdict.STOP
        unsettled = self.change is not None or any(one.is_waiting for one in self.cylinders)
        if unsettled or Verdict.LOOK_AGAIN in said:
            return Verdict.LOOK_AGAIN
        return Verdict.FINE if Verdict.FINE in said else Verdict.NOT_YET


def board_rows(
    site: Site, kinds: tuple[str, ...] = ("contents", "lasts", "leak", "reserve_at")
) -> list[BoardRow]:
    """Every source of a site, in its order; the number of queries does not depend on how many.

    ``kinds`` names the answers that the page needs; fewer are read sooner.
    """
    sources = sources_of(site)
    fitted = [one for source in sources for one in source.fitted]  # type: ignore[attr-defined]  # prefetched
    kept = kept_by_cylinder(fitted, kinds)
    readings = latest_of(fitted)
    waiting = _waiting(fitted)
    changes = {
        one.source_id: one
        for one in CylinderChange.objects.filter(
            source__site=site, finished_at=None, given_up_at=None
        )
    }
    return [
        BoardRow(
            source=source,
            machines=tuple(source.machines.all()),
            cylinders=tuple(
                BoardCylinder(
                    cylinder=one,
                    reading=readings.get(one.pk),
                    kept=kept[one.pk],
                    is_waiting=one.pk in waiting,
                )
                for one in source.fitted  # type: ignore[attr-defined]  # prefetched
            ),
            change=changes.get(source.pk),
        )
        for source in sources
    ]


def _waiting(cylinders: list[Cylinder]) -> set[int]:
    found = Reading.objects.filter(OPEN_QUESTION, stands(), cylinder__in=cylinders, counts=True)
    return set(found.order_by().values_list("cylinder_id", flat=True))
