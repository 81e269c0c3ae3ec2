"""Waste gas of the practice world: how work is done, the limit chosen, and invented badges."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from ullage.web.accounts.selectors import User
from ullage.web.exposure.services import (
    BadgeFacts,
    badge_add,
    badge_withdraw,
    limit_choose,
    mixing_set,
    way_set,
)
from ullage.web.machines.selectors import Machine
from ullage.web.sites.selectors import Room, Site

__all__ = ["Worn", "waste_of_the_world"]

_LAB = "Marsh Analytics"


@dataclass(frozen=True, slots=True, kw_only=True)
class Worn:
    """When somebody wore a badge: over a case that begins in a chamber."""

    starts: datetime
    minutes: float


def waste_of_the_world(
    site: Site,
    machines: Mapping[str, Machine],
    rooms: Mapping[str, Room],
    people: Sequence[User],
    worn: Sequence[Worn],
) -> None:
    """Say how work is done and keep some badges; a site without the mask bench says nothing.

    The chamber of the mask bench is opened without a purge.
    """
    bench = machines.get("Siskin")
    if bench is None:
        return
    lead, by = people[:2]
    lab = rooms["Rodent lab, Mill End"]
    way = {"scavenging": "charcoal", "mask_escape_share": 0.1, "purged": False, "animals": 4}
    way_set(machine=bench, by=by, facts={**way, "leak_l_min": 0.05})
    for name in ("Wren", "Heron", "Dunlin"):
        way_set(machine=machines[name], by=by, facts={"scavenging": "active"})
    mixing_set(room=lab, by=lead, mixing_factor=3.0)
    limit_choose(site=site, by=lead, agent="isoflurane", limit="uk_wel")
    _badges(site, lab, by, worn)


#: Who, what the laboratory reported [ppm], what somebody wrote beside it.
_RESULTS = (
    ("M.O.", 2.4, "Chamber, then masks."),
    ("A.V.", 24.0, "A second chamber stood open on the bench."),
    ("M.O.", 0.0, "Lay in the drawer."),
)


def _badges(site: Site, lab: Room, by: User, worn: Sequence[Worn]) -> None:
    """The last cases with a badge each; the one that lay in a drawer is withdrawn."""
    badge = None
    for case, (who, level, note) in zip(worn, _RESULTS, strict=False):
        badge = badge_add(
            site=site,
            by=by,
            facts=BadgeFacts(
                room=lab,
                agent="isoflurane",
                who=who,
                worn_from=case.starts,
                worn_to=case.starts + timedelta(minutes=case.minutes),
                level=level,
                task="Mice on the mask bench",
                lab=_LAB,
                note=note,
            ),
        )
    if badge is not None and not badge.level:
        badge_withdraw(badge=badge, by=by, reason="It lay in the drawer and was not worn.")
