"""Reads of the exposure app: ways of working, limits, badges; as things that answers take."""

from collections.abc import Iterable
from uuid import UUID

from ullage.answers import (
    BadgeRead,
    CasePlan,
    CaseWaste,
    Scavenging,
    WasteSetup,
    WorkRoom,
    case_waste,
)
from ullage.web.accounts.selectors import User
from ullage.web.exposure.models import (
    BadgeResult,
    BadgeWithdrawal,
    ExposureChange,
    LimitChoice,
    RoomMixing,
    WorkWay,
)
from ullage.web.machines.selectors import Machine, parts_of
from ullage.web.sites.selectors import Room, Site, own_or_404

__all__ = [
    "BadgeResult",
    "BadgeWithdrawal",
    "ExposureChange",
    "badge_for",
    "badge_read",
    "badges_of",
    "case_waste_at",
    "changes_about",
    "limits_of",
    "mixing_of",
    "setup_of",
    "setups_of",
    "way_of",
    "work_room",
]


def way_of(machine: Machine) -> WorkWay:
    """How work is done at a machine; one that was never said has empty fields."""
    return WorkWay.objects.filter(machine=machine).first() or WorkWay(machine=machine)


def setups_of(site: Site, machines: Iterable[Machine]) -> dict[int, WasteSetup]:
    """How work is done at several machines, by their number; two queries."""
    rows = list(machines)
    ways = {one.machine_id: one for one in WorkWay.objects.filter(machine__in=rows)}
    fitted = {
        one.machine_id: str(one.facts.get("way") or "")
        for one in parts_of(site, "scavenging")
        if one.machine_id is not None
    }
    return {
        one.pk: _setup(ways.get(one.pk) or WorkWay(machine=one), fitted.get(one.pk, ""))
        for one in rows
    }


def setup_of(machine: Machine) -> WasteSetup:
    """How work is done at one machine, with the scavenging that is fitted where none was said."""
    return setups_of(machine.site, [machine])[machine.pk]


def _setup(way: WorkWay, fitted: str) -> WasteSetup:
    said = way.scavenging or fitted
    return WasteSetup(
        scavenging=Scavenging(said) if said in set(Scavenging) else None,
        mask_escape_share=way.mask_escape_share,
        purged=way.purged,
        leak_l_min=way.leak_l_min,
        spilled_ml=way.spilled_ml,
        hood=way.hood,
        away=way.away,
        animals=way.animals,
    )


def case_waste_at(machine: Machine, plan: CasePlan) -> CaseWaste | None:
    """What a planned case does to the air of the room of its machine; None without a room."""
    if machine.room is None:
        return None
    site = machine.site
    air, chosen = work_room(machine.room), limits_of(site)
    return case_waste(plan, air, setup_of(machine), chosen, site.country)


def mixing_of(room: Room) -> float | None:
    """The mixing factor of a room, None where nobody measured one."""
    found = RoomMixing.objects.filter(room=room).first()
    return found.mixing_factor if found else None


def work_room(room: Room) -> WorkRoom:
    """A room as the answers take it; one that is too small to stand in counts as not known."""
    volume = room.volume_m3 if room.volume_m3 and room.volume_m3 >= 2.0 else None
    return WorkRoom(
        name=room.name,
        room_m3=volume,
        air_changes_per_h=room.air_changes_per_h,
        mixing_factor=mixing_of(room),
    )


def limits_of(site: Site) -> dict[str, str]:
    """The limit that the site follows, by agent."""
    rows = LimitChoice.objects.filter(site=site).exclude(limit="")
    return dict(rows.values_list("agent", "limit"))


def changes_about(site: Site, subject: str, about: str = "") -> list[ExposureChange]:
    """The last changes of one kind of thing, or of one of them; the newest first."""
    found = ExposureChange.objects.filter(site=site, subject=subject).select_related("by")
    return list((found.filter(about=about) if about else found)[:10])


def badges_of(site: Site) -> list[BadgeResult]:
    """All badges of a site, the latest first, withdrawn ones too."""
    found = BadgeResult.objects.filter(site=site)
    return list(found.select_related("room", "by", "withdrawal", "withdrawal__by")[:500])


def badge_for(user: User, code: UUID) -> BadgeResult:
    """One badge of any site that the person belongs to; 404 for strangers."""
    rows = BadgeResult.objects.select_related("site", "room", "by", "withdrawal", "withdrawal__by")
    return own_or_404(rows, user, code)


def badge_read(badge: BadgeResult) -> BadgeRead:
    """A badge as the answers take it."""
    return BadgeRead(
        agent=badge.agent,
        level_ppm=badge.level_ppm,
        worn_min=badge.worn_min,
        task_min=badge.task_min,
    )
