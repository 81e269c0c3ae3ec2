"""Change of cylinder in the safe order: one step after the other, each with who and when.

A change is kept while it runs, so that it can be left and taken up again. The steps that are
done stand in the log of the cylinder they are about; the row of the change holds the next one.
"""

from dataclasses import dataclass
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.supply.models import Cylinder, CylinderChange, CylinderEvent, Source
from ullage.web.supply.services.cylinders import cylinder_connect, cylinder_take_off
from ullage.web.supply.services.log import log_event
from ullage.web.supply.services.readings import Seen, reading_save
from ullage.web.supply.services.watches import watch_begin, watch_end

__all__ = [
    "STEPS",
    "FullOne",
    "change_animal",
    "change_back",
    "change_begin",
    "change_check",
    "change_close_old",
    "change_flows_off",
    "change_give_up",
    "change_open",
    "change_refused",
    "change_reopen",
    "change_seal",
    "change_take",
    "change_watch_begin",
    "change_watch_end",
]

#: The safe order. A first cylinder on an empty place has no old one to close.
STEPS = ("animal", "flows", "check", "old", "seal", "open", "watch", "reopen")


#: The steps at which the full one may still be chosen.
_CHOOSING = ("animal", "flows", "check")


@dataclass(frozen=True, slots=True, kw_only=True)
class FullOne:
    """What a person found when the full cylinder was scanned and looked at."""

    cylinder: Cylinder
    label_gas: str
    label_agrees: bool
    size_agrees: bool
    outlet_clean: bool
    contents: str = ""


@transaction.atomic
def change_begin(
    *,
    source: Source,
    by: User,
    old: Cylinder | None = None,
    new: Cylinder | None = None,
    bank: str = "",
) -> CylinderChange:
    """Begin a change, or take up the one that runs at this place."""
    if source.retired_at is not None or source.kind not in {"cylinder", "sequence", "manifold"}:
        raise RuleBroken(f"No cylinder can be changed at {source}.")
    if old is not None and old.source_id != source.pk:
        raise RuleBroken(f"{old} is not on {source}.")
    if source.kind == "manifold" and bank not in {"A", "B"}:
        raise RuleBroken(f"Say which bank of {source}: A or B.")
    running = _running(source, bank)
    if running is not None:
        return running
    try:
        with transaction.atomic():
            change = CylinderChange.objects.create(
                source=source,
                bank=bank,
                old=old,
                new=new,
                step=STEPS[0],
                started_at=timezone.now(),
                started_by=by,
            )
    except IntegrityError:
        return CylinderChange.objects.get(
            source=source, bank=bank, finished_at=None, given_up_at=None
        )
    log_event(cylinder=old or new, change=change, kind="change begun", by=by, source=source.name)
    return change


def _running(source: Source, bank: str) -> CylinderChange | None:
    return CylinderChange.objects.filter(
        source=source, bank=bank, finished_at=None, given_up_at=None
    ).first()


def _next(change: CylinderChange, step: str) -> str:
    """The step after this one; without an old cylinder none is closed."""
    after = STEPS[STEPS.index(step) + 1]
    return STEPS[STEPS.index(after) + 1] if after == "old" and change.old_id is None else after


def _pass(change: CylinderChange, step: str, by: User, **details: Any) -> None:
    """Write a step where it is the next one: the condition travels with the write."""
    here = CylinderChange.objects.filter(
        pk=change.pk, step=step, finished_at=None, given_up_at=None
    )
    if not here.update(step=_next(change, step) if step != STEPS[-1] else "done"):
        raise RuleBroken("This step was done a moment ago; the page shows where the change is.")
    change.refresh_from_db()
    about = change.new if step in {"check", "seal", "open", "watch", "reopen"} else change.old
    log_event(cylinder=about or change.new, change=change, kind=f"step {step}", by=by, **details)


@transaction.atomic
def change_animal(*, change: CylinderChange, how: str, by: User) -> None:
    """The animal has other gas, or there is none on the machine."""
    if not how.strip():
        raise RuleBroken("Say how the animal is supplied, or that none is on the machine.")
    _pass(change, "animal", by, how=how.strip())


@transaction.atomic
def change_flows_off(*, change: CylinderChange, by: User) -> None:
    """Flow controls are off, so that the full one cannot surge through an open one."""
    _pass(change, "flows", by)


@transaction.atomic
def change_check(*, change: CylinderChange, found: FullOne, by: User) -> None:
    """The full one was scanned and looked at; anything that disagrees stops the change.

    Raises
    ------
    RuleBroken : wrong gas, a doubt about the label, or a cylinder that is not in store.
    """
    _usable(change, found)
    CylinderChange.objects.filter(pk=change.pk).update(new=found.cylinder)
    _pass(
        change,
        "check",
        by,
        label_gas=found.label_gas,
        size=found.cylinder.size,
        contents=found.contents,
    )


@transaction.atomic
def change_take(*, change: CylinderChange, cylinder: Cylinder, by: User) -> None:
    """Choose the full one by scanning it; it is looked at in the step that follows.

    Raises
    ------
    RuleBroken : another gas, or a change that is past choosing.
    """
    _is_here(change, cylinder)
    if cylinder.gas != change.source.gas:
        raise RuleBroken(
            f"Stop: {cylinder} holds {cylinder.gas}; {change.source} needs {change.source.gas}."
        )
    waiting = CylinderChange.objects.filter(
        pk=change.pk, step__in=_CHOOSING, finished_at=None, given_up_at=None
    )
    if not waiting.update(new=cylinder):
        raise RuleBroken("This change is past the choice of the full one.")
    change.refresh_from_db()
    log_event(cylinder=cylinder, change=change, kind="scanned for a change", by=by)


def _is_here(change: CylinderChange, full: Cylinder) -> None:
    """A full one of another site is found out before the old one is closed, not after."""
    if full.site_id != change.source.site_id:
        raise RuleBroken(
            f"{full} is entered at {full.site}, not at {change.source.site}; take one from here."
        )


def _usable(change: CylinderChange, found: FullOne) -> None:
    full, wanted = found.cylinder, change.source.gas
    _is_here(change, full)
    if full.pk == change.old_id:
        raise RuleBroken(f"{full} is the old one; scan the full one.")
    if full.state not in {"full", "part_used"}:
        raise RuleBroken(f"{full} is marked '{full.get_state_display().lower()}'; take another.")
    if wanted not in {full.gas, found.label_gas} or full.gas != found.label_gas:
        raise RuleBroken(
            f"Stop: {change.source} needs {wanted}; {full} is entered as {full.gas} and its "
            f"label says {found.label_gas}. Set it apart and take another."
        )
    doubts = {
        "label and colour": found.label_agrees,
        "size and stamp": found.size_agrees,
        "outlet and seal face": found.outlet_clean,
    }
    wrong = [what for what, fine in doubts.items() if not fine]
    if wrong:
        raise RuleBroken(
            f"Stop: {' and '.join(wrong)} of {full} do not pass. Set it apart and take another."
        )


@transaction.atomic
def change_refused(*, change: CylinderChange, found: FullOne, said: str, by: User) -> None:
    """Keep what was found when a full one did not pass; nothing entered is lost."""
    log_event(
        cylinder=found.cylinder,
        change=change,
        kind="check refused",
        by=by,
        label_gas=found.label_gas,
        said=said,
    )


@transaction.atomic
def change_close_old(
    *, change: CylinderChange, by: User, is_empty: bool = False, seen: Seen | None = None
) -> None:
    """The old valve is closed, the line run down, the old one tagged; a last reading is kept."""
    if change.old is None:
        raise RuleBroken("There is no old cylinder on this place.")
    if seen is not None:
        reading_save(cylinder=change.old, seen=seen, by=by)
    _pass(change, "old", by, tag="empty" if is_empty else "part used")


@transaction.atomic
def change_seal(*, change: CylinderChange, seal: str, by: User, reason: str = "") -> None:
    """The seal is in and the full one is on; an old seal asks for a reason.

    From here on the full one is the cylinder of the source.
    """
    if seal not in {"new", "old"}:
        raise RuleBroken("Say which seal goes in: a new one, or the old one, looked at.")
    if seal == "old" and not reason.strip():
        raise RuleBroken("Say why the old seal goes in again; read the gauge again in 30 min.")
    if change.new is None:
        raise RuleBroken("Scan and check the full one first.")
    again = change.new.source_id == change.source_id
    if not again and change.old is not None and change.old.source_id == change.source_id:
        closed = CylinderEvent.objects.filter(change=change, kind="step old").first()
        is_empty = closed is not None and closed.details.get("tag") == "empty"
        cylinder_take_off(cylinder=change.old, by=by, is_empty=is_empty)
    if not again:
        cylinder_connect(cylinder=change.new, source=change.source, by=by, bank=change.bank)
    _pass(change, "seal", by, seal=seal, reason=reason.strip())


@transaction.atomic
def change_open(*, change: CylinderChange, seen: Seen, by: User) -> None:
    """The valve was opened slowly and the gauge read: the first reading of the full one."""
    if change.new is None:
        raise RuleBroken("Scan and check the full one first.")
    reading_save(cylinder=change.new, seen=seen, by=by)
    _pass(change, "open", by, gauge=seen.typed)


@transaction.atomic
def change_watch_begin(*, change: CylinderChange, seen: Seen, by: User) -> None:
    """The valve is closed again and the needle marked."""
    if change.new is None or change.step != "watch":
        raise RuleBroken("Open the full one and read its gauge first.")
    watch_begin(cylinder=change.new, seen=seen, by=by, change=change)


@transaction.atomic
def change_watch_end(*, change: CylinderChange, seen: Seen, by: User) -> str:
    """The needle was read again: held, and the change goes on; fallen, and the seal is next.

    Returns the verdict: while it is too early, the watch runs on from the first mark.
    """
    if change.new is None or change.step != "watch":
        raise RuleBroken("Open the full one and read its gauge first.")
    verdict = str(
        watch_end(cylinder=change.new, seen=seen, by=by, change=change).details["verdict"]
    )
    if verdict in {"Fine", "Look again"}:
        _pass(change, "watch", by, gauge=seen.typed, verdict=verdict)
    elif verdict == "Stop":
        CylinderChange.objects.filter(pk=change.pk, step="watch").update(step="seal")
        change.refresh_from_db()
    return verdict


@transaction.atomic
def change_reopen(*, change: CylinderChange, by: User) -> None:
    """The valve is open again and the tag says 'in use': the change is done."""
    _pass(change, "reopen", by)
    CylinderChange.objects.filter(pk=change.pk).update(finished_at=timezone.now())
    change.refresh_from_db()


@transaction.atomic
def change_back(*, change: CylinderChange, by: User, reason: str = "") -> None:
    """Take back the last step, as long as nothing was fitted; the step stays in the log."""
    if change.step not in STEPS[1:5]:
        raise RuleBroken("The full one is on; go on, or begin a new change.")
    before = STEPS[STEPS.index(change.step) - 1]
    if before == "old" and change.old_id is None:
        before = "check"
    moved = CylinderChange.objects.filter(pk=change.pk, step=change.step).update(step=before)
    if moved:
        log_event(
            cylinder=change.old or change.new,
            change=change,
            kind="step back",
            by=by,
            step=before,
            reason=reason.strip(),
        )
    change.refresh_from_db()


@transaction.atomic
def change_give_up(*, change: CylinderChange, reason: str, by: User) -> None:
    """End a change before its last step, with the reason; what was done stays in the log."""
    if not reason.strip():
        raise RuleBroken("Say why the change ends here; the next person needs to know.")
    running = CylinderChange.objects.filter(pk=change.pk, finished_at=None, given_up_at=None)
    if not running.update(given_up_at=timezone.now(), reason=reason.strip()):
        raise RuleBroken("This change has ended already.")
    log_event(
        cylinder=change.new or change.old,
        change=change,
        kind="change given up",
        by=by,
        step=change.step,
        reason=reason.strip(),
    )
    change.refresh_from_db()
