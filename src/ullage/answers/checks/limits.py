"""The limits that a measurement may be held against, side by side, each on its own word."""

from collections.abc import Mapping
from functools import cache
from typing import Any

from ullage.answers.answer import View, WhereFrom
from ullage.answers.chain_links.rows import where_from
from ullage.answers.checks.things import Limit
from ullage.answers.words import figure
from ullage.core.checks import not_negative, positive
from ullage.core.errors import UnknownReference
from ullage.core.units import KINDS, convert
from ullage.reference import Sourced, sourced
from ullage.reference.checks import check_file

__all__ = [
    "chosen_limit",
    "cmh2o",
    "limit_choices",
    "limit_names",
    "limit_views",
    "ml_min",
    "passes",
    "site_leak_limit",
]

#: A result this near to a limit, as a share of it, counts as equal to it.
_SAME = 1e-9


def limit_names() -> tuple[str, ...]:
    """Every limit that a step may be held against.

    >>> limit_names()[:2]
    ('leak', 'high_pressure')
    """
    return tuple(check_file("limits"))


@cache
def limit_choices(name: str) -> tuple[Limit, ...]:
    """Who sets a limit, side by side; they disagree, and the site chooses.

    Raises
    ------
    UnknownReference : no such limit.

    >>> [one.key for one in limit_choices("reserve")]
    ['half_full', 'laboratory', 'firm']
    """
    if name not in limit_names():
        raise UnknownReference(f"No limit {name!r}. Limits: {', '.join(limit_names())}.")
    written = check_file("limits")[name]
    return tuple(_limit(name, written["kind"], one) for one in written["choices"])


def _limit(name: str, kind: str, written: Mapping[str, Any]) -> Limit:
    sides = {side: _inside(written[side], kind) for side in ("low", "high") if side in written}
    place, _ = _row(written.get("high") or written.get("low") or written["within"])
    return Limit(
        name=name,
        key=written["key"],
        label=written["label"],
        unit=next(iter(KINDS[kind])),
        where_from=where_from(place),
        at_kpa=_inside(written["at"], "pressure") if "at" in written else None,
        within_min=_inside(written["within"], "time") if "within" in written else None,
        inclusive=written.get("inclusive", True),
        usual=written.get("usual", False),
        **sides,
    )


def _row(written: str) -> tuple[Sourced, str]:
    place, _, end = written.partition("#")
    table, _, key = place.partition(":")
    return sourced(table, key), end


def _inside(written: str, kind: str) -> float:
    row, end = _row(written)
    value = {"low": row.low, "high": row.high}.get(end, row.value)
    if value is None:
        raise UnknownReference(f"{row.key} has no {end} end.")
    return convert(value, row.unit, kind)


def chosen_limit(name: str, limits: Mapping[str, Limit]) -> Limit | None:
    """The limit that the site has chosen, else the usual one; None where nobody can say.

    >>> chosen_limit("leak", {}) is None, chosen_limit("reserve", {}).key
    (True, 'half_full')
    """
    usual = (one for one in limit_choices(name) if one.usual)
    return limits.get(name) or next(usual, None)


def site_leak_limit(flow_l_min: float, at_kpa: float, says: str = "") -> Limit:
    """The leak that a site accepts by its own rule, and the pressure at which it holds.

    Parameters
    ----------
    flow_l_min : [L/min] at most, 0 or more.
    at_kpa : [kPa] gauge, above 0.
    says : words of the rule, such as who adopted it and when.

    Returns
    -------
    The limit, standing as a rule of the site.

    Raises
    ------
    InvalidQuantity : a flow below 0, a pressure not above 0.

    >>> site_leak_limit(0.2, 2.941995).label
    'Rule of the site, 200 mL/min at 30 cmH2O'
    """
    not_negative("flow_l_min", flow_l_min)
    positive("at_kpa", at_kpa)
    label = f"Rule of the site, {ml_min(flow_l_min)} at {cmh2o(at_kpa)}"
    words = f"{label}; {says}".removesuffix("; ").removesuffix(".")
    return Limit(
        name="leak",
        key="site",
        label=label,
        unit="L/min",
        where_from=WhereFrom(source="site_rule", how_known="site", text=f"{words}."),
        high=flow_l_min,
        at_kpa=at_kpa,
    )


def passes(limit: Limit, value: float) -> bool:
    """Whether a value is inside a limit; one that equals it is, where the limit says so."""
    give = _SAME if limit.inclusive else -_SAME
    low_ok = limit.low is None or value >= limit.low - give * abs(limit.low)
    return low_ok and (limit.high is None or value <= limit.high + give * abs(limit.high))


def limit_views(name: str, chosen: Limit | None) -> tuple[View, ...]:
    """All who set a limit, and the one that counts; until one is chosen, that none is."""
    listed = limit_choices(name)
    shown = listed if chosen is None or chosen in listed else (chosen, *listed)
    views = tuple(_view(one, chosen == one) for one in shown)
    return views if chosen is not None else (_UNSET, *views)


_UNSET = View(
    label="This site", result="not set yet", source="site_rule", how_known="site", chosen=True
)


def _view(one: Limit, chosen: bool) -> View:
    label, _, result = one.label.partition(", ")
    return View(
        label=label,
        result=result or label,
        source=one.where_from.source,
        how_known=one.where_from.how_known,
        chosen=chosen,
    )


def cmh2o(value_kpa: float) -> str:
    """A pressure of a breathing system in the unit of its manometer.

    >>> cmh2o(2.941995)
    '30 cmH2O'
    """
    return f"{figure(convert(value_kpa, 'kPa', 'pressure', 'cmH2O'))} cmH2O"


def ml_min(flow_l_min: float) -> str:
    """A small flow as people say it.

    >>> ml_min(0.3)
    '300 mL/min'
    """
    return f"{figure(1000.0 * flow_l_min)} mL/min"
