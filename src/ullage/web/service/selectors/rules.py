"""Which intervals and which limit hold at a site, and who set them."""

from dataclasses import dataclass

from ullage.answers.service import (
    Interval as Held,
)
from ullage.answers.service import (
    OutputLimit,
    intervals_of,
    limit_of,
    site_interval,
)
from ullage.web.service.models import Interval, OutputRule
from ullage.web.sites.selectors import Site

__all__ = [
    "Interval",
    "OutputRule",
    "RuleLine",
    "intervals_at",
    "limit_at",
    "limit_rows",
    "rule_lines",
]


@dataclass(frozen=True, slots=True)
class RuleLine:
    """An interval that holds at a site, with the row that set it; none where it is published."""

    interval: Held
    row: Interval | None


def rule_lines(site: Site) -> list[RuleLine]:
    """Every interval that holds, with who set it; one query."""
    rows = _latest(site)
    own = [
        site_interval(one.thing, one.task, one.days, one.why)
        for one in rows.values()
        if one.days is not None
    ]
    kept = {key: one for key, one in rows.items() if one.days is not None}
    return [RuleLine(one, kept.get((one.thing, one.task))) for one in intervals_of(own)]


def intervals_at(site: Site) -> tuple[Held, ...]:
    """The intervals that hold at a site; one query."""
    return tuple(one.interval for one in rule_lines(site))


def _latest(site: Site) -> dict[tuple[str, str], Interval]:
    """The last word on each kind of thing and task."""
    found: dict[tuple[str, str], Interval] = {}
    for one in Interval.objects.filter(site=site).select_related("by"):
        found.setdefault((one.thing, one.task), one)
    return found


def limit_at(site: Site) -> OutputLimit | None:
    """The limit that a site holds its vaporizers to; none until somebody sets one."""
    row = OutputRule.objects.filter(site=site).first()
    return limit_of(row.key, row.of_dial_share) if row else None


def limit_rows(site: Site, count: int = 10) -> list[OutputRule]:
    """What the limit was, the newest first."""
    return list(OutputRule.objects.filter(site=site).select_related("by")[:count])
