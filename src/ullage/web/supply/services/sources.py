"""Sources: added, changed with the old value kept, taken out of the list."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.machines.selectors import Machine
from ullage.web.sites.selectors import Room, Site
from ullage.web.supply.models import Cylinder, CylinderState, Source, SourceEvent
from ullage.web.supply.services.queue import source_ask

__all__ = [
    "SourceFacts",
    "source_add",
    "source_duty",
    "source_edit",
    "source_restore",
    "source_retire",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceFacts:
    """What is known of a source; None where it does not apply or nobody said."""

    name: str
    kind: str
    gas: str
    room: Room | None = None
    reserve_of: Source | None = None
    flow_limit_l_min: float | None = None
    oxygen_fraction: float | None = None
    liquid_l: float | None = None
    daily_loss_share: float | None = None
    line_gauge_kpa: float | None = None
    change_over_kpa: float | None = None
    trapped_ml: float | None = None
    fall_limit_kpa: float | None = None
    fall_limit_min: float | None = None


@transaction.atomic
def source_add(
    *, site: Site, facts: SourceFacts, by: User, machines: Iterable[Machine] = ()
) -> Source:
    """Add a source and say which machines it feeds."""
    _name_free(site, facts.name)
    source = Source.objects.create(
        site=site,
        order=Source.objects.filter(site=site).count(),
        duty_bank="A" if facts.kind == "manifold" else "",
        **_values(facts),
    )
    source.machines.set(machines)
    _note(source, "added", by)
    return source


@transaction.atomic
def source_edit(
    *, source: Source, facts: SourceFacts, by: User, machines: Iterable[Machine] = ()
) -> Source:
    """Write new facts; the old ones stay in the source's log."""
    _name_free(source.site, facts.name, besides=source)
    on_it = Cylinder.objects.filter(source=source, state=CylinderState.IN_USE)
    if (facts.gas, facts.kind) != (source.gas, source.kind) and on_it.exists():
        raise RuleBroken(
            f"Cylinders are on {source}; take them off before its gas or kind is changed."
        )
    was = {name: str(getattr(source, name)) for name in _values(facts)}
    for name, value in _values(facts).items():
        setattr(source, name, value)
    # Only these: the bank on duty may have been turned by somebody else meanwhile.
    source.save(update_fields=list(was))
    fed = sorted(str(one) for one in source.machines.all())
    source.machines.set(machines)
    now = {name: str(getattr(source, name)) for name in was}
    was["machines"], now["machines"] = ", ".join(fed), ", ".join(sorted(map(str, machines)))
    changed = [name for name in now if was[name] != now[name]]
    if changed:
        _note(
            source,
            "changed",
            by,
            was={name: was[name] for name in changed},
            now={name: now[name] for name in changed},
        )
        source_ask(source=source)
    return source


def _values(facts: SourceFacts) -> dict[str, object]:
    """The facts by field; rows stay rows, so no deep copy."""
    return {name: getattr(facts, name) for name in SourceFacts.__slots__}


def _name_free(site: Site, name: str, besides: Source | None = None) -> None:
    taken = Source.objects.filter(site=site, name__iexact=name.strip(), retired_at=None)
    if besides is not None:
        taken = taken.exclude(pk=besides.pk)
    if taken.exists():
        raise RuleBroken(f"There is a source named {name.strip()} here already.")


def _note(source: Source, kind: str, by: User, **details: object) -> None:
    SourceEvent.objects.create(source=source, at=timezone.now(), kind=kind, by=by, details=details)


@transaction.atomic
def source_duty(*, source: Source, bank: str, by: User) -> Source:
    """Note which bank of a manifold gives gas now."""
    if source.kind != "manifold" or bank not in {"A", "B"}:
        raise RuleBroken("Only a manifold has a bank on duty, A or B.")
    was = source.duty_bank
    Source.objects.filter(pk=source.pk).update(duty_bank=bank)
    source.refresh_from_db()
    _note(source, "duty", by, was=was, now=bank)
    source_ask(source=source)
    return source


@transaction.atomic
def source_retire(*, source: Source, by: User) -> Source:
    """Take a source out of the list; its log and its flows stay."""
    if Cylinder.objects.filter(source=source, state=CylinderState.IN_USE).exists():
        raise RuleBroken(f"A cylinder is on {source}; take it off first.")
    if not Source.objects.filter(pk=source.pk, retired_at=None).update(retired_at=timezone.now()):
        raise RuleBroken(f"{source} was taken out of the list before.")
    source.refresh_from_db()
    _note(source, "taken out", by)
    return source


@transaction.atomic
def source_restore(*, source: Source, by: User) -> Source:
    """Undo: put a source back into the list."""
    _name_free(source.site, source.name, besides=source)
    Source.objects.filter(pk=source.pk).update(retired_at=None)
    source.refresh_from_db()
    _note(source, "put back", by)
    return source
