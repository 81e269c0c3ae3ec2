"""The check lists of a site, shipped or its own, and the limits that it chose."""

from dataclasses import dataclass

from ullage.answers.checks import (
    CheckList,
    LeftOut,
    Limit,
    check_list,
    limit_choices,
    limit_names,
    shipped_lists,
    site_leak_limit,
    steps_left_out,
)
from ullage.answers.checks.kept import list_from_dict
from ullage.web.checks.models import LimitChoice, ListVersion
from ullage.web.sites.selectors import Site

__all__ = [
    "Line",
    "ListLine",
    "limit_lines",
    "limits_of",
    "list_named",
    "lists_of",
    "shipped_or_own",
    "versions_of",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class ListLine:
    """One list as a site uses it; ``version`` is empty where the shipped one counts."""

    list: CheckList
    version: ListVersion | None
    left_out: tuple[LeftOut, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One limit with all who set it, and what the site chose."""

    name: str
    title: str
    choices: tuple[Limit, ...]
    chosen: Limit | None
    row: LimitChoice | None
    may_be_own: bool


def _own(site: Site) -> dict[str, ListVersion]:
    """By list, the site's newest version of its own."""
    found: dict[str, ListVersion] = {}
    for version in site.check_lists.exclude(by=None).select_related("by"):
        found.setdefault(version.key, version)
    return found


def shipped_or_own(site: Site, key: str) -> tuple[CheckList, ListVersion | None]:
    """The list that counts at a site now, and its version where the site wrote one.

    Raises
    ------
    UnknownReference : no such list.
    """
    version = _own(site).get(key)
    return (list_from_dict(version.data), version) if version else (check_list(key), None)


def list_named(site: Site, key: str) -> ListLine:
    """One list of a site with what it leaves out."""
    found, version = shipped_or_own(site, key)
    return ListLine(list=found, version=version, left_out=tuple(steps_left_out(found)))


def lists_of(site: Site) -> list[ListLine]:
    """All lists of a site in their shipped order; one query."""
    own = _own(site)
    found = []
    for shipped in shipped_lists():
        version = own.get(shipped.key)
        used = list_from_dict(version.data) if version else shipped
        left = tuple(steps_left_out(used))
        found.append(ListLine(list=used, version=version, left_out=left))
    return found


def versions_of(site: Site, key: str) -> list[ListVersion]:
    """Every version of a list that was used or written here, the newest first."""
    return list(site.check_lists.filter(key=key).select_related("by"))


def _chosen(site: Site) -> dict[str, LimitChoice]:
    """By limit, the site's last choice."""
    found: dict[str, LimitChoice] = {}
    for row in site.check_limits.select_related("by"):
        found.setdefault(row.name, row)
    return found


def _limit(row: LimitChoice | None) -> Limit | None:
    if row is None:
        return None
    if row.own:
        says = f"Set by {row.by}, {row.at:%d %B %Y}. {row.reason}".strip()
        return site_leak_limit(row.own["flow_l_min"], row.own["at_kpa"], says)
    return next((one for one in limit_choices(row.name) if one.key == row.choice), None)


def limits_of(site: Site) -> dict[str, Limit]:
    """By name, the limits that a site chose; one query."""
    found = {name: _limit(row) for name, row in _chosen(site).items()}
    return {name: one for name, one in found.items() if one is not None}


_TITLES = {"leak": "Leak of the breathing system", "high_pressure": "High-pressure side"}


def limit_lines(site: Site) -> list[Line]:
    """Every limit with who sets it and what the site chose; one query."""
    rows = _chosen(site)
    return [
        Line(
            name=name,
            title=_TITLES.get(name, name.replace("_", " ").capitalize()),
            choices=limit_choices(name),
            chosen=_limit(rows.get(name)),
            row=rows.get(name),
            may_be_own=name == "leak",
        )
        for name in limit_names()
    ]
