"""What today's plan asks of the source that a cylinder is on, as it was worked out."""

from dataclasses import dataclass

from ullage.answers import Answer, Verdict
from ullage.web.supply.models import Cylinder

__all__ = ["ByPlan", "by_plan"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ByPlan:
    """The need of today and the time until which the source lasts by the plan."""

    needed: Answer | None
    lasts_until: Answer

    @property
    def is_grave(self) -> bool:
        """True where the plan asks for something to be done."""
        return self.lasts_until.verdict in {Verdict.STOP, Verdict.LOOK_AGAIN}


def by_plan(cylinder: Cylinder) -> ByPlan | None:
    """Today's answers about the cylinder's source; None where nothing is planned."""
    from ullage.web.days.selectors import source_outlook, today_at

    source = cylinder.source
    if source is None or source.reserve_of_id is not None:
        return None
    told = source_outlook(cylinder.site, today_at(cylinder.site), source.pk)
    if told is None or told.needed is None:
        return None
    return ByPlan(needed=told.needed, lasts_until=told.lasts_until)
