"""What today's plan asks of the source that a cylinder is on, as it was worked out."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ullage.answers import Answer, Verdict
from ullage.web.supply.models import Cylinder, StoredAnswer

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
    from ullage.web.days.selectors import day_subject, today_at

    if cylinder.source is None or cylinder.source.reserve_of_id is not None:
        return None
    subject = day_subject(cylinder.site, today_at(cylinder.site))
    row = StoredAnswer.objects.filter(subject=subject, kind="day").first()
    told = _of_source(row.payload if row is not None else {}, cylinder.source.name)
    if told is None or not told.get("needed"):
        return None
    return ByPlan(
        needed=Answer.from_dict(told["needed"]),
        lasts_until=Answer.from_dict(told["lasts_until"]),
    )


def _of_source(payload: Mapping[str, Any], name: str) -> Mapping[str, Any] | None:
    return next((one for one in payload.get("sources", ()) if one["name"] == name), None)
