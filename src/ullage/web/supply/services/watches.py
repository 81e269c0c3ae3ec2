"""Close and watch: the valve closed, the needle marked, read again after some minutes.

Behind a closed valve the gauge shows the little gas that is trapped, not the cylinder; so these
numbers stand in the log and are never readings of what is left.
"""

from datetime import datetime

from django.db import transaction

from ullage.answers.holds import Watch, gauge_holds
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.supply.models import Cylinder, CylinderChange, CylinderEvent
from ullage.web.supply.selectors.things import cylinder_thing, place_of
from ullage.web.supply.selectors.watches import open_watch
from ullage.web.supply.services.log import log_event
from ullage.web.supply.services.readings import Seen

__all__ = ["watch_begin", "watch_end"]


@transaction.atomic
def watch_begin(
    *, cylinder: Cylinder, seen: Seen, by: User, change: CylinderChange | None = None
) -> CylinderEvent:
    """Mark the needle with the valve closed; a watch that was begun before is begun anew."""
    if seen.gauge_kpa is None or seen.gauge_kpa <= 0:
        raise RuleBroken("Open the valve first: a needle at zero cannot fall.")
    return log_event(
        cylinder=cylinder,
        change=change,
        kind="watch begun",
        by=by,
        at=seen.at,
        gauge_kpa=seen.gauge_kpa,
        gauge=seen.typed,
    )


@transaction.atomic
def watch_end(
    *, cylinder: Cylinder, seen: Seen, by: User, change: CylinderChange | None = None
) -> CylinderEvent:
    """Read the needle again and say whether it held, by the rule in force.

    Raises
    ------
    RuleBroken : no watch runs, or no time has passed.
    """
    begun = open_watch(cylinder)
    if begun is None:
        raise RuleBroken("Mark the needle with the valve closed first.")
    if seen.gauge_kpa is None:
        raise RuleBroken("Write what the needle shows.")
    source = cylinder.source
    watch = Watch(
        first_kpa=begun.details["gauge_kpa"],
        last_kpa=seen.gauge_kpa,
        minutes=_minutes(begun.at, seen.at),
        trapped_ml=source.trapped_ml if source else None,
        fall_limit_kpa=source.fall_limit_kpa if source else None,
        limit_min=source.fall_limit_min if source else None,
    )
    place = place_of(cylinder.site, cylinder.room)
    answer = gauge_holds(cylinder_thing(cylinder), watch, place)
    return log_event(
        cylinder=cylinder,
        change=change,
        kind="watch ended",
        by=by,
        at=seen.at,
        gauge_kpa=seen.gauge_kpa,
        gauge=seen.typed,
        verdict=answer.verdict.value if answer.verdict else "",
        answer=answer.as_dict(),
    )


def _minutes(begun: datetime, ended: datetime) -> float:
    minutes = (ended - begun).total_seconds() / 60.0
    if minutes <= 0:
        raise RuleBroken("No time has passed since the needle was marked; wait and read again.")
    return minutes
