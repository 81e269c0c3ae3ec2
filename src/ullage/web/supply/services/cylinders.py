"""A cylinder's round: received, connected, taken off, empty, set apart, returned."""

from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.sites.selectors import Room, Site
from ullage.web.supply.models import Cylinder, CylinderState, Source
from ullage.web.supply.services.log import log_event
from ullage.web.supply.services.queue import cylinder_ask

__all__ = [
    "CylinderFacts",
    "cylinder_connect",
    "cylinder_correct",
    "cylinder_empty",
    "cylinder_move",
    "cylinder_quarantine",
    "cylinder_receive",
    "cylinder_release",
    "cylinder_return",
    "cylinder_take_off",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class CylinderFacts:
    """What stamp, label and gauge say about a cylinder; None where nobody read it."""

    name: str
    gas: str
    water_capacity_l: float
    size: str = ""
    capacity_known: str = "preset"
    label_l: float | None = None
    fill_gauge_kpa: float | None = None
    test_pressure_kpa: float | None = None
    full_scale_kpa: float = 20_684.0
    gauge_error_share: float | None = None
    tare_kg: float | None = None
    material: str = ""
    serial: str = ""
    test_due: date | None = None


@transaction.atomic
def cylinder_receive(
    *, site: Site, facts: CylinderFacts, by: User, room: Room | None = None
) -> Cylinder:
    """Take a cylinder into the store; its QR code is made here and never changes."""
    name = facts.name.strip()
    if Cylinder.objects.filter(site=site, name__iexact=name).exclude(state="returned").exists():
        raise RuleBroken(f"There is a {name} here already; give this one another name.")
    cylinder = Cylinder.objects.create(
        site=site, room=room, received_at=timezone.now(), **{**asdict(facts), "name": name}
    )
    log_event(cylinder=cylinder, kind="received", by=by, capacity_known=facts.capacity_known)
    return cylinder


@transaction.atomic
def cylinder_correct(
    *, cylinder: Cylinder, facts: CylinderFacts, reason: str, by: User
) -> Cylinder:
    """Put right what was written down about a cylinder; the old values stay in its log."""
    before = {name: getattr(cylinder, name) for name in asdict(facts)}
    changed = {name: new for name, new in asdict(facts).items() if new != before[name]}
    if not changed:
        return cylinder
    if not reason.strip():
        raise RuleBroken("Say why this is corrected; the old value stays readable.")
    Cylinder.objects.filter(pk=cylinder.pk).update(**changed)
    log_event(
        cylinder=cylinder,
        kind="corrected",
        by=by,
        reason=reason.strip(),
        was={name: _plain(before[name]) for name in changed},
        now={name: _plain(new) for name, new in changed.items()},
    )
    cylinder_ask(cylinder=cylinder)
    cylinder.refresh_from_db()
    return cylinder


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date) else value


@transaction.atomic
def cylinder_connect(
    *, cylinder: Cylinder, source: Source, by: User, at: datetime | None = None, bank: str = ""
) -> Cylinder:
    """Put a cylinder on its source; the gas must be the same and the place free."""
    at = at or timezone.now()
    # Of two who connect at once, the second waits here and then finds the place taken.
    Source.objects.select_for_update().get(pk=source.pk)
    _fits(cylinder, source, bank)
    place = Cylinder.objects.filter(source=source, bank=bank, state="in_use").count()
    _move_on(
        cylinder,
        allowed=(CylinderState.FULL, CylinderState.PART_USED),
        state=CylinderState.IN_USE,
        source=source,
        bank=bank,
        place_in_source=place,
        room=source.room or cylinder.room,
        connected_at=at,
    )
    log_event(cylinder=cylinder, kind="connected", by=by, at=at, source=source.name, bank=bank)
    cylinder_ask(cylinder=cylinder)
    return cylinder


def _fits(cylinder: Cylinder, source: Source, bank: str) -> None:
    if source.site_id != cylinder.site_id or source.retired_at is not None:
        raise RuleBroken(f"{source} is not a source of this site.")
    if cylinder.gas != source.gas:
        raise RuleBroken(
            f"Stop: {cylinder} holds {cylinder.gas}, {source} feeds {source.gas}. "
            "Do not connect it."
        )
    if source.kind == "manifold" and not bank:
        raise RuleBroken(f"Say which bank of {source}: A or B.")
    if source.kind not in {"cylinder", "sequence", "manifold"}:
        raise RuleBroken(
            f"{source} draws from no cylinder; a cylinder behind it is a source of its own, "
            "marked as its reserve."
        )
    taken = Cylinder.objects.filter(source=source, state=CylinderState.IN_USE).first()
    if source.kind == "cylinder" and taken is not None:
        raise RuleBroken(f"{taken} is on {source}; use Change cylinder to swap them.")


def _move_on(cylinder: Cylinder, *, allowed: tuple[str, ...], **now: Any) -> None:
    """Write the new state only where the old one allows it: the condition travels along."""
    found = Cylinder.objects.filter(pk=cylinder.pk, state__in=allowed)
    if not found.update(**now):
        cylinder.refresh_from_db()
        said = CylinderState(cylinder.state).label.lower()
        raise RuleBroken(f"{cylinder} is marked '{said}'; this step does not follow from that.")
    cylinder.refresh_from_db()


@transaction.atomic
def cylinder_take_off(
    *, cylinder: Cylinder, by: User, is_empty: bool = False, at: datetime | None = None
) -> Cylinder:
    """Take a cylinder off its source and tag it part used or empty."""
    source = cylinder.source
    _move_on(
        cylinder,
        allowed=(CylinderState.IN_USE,),
        state=CylinderState.EMPTY if is_empty else CylinderState.PART_USED,
        source=None,
        bank="",
        place_in_source=0,
    )
    log_event(
        cylinder=cylinder,
        kind="taken off",
        by=by,
        at=at,
        source=source.name if source else "",
        tag="empty" if is_empty else "part used",
    )
    cylinder_ask(cylinder=cylinder)
    return cylinder


@transaction.atomic
def cylinder_empty(*, cylinder: Cylinder, by: User) -> Cylinder:
    """Tag a cylinder that is on no source as empty; keep its valve closed."""
    _move_on(
        cylinder,
        allowed=(CylinderState.FULL, CylinderState.PART_USED),
        state=CylinderState.EMPTY,
    )
    log_event(cylinder=cylinder, kind="empty", by=by)
    return cylinder


@transaction.atomic
def cylinder_quarantine(*, cylinder: Cylinder, reason: str, by: User) -> Cylinder:
    """Set a cylinder apart so that nobody uses it, with the reason."""
    if not reason.strip():
        raise RuleBroken("Say why it is set apart; the next person needs to know.")
    source = cylinder.source
    _move_on(
        cylinder,
        allowed=(
            CylinderState.FULL,
            CylinderState.IN_USE,
            CylinderState.PART_USED,
            CylinderState.EMPTY,
        ),
        state=CylinderState.QUARANTINE,
        source=None,
        bank="",
        place_in_source=0,
    )
    log_event(
        cylinder=cylinder,
        kind="set apart",
        by=by,
        reason=reason.strip(),
        source=source.name if source else "",
    )
    return cylinder


@transaction.atomic
def cylinder_release(*, cylinder: Cylinder, reason: str, by: User) -> Cylinder:
    """Undo 'set apart', 'empty' or 'returned'; it comes back as part used."""
    if not reason.strip():
        raise RuleBroken("Say what was found, so that others trust it again.")
    was = CylinderState(cylinder.state).label
    _move_on(
        cylinder,
        allowed=(CylinderState.QUARANTINE, CylinderState.EMPTY, CylinderState.RETURNED),
        state=CylinderState.PART_USED,
    )
    log_event(cylinder=cylinder, kind="taken back", by=by, reason=reason.strip(), was=was)
    cylinder_ask(cylinder=cylinder)
    return cylinder


@transaction.atomic
def cylinder_return(*, cylinder: Cylinder, by: User, to: str = "") -> Cylinder:
    """Hand a cylinder back; its page and its readings stay."""
    _move_on(
        cylinder,
        allowed=(
            CylinderState.FULL,
            CylinderState.PART_USED,
            CylinderState.EMPTY,
            CylinderState.QUARANTINE,
        ),
        state=CylinderState.RETURNED,
    )
    log_event(cylinder=cylinder, kind="returned", by=by, to=to.strip())
    return cylinder


@transaction.atomic
def cylinder_move(*, cylinder: Cylinder, room: Room | None, by: User) -> Cylinder:
    """Note that a cylinder that is on no source stands in another room."""
    if cylinder.state == CylinderState.IN_USE:
        raise RuleBroken(f"{cylinder} is on {cylinder.source}; take it off before moving it.")
    Cylinder.objects.filter(pk=cylinder.pk).update(room=room)
    log_event(cylinder=cylinder, kind="moved", by=by, room=room.name if room else "store")
    cylinder.refresh_from_db()
    return cylinder
