"""Canisters and fillings: put in, weighed, looked at, taken out; nothing is overwritten."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from ullage.answers.stock import Canister, Filling, held_g
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.machines.selectors import Machine, Part
from ullage.web.sites.selectors import Site
from ullage.web.stock.models import (
    Fitted,
    FittedKind,
    FittedNote,
    MoveKind,
    StockItem,
)
from ullage.web.stock.selectors.fitted import flow_of, grams
from ullage.web.stock.services.log import come
from ullage.web.stock.services.moves import MoveFacts, move_add

__all__ = [
    "SAID",
    "FittedFacts",
    "fitted_note",
    "fitted_note_take_back",
    "fitted_put_in",
    "fitted_said",
    "fitted_take_out",
]

#: Kind of a note -> the facts it may hold, in our own units.
SAID: Mapping[str, tuple[str, ...]] = {
    "weight": ("weight_kg",),
    "flow": ("agent", "fraction", "flow_l_min", "minutes"),
    "look": (
        "colour_share", "after_use", "inspired_share", "left_on_h", "hours_h", "liquid_ml",
        "lay_down", "nitrous_oxide",
    ),
}  # fmt: skip
#: Which notes belong to which.
_OF = {FittedKind.CANISTER: {"weight", "flow", "look"}, FittedKind.ABSORBENT: {"look"}}


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedFacts:
    """What a person says about what was put in; ``code`` was made with the form."""

    name: str
    machine: Machine | None = None
    part: Part | None = None
    item: StockItem | None = None
    start_kg: float | None = None
    limit_kg: float | None = None
    mass_kg: float | None = None
    hours_limit_h: float | None = None
    days_limit: float | None = None
    at: datetime | None = None
    code: UUID | None = None


@transaction.atomic
def fitted_put_in(*, site: Site, kind: str, facts: FittedFacts, by: User) -> Fitted:
    """Put a canister or a filling in; what was in the same place is taken out, one piece is used.

    Raises
    ------
    RuleBroken : a kind, a machine or a thing that cannot be; a time that has not come.
    """
    if facts.code is not None:
        before = Fitted.objects.filter(code=facts.code, site=site).first()
        if before is not None:
            return before
    _possible(site, kind, facts)
    at = come(facts.at)
    if facts.machine is not None:
        for old in Fitted.objects.filter(
            site=site, kind=kind, machine=facts.machine, taken_out_at=None, put_in_at__lte=at
        ):
            fitted_take_out(fitted=old, why=f"{facts.name.strip()} was put in", by=by, at=at)
    if facts.item is not None:
        used = MoveFacts(kind=MoveKind.USED, count=1, at=at, why=f"put in: {facts.name.strip()}")
        move_add(item=facts.item, facts=used, by=by)
    own = {"code": facts.code} if facts.code else {}
    return Fitted.objects.create(
        site=site,
        kind=kind,
        name=facts.name.strip(),
        machine=facts.machine,
        part=facts.part,
        item=facts.item,
        start_kg=facts.start_kg,
        limit_kg=facts.limit_kg,
        mass_kg=facts.mass_kg,
        hours_limit_h=facts.hours_limit_h,
        days_limit=facts.days_limit,
        put_in_at=at,
        put_in_by=by,
        **own,
    )


def _possible(site: Site, kind: str, facts: FittedFacts) -> None:
    """Refuse what cannot be; the answers check the numbers."""
    if kind not in FittedKind.values:
        raise RuleBroken("Only canisters and fillings are followed here.")
    if not facts.name.strip():
        raise RuleBroken("Give it a name, such as the number that stands on it.")
    for thing in (facts.machine, facts.part, facts.item):
        if thing is not None and thing.site_id != site.pk:
            raise RuleBroken(f"{thing} does not belong to {site}.")
    if facts.item is not None and facts.item.kind != kind:
        raise RuleBroken(f"{facts.item} is no {FittedKind(kind).label.lower()}.")
    if kind == FittedKind.CANISTER:
        Canister(start_g=grams(facts.start_kg), limit_g=grams(facts.limit_kg))
    else:
        Filling(
            mass_kg=facts.mass_kg, hours_limit_h=facts.hours_limit_h, days_limit=facts.days_limit
        )


@transaction.atomic
def fitted_note(
    *,
    fitted: Fitted,
    kind: str,
    facts: Mapping[str, Any],
    by: User,
    at: datetime | None = None,
    code: UUID | None = None,
) -> FittedNote:
    """Keep what was seen or what flowed; a weight below the start is kept and asked about.

    Raises
    ------
    RuleBroken : taken out already, nothing said, a time before it was put in.
    InvalidQuantity, UnknownReference : a number or an agent that cannot be.
    """
    if code is not None:
        before = FittedNote.objects.filter(code=code, fitted=fitted).first()
        if before is not None:
            return before
    if kind not in _OF[FittedKind(fitted.kind)]:
        raise RuleBroken("This is not written down of it.")
    if fitted.taken_out_at is not None:
        raise RuleBroken(f"{fitted} was taken out already.")
    kept = {name: facts[name] for name in SAID[kind] if facts.get(name) not in {None, ""}}
    if not any(value is not False for value in kept.values()):
        raise RuleBroken("Nothing was said: write at least one thing.")
    when = come(at)
    if when < fitted.put_in_at:
        raise RuleBroken("This is before it was put in; write when it happened.")
    _checked(kind, kept)
    asked = _asked(fitted, kept) if kind == "weight" else ""
    own = {"code": code} if code else {}
    return FittedNote.objects.create(
        fitted=fitted,
        kind=kind,
        facts=kept,
        at=when,
        asked=asked,
        counts=not asked,
        by=by,
        **own,
    )


def _checked(kind: str, kept: Mapping[str, Any]) -> None:
    """The things of the answers refuse what cannot be."""
    if kind == "weight":
        Canister(now_g=1000.0 * kept["weight_kg"])
    elif kind == "flow":
        missing = [name for name in SAID["flow"] if name not in kept]
        if missing:
            raise RuleBroken("Write the agent, the dial, the flow and the minutes together.")
        held_g(flow_of(kept))
    else:
        if "colour_share" in kept and "after_use" not in kept:
            raise RuleBroken("Say whether the colour was read right after use: it fades back.")
        Filling(
            colour_share=kept.get("colour_share"),
            left_on_h=kept.get("left_on_h"),
            hours_h=kept.get("hours_h"),
            liquid_ml=kept.get("liquid_ml"),
        )


def _asked(fitted: Fitted, kept: Mapping[str, Any]) -> str:
    """The question about a weight that cannot be; empty where it can."""
    if fitted.start_kg is None or kept["weight_kg"] >= fitted.start_kg:
        return ""
    less = 1000.0 * (fitted.start_kg - kept["weight_kg"])
    return (
        f"This is {less:.0f} g less than when it was new. Is it {fitted}, upright, on a scale that "
        "stood at 0?"
    )


@transaction.atomic
def fitted_said(*, note: FittedNote, is_right: bool, said: str) -> None:
    """Answer what was asked about a weight; one that is not right stays as a note only."""
    held = FittedNote.objects.select_for_update().get(pk=note.pk)
    if not held.asked or held.said:
        raise RuleBroken("Nothing is asked about this weight.")
    held.said, held.counts = said.strip() or ("right" if is_right else "not right"), is_right
    held.save(update_fields=["said", "counts"])


@transaction.atomic
def fitted_note_take_back(*, note: FittedNote, by: User) -> None:
    """Take a note back: it stays readable and counts in no sum."""
    held = FittedNote.objects.select_for_update().get(pk=note.pk)
    if held.undone_at is not None:
        raise RuleBroken("This was taken back already.")
    held.undone_at, held.undone_by = timezone.now(), by
    held.save(update_fields=["undone_at", "undone_by"])


@transaction.atomic
def fitted_take_out(*, fitted: Fitted, why: str, by: User, at: datetime | None = None) -> None:
    """Take a canister or a filling out; its notes stay.

    Raises
    ------
    RuleBroken : it was taken out already.
    """
    held = Fitted.objects.select_for_update().get(pk=fitted.pk)
    if held.taken_out_at is not None:
        raise RuleBroken(f"{held} was taken out already.")
    held.taken_out_at, held.taken_out_why, held.taken_out_by = come(at), why.strip(), by
    held.save(update_fields=["taken_out_at", "taken_out_why", "taken_out_by"])
