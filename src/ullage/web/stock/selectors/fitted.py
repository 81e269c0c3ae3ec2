"""Canisters and fillings in use: what was seen, what flowed by the cases, and what it comes to."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.utils import timezone

from ullage.answers import Answer, Verdict
from ullage.answers.agent_use import Delivery
from ullage.answers.agents import LIQUIDS
from ullage.answers.chain_links.judge import GRAVITY
from ullage.answers.readiness import Remark
from ullage.answers.stock import (
    Canister,
    Filling,
    canister_full,
    case_load_l,
    filling_due,
    takes_absorbent,
)
from ullage.core.errors import UllageError
from ullage.web.days.selectors import CaseState, PlannedCase
from ullage.web.machines.selectors import Machine
from ullage.web.sites.selectors import Site
from ullage.web.stock.models import Fitted, FittedKind, FittedNote, StockItem
from ullage.web.stock.selectors.use import flows_of

__all__ = [
    "FittedRow",
    "canister_rows_waiting",
    "fitted_items",
    "fitted_page",
    "fitted_rows",
    "fitted_since",
    "fitted_worn",
    "flow_of",
    "grams",
    "remarks_on",
]

_MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedRow:
    """One canister or filling: its notes, the latest first, its answer, what is asked of it."""

    fitted: Fitted
    answer: Answer
    notes: tuple[FittedNote, ...]
    cases: int

    @property
    def asked(self) -> FittedNote | None:
        """A weight that is asked about and that nobody has spoken on."""
        return next((one for one in self.notes if one.asked and not one.said), None)

    @property
    def last_weight(self) -> FittedNote | None:
        """The latest weight that counts."""
        return next((one for one in self.notes if one.kind == "weight" and one.counts), None)


def fitted_rows(site: Site, now: datetime | None = None) -> list[FittedRow]:
    """What is in use at a site, the gravest first; a constant number of queries."""
    found = Fitted.objects.filter(site=site, taken_out_at=None)
    rows = _rows(list(found.select_related("machine", "part", "item")), now or timezone.now())
    return sorted(rows, key=lambda row: GRAVITY.index(row.answer.verdict or Verdict.FINE))


def fitted_worn(site: Site, now: datetime | None = None) -> list[FittedRow]:
    """What must not be used any longer."""
    return [row for row in fitted_rows(site, now) if row.answer.verdict is Verdict.STOP]


def fitted_page(fitted: Fitted, now: datetime | None = None) -> FittedRow:
    """One of them, with every note, also those that were taken back."""
    at = fitted.taken_out_at or now or timezone.now()
    row = _rows([fitted], at)[0]
    notes = FittedNote.objects.filter(fitted=fitted).select_related("by", "undone_by")
    return FittedRow(fitted=fitted, answer=row.answer, notes=tuple(notes), cases=row.cases)


def fitted_since(site: Site, count: int = 20) -> list[Fitted]:
    """What was taken out last."""
    rows = Fitted.objects.filter(site=site).exclude(taken_out_at=None)
    found = rows.select_related("machine", "taken_out_by").order_by("-taken_out_at")
    return list(found[:count])


def fitted_items(site: Site, kind: str) -> list[StockItem]:
    """The things in store that a new one may be taken from."""
    return list(StockItem.objects.filter(site=site, kind=kind, retired_at=None))


def canister_rows_waiting(site: Site) -> int:
    """How many weights are asked about."""
    return (
        FittedNote.objects.filter(
            fitted__site=site, fitted__taken_out_at=None, said="", undone_at=None
        )
        .exclude(asked="")
        .count()
    )


def _rows(fitted: Sequence[Fitted], now: datetime) -> list[FittedRow]:
    notes: dict[int, list[FittedNote]] = {}
    rows = FittedNote.objects.filter(fitted__in=fitted, undone_at=None).select_related("by")
    for note in rows:
        notes.setdefault(note.fitted_id, []).append(note)
    cases = _cases(fitted, now)
    return [
        _row(one, notes.get(one.pk, []), _since(cases.get(one.machine_id or 0, []), one), now)
        for one in fitted
    ]


def _cases(fitted: Sequence[Fitted], now: datetime) -> dict[int, list[PlannedCase]]:
    """Cases that ran on their machines since the first of them was put in."""
    machines = {one.machine_id for one in fitted if one.machine_id is not None}
    if not machines:
        return {}
    since = min(one.put_in_at for one in fitted)
    rows = PlannedCase.objects.filter(
        machine__in=machines,
        state__in=[CaseState.RUNNING, CaseState.DONE],
        began_at__gte=since,
        began_at__lte=now,
    ).select_related("machine")
    found: dict[int, list[PlannedCase]] = {}
    for case in rows:
        found.setdefault(case.machine_id, []).append(case)
    return found


def _since(cases: Iterable[PlannedCase], fitted: Fitted) -> list[PlannedCase]:
    return [one for one in cases if one.began_at and one.began_at >= fitted.put_in_at]


def _row(
    fitted: Fitted, notes: list[FittedNote], cases: list[PlannedCase], now: datetime
) -> FittedRow:
    work = _canister if fitted.kind == FittedKind.CANISTER else _filling
    answer = work(fitted, [one for one in notes if one.counts], cases, now)
    return FittedRow(fitted=fitted, answer=answer, notes=tuple(notes), cases=len(cases))


def _stretches(case: PlannedCase, now: datetime) -> list[tuple[float, float]]:
    """Minutes and flows of a case as long as it really ran."""
    given = flows_of(case.phases)
    planned = sum(minutes for minutes, _ in given)
    ran = max(0.0, ((case.ended_at or now) - (case.began_at or now)) / _MINUTE)
    share = ran / planned if planned else 0.0
    return [(minutes * share, flow) for minutes, flow in given]


def _latest(notes: Iterable[FittedNote], name: str) -> Any:
    """The last thing that was said under a name; None where nobody has."""
    return next((one.facts[name] for one in notes if name in one.facts), None)


def _canister(
    fitted: Fitted, notes: list[FittedNote], cases: list[PlannedCase], now: datetime
) -> Answer:
    passed = [flow_of(one.facts) for one in notes if one.kind == "flow"]
    for case in cases:
        passed += _passed(case, now)
    minutes = sum(one.minutes for one in passed if one is not None)
    minutes += sum(
        sum(each for each, _ in _stretches(case, now)) for case in cases if not _dial(case)
    )
    weight = _latest(notes, "weight_kg")
    known: dict[str, Any] = {
        "start_g": grams(fitted.start_kg),
        "now_g": grams(weight),
        "limit_g": grams(fitted.limit_kg),
        "nitrous_oxide": bool(_latest(notes, "nitrous_oxide")) or _with_nitrous(cases),
        "lay_down": bool(_latest(notes, "lay_down")),
    }
    hours = minutes / 60.0 if passed or cases else _latest(notes, "hours_h")
    return canister_full(Canister(passed=tuple(passed), hours_h=hours, **known))


def grams(kg: float | None) -> float | None:
    """[g] of a weight that people keep in kilograms."""
    return None if kg is None else 1000.0 * kg


def flow_of(kept: Mapping[str, Any]) -> Delivery:
    """What flowed, as the answers take it."""
    return Delivery(
        agent=kept["agent"],
        fraction=kept["fraction"],
        fresh_gas_l_min=kept["flow_l_min"],
        minutes=kept["minutes"],
    )


def _dial(case: PlannedCase) -> float | None:
    dial = case.planned.get("dial_fraction") if case.agent in LIQUIDS else None
    return dial if isinstance(dial, (int, float)) else None


def _passed(case: PlannedCase, now: datetime) -> list[Delivery]:
    """What flowed to the canister in a case; nothing where its plan has no agent or no dial."""
    dial, found = _dial(case), []
    if dial is None:
        return []
    for minutes, flow in _stretches(case, now):
        if minutes > 0.0 and flow > 0.0:
            try:
                found.append(
                    Delivery(agent=case.agent, fraction=dial, fresh_gas_l_min=flow, minutes=minutes)
                )
            except UllageError:
                continue
    return found


def _with_nitrous(cases: Iterable[PlannedCase]) -> bool:
    return any(phase.get("nitrous_oxide_l_min") for case in cases for phase in case.phases)


def _filling(
    fitted: Fitted, notes: list[FittedNote], cases: list[PlannedCase], now: datetime
) -> Answer:
    loads = []
    minutes = 0.0
    for case in cases:
        if not takes_absorbent(case.system or case.machine.system):
            continue
        stretches = _stretches(case, now)
        minutes += sum(each for each, _ in stretches)
        load_l = case_load_l(case.species, case.weight_kg, stretches)
        loads += [load_l] if load_l is not None else []
    hours = minutes / 60.0 if minutes else _latest(notes, "hours_h")
    left_on = [one.facts["left_on_h"] for one in notes if "left_on_h" in one.facts]
    return filling_due(
        Filling(
            mass_kg=fitted.mass_kg,
            load_l=sum(loads) if loads else None,
            hours_h=hours,
            open_days=max(0.0, (now - fitted.put_in_at) / timedelta(days=1)),
            colour_share=_latest(notes, "colour_share"),
            seen_after_use=_latest(notes, "after_use"),
            inspired_share=_latest(notes, "inspired_share"),
            liquid_ml=_latest(notes, "liquid_ml"),
            left_on_h=max(left_on, default=None),
            hours_limit_h=fitted.hours_limit_h,
            days_limit=fitted.days_limit,
        )
    )


def remarks_on(machines: Sequence[Machine], now: datetime) -> dict[int, list[Remark]]:
    """What canisters and fillings say on the readiness of machines: only what is to be changed."""
    found: dict[int, list[Remark]] = {}
    fitted = Fitted.objects.filter(machine__in=list(machines), taken_out_at=None)
    for row in _rows(list(fitted.select_related("machine")), now):
        if row.answer.verdict is not Verdict.STOP or row.fitted.machine_id is None:
            continue
        remark = Remark(
            about=row.fitted.name,
            verdict=Verdict.LOOK_AGAIN,
            sentence=f"{row.fitted}: {row.answer.sentence}",
            todo=row.answer.todo,
        )
        found.setdefault(row.fitted.machine_id, []).append(remark)
    return found
