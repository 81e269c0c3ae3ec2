"""What escapes of a planned case: past masks, from chambers, leaks, fillings and waking animals."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import groupby
from math import exp

from ullage.answers.answer import WhereFrom
from ullage.answers.breathing import BreathingSystem, system_named
from ullage.answers.case_breath import Breathed, Inspired, breathed
from ullage.answers.case_planned import planned_of
from ullage.answers.case_stretches import Planned
from ullage.answers.case_things import CasePlan, Level, Stretch
from ullage.answers.exposure_things import (
    Escape,
    EscapeKind,
    Scavenging,
    WorkRoom,
    chamber_opened,
    flow_escapes,
    liquid_spilled,
    room_litres_of,
)
from ullage.answers.lines import band_together, line_of
from ullage.core.agents import vapour_in_carrier_l_min
from ullage.core.checks import not_negative, within
from ullage.reference import sourced

__all__ = ["WasteSetup", "case_escapes", "waste_questions"]

_N2O = "nitrous oxide"

#: Spilled liquid dries up in the last minutes before a case.
_FILLING_MIN = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WasteSetup:
    """How a case is done as far as waste gas goes; None where nobody has said.

    ``mask_escape_share`` is the share of the gas that passes the mask into the room. ``purged``:
    whether a chamber is blown out before it is opened. ``leak_l_min`` None leaves a leak out.
    ``animals`` breathe from the flow together. ``away``: they wake where air is led away.
    ``spilled_ml`` runs past the filler when the vaporizer is filled before the case; None leaves
    filling out.
    """

    scavenging: Scavenging | None = None
    mask_escape_share: float | None = None
    purged: bool | None = None
    leak_l_min: float | None = None
    spilled_ml: float | None = None
    hood: bool = False
    away: bool = False
    animals: int = 1

    def __post_init__(self) -> None:
        if self.mask_escape_share is not None:
            within("mask_escape_share", self.mask_escape_share, 0.0, 1.0)
        if self.leak_l_min is not None:
            within("leak_l_min", not_negative("leak_l_min", self.leak_l_min), 0.0, 50.0)
        if self.spilled_ml is not None:
            within("spilled_ml", self.spilled_ml, 0.0, 1000.0)
        within("animals", self.animals, 1, 100)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Way:
    """A case on its way to its escapes: one gas of it."""

    plan: CasePlan
    planned: Planned
    setup: WasteSetup
    gas: str
    stretches: tuple[Stretch, ...]
    fractions: tuple[float, ...]
    body: Breathed = field(repr=False)

    @property
    def start_min(self) -> float:
        """[min] after midnight, when the case begins."""
        return self.plan.case.start_min

    @property
    def litres(self) -> float:
        """Litres of room air of a litre of free gas."""
        return room_litres_of(self.plan.given.place)

    @property
    def held(self) -> tuple[float, float]:
        """Share of the waste gas that is not taken away: least and most."""
        known = self.setup.scavenging
        if known is None:
            return 0.0, 1.0
        return (0.0, 0.0) if known.holds(self.gas) else (1.0, 1.0)

    def masked(self, stretch: Stretch) -> bool:
        """True where gas may pass a mask."""
        cone = self.planned.system is BreathingSystem.NOSE_CONE
        return cone and not stretch.in_chamber


def waste_questions(
    plan: CasePlan, escapes: tuple[Escape, ...], room: WorkRoom, setup: WasteSetup
) -> tuple[str, ...]:
    """What would make the answer narrower, most important first.

    Parameters
    ----------
    plan : of the case.
    escapes : of it.
    room : as far as it is known.
    setup : how the case is done, as far as somebody has said.
    """
    vague = {one.kind for one in escapes if one.middle_l is None}
    flow = {EscapeKind.UNSCAVENGED, EscapeKind.MASK} & vague
    asked = (
        (room.question, bool(room.question)),
        ("Is the waste gas scavenged, and how?", bool(flow) and setup.scavenging is None),
        ("How large is the chamber?", _unmeasured_chamber(plan)),
        ("Is the chamber blown out before it is opened?", EscapeKind.CHAMBER in vague),
        (
            "How much of the gas passes the mask?",
            EscapeKind.MASK in vague and setup.mask_escape_share is None,
        ),
        ("How much does the machine leak?", setup.leak_l_min is None and not setup.hood),
        ("Which mixing factor has the room?", room.mixing_factor is None),
    )
    return tuple(words for words, is_open in asked if is_open)


def _unmeasured_chamber(plan: CasePlan) -> bool:
    """True where a case is in a chamber whose volume nobody gave: it cannot be counted."""
    case = plan.case
    boxed = bool(case.system) and system_named(case.system) is BreathingSystem.CHAMBER
    return boxed and case.chamber is None


def case_escapes(plan: CasePlan, setup: WasteSetup) -> tuple[Escape, ...]:
    """Everything that escapes of a case, by gas and way; empty without dials.

    Parameters
    ----------
    plan : of the case.
    setup : how it is done.
    """
    if not plan.delivered or not plan.levels:
        return ()
    planned = planned_of(plan.given)
    gases = [plan.given.agent, *([_N2O] if planned.nitrous else [])]
    found: list[Escape] = []
    for gas in gases:
        way = _way(plan, planned, setup, gas)
        if not setup.hood:
            found += [*_machine(way), *_leak(way), *_opened(way), *_filled(way)]
        found += _recovery(way)
    return tuple(one for one in found if one.high_l > 0.0)


def _way(plan: CasePlan, planned: Planned, setup: WasteSetup, gas: str) -> _Way:
    stretches = planned.asleep
    agent = plan.delivered
    if gas == _N2O:
        pairs = zip(stretches, agent, strict=True)
        delivered = tuple(one.nitrous_fraction * (1.0 - dial) for one, dial in pairs)
        inspired = [
            Inspired(start_min=one.start_min, end_min=one.end_min, fraction=share)
            for one, share in zip(stretches, delivered, strict=True)
        ]
    else:
        delivered = agent
        inspired = [
            Inspired(
                start_min=one.start_min,
                end_min=one.end_min,
                fraction=_mean_inspired(plan.levels, one, dial),
            )
            for one, dial in zip(stretches, agent, strict=True)
        ]
    return _Way(
        plan=plan,
        planned=planned,
        setup=setup,
        gas=gas,
        stretches=stretches,
        fractions=delivered,
        body=breathed(planned, gas, inspired),
    )


def _mean_inspired(levels: tuple[Level, ...], stretch: Stretch, dial: float) -> float:
    """[1] mean of what is breathed in over a stretch, by the middle of the plan."""
    inside = [
        one.inspired[1]
        for one in levels
        if stretch.start_min - 1e-9 <= one.at_min <= stretch.end_min + 1e-9
    ]
    return min(0.01 * sum(inside) / len(inside), dial) if inside else dial


def _accuracy() -> tuple[tuple[float, float], WhereFrom]:
    """Output over dial at both ends, and on whose word."""
    row = sourced("agents", "accuracy.of_setting_percent")
    return (1.0 - row.value / 100.0, 1.0 + row.value / 100.0), line_of(row, "accuracy of the dial")


def _waste_l(way: _Way, number: int) -> float:
    """[L] of room air that leaves the system in one stretch: what is added less what is kept."""
    stretch, fraction = way.stretches[number], way.fractions[number]
    if way.gas == _N2O:
        added = stretch.nitrous_oxide_l_min * stretch.minutes
    else:
        added = vapour_in_carrier_l_min(fraction, stretch.flow_l_min) * stretch.minutes
    taken = way.setup.animals * way.body.taken_l[number]
    return max(0.0, added - taken) * way.litres


def _machine(way: _Way) -> Iterator[Escape]:
    """What passes the mask, and what the scavenging does not take; one escape for each phase."""
    (low, high), where = _accuracy()
    numbered = enumerate(way.stretches)
    for phase, group in groupby(numbered, key=lambda one: (one[1].name, one[1].in_chamber)):
        pairs = [(one, _waste_l(way, number)) for number, one in group]
        whole = sum(litres for _, litres in pairs)
        if whole <= 0.0:
            continue
        first, last = pairs[0][0], pairs[-1][0]
        start = way.start_min + first.start_min
        for kind, name, (least, middle, most) in _shares(way, first):
            yield Escape(
                kind=kind,
                name=f"{name}, {phase[0].lower()}",
                agent=way.gas,
                start_min=start,
                minutes=last.end_min - first.start_min,
                low_l=least * whole * low,
                middle_l=None if middle is None else middle * whole,
                high_l=most * whole * high,
                where_from=(where,),
                pieces=tuple(
                    (way.start_min + one.start_min, one.minutes, litres / whole)
                    for one, litres in pairs
                ),
            )


type _Share = tuple[float, float | None, float]


def _shares(way: _Way, stretch: Stretch) -> Iterator[tuple[EscapeKind, str, _Share]]:
    """Ways of the waste gas of a stretch into the room, with the share that goes there.

    Together they never come to more than all of it: where neither the mask nor the scavenging is
    known, both are one way.
    """
    least, most = way.held
    known = None if least != most else least
    if not way.masked(stretch):
        if most:
            yield EscapeKind.UNSCAVENGED, "not scavenged", (least, known, most)
        return
    yield from _past_mask(way.setup.mask_escape_share, (least, known, most))


def _past_mask(passing: float | None, held: _Share) -> Iterator[tuple[EscapeKind, str, _Share]]:
    """The two ways of gas at a mask; ``held`` is the share that no scavenging takes."""
    least, known, most = held
    if passing is None and known == 1.0:
        yield EscapeKind.UNSCAVENGED, "not scavenged", (1.0, 1.0, 1.0)
    elif passing is None:
        name = "past the mask" if known == 0.0 else "past the mask or not scavenged"
        yield EscapeKind.MASK, name, (0.0, None, 1.0)
    else:
        yield EscapeKind.MASK, "past the mask", (passing, passing, passing)
        rest = 1.0 - passing
        if most and rest:
            middle = None if known is None else rest * known
            yield EscapeKind.UNSCAVENGED, "not scavenged", (rest * least, middle, rest * most)


def _leak(way: _Way) -> Iterator[Escape]:
    """The leak of the machine while agent is given."""
    leak = way.setup.leak_l_min
    if not leak:
        return
    parts = [
        # The leak counts the mixture, a flowmeter the carrier alone.
        flow_escapes(
            (EscapeKind.LEAK, "leak of the machine", way.gas),
            (leak * (1.0 - share),) * 3,
            share,
            (way.start_min + one.start_min, one.minutes),
            way.plan.given.place,
        )
        for one, share in zip(way.stretches, way.fractions, strict=True)
        if 0.0 < share < 0.9
    ]
    whole = sum(one.high_l for one in parts)
    if not whole:
        return
    yield replace(
        parts[0],
        minutes=parts[-1].end_min - parts[0].start_min,
        low_l=whole,
        middle_l=whole,
        high_l=whole,
        pieces=tuple((one.start_min, one.minutes, one.high_l / whole) for one in parts),
    )


def _opened(way: _Way) -> Iterator[Escape]:
    """The chamber, opened when the animal leaves it."""
    chamber = way.plan.case.chamber
    if chamber is None or way.gas == _N2O or not chamber.fills:
        return
    boxed = [one for one in way.stretches if one.in_chamber]
    if not boxed and way.planned.system is not BreathingSystem.CHAMBER:
        boxed = [way.stretches[0]]  # an induction in a chamber that has no phase of its own
    ends = boxed or list(way.stretches)
    first, last = ends[0].start_min, ends[-1].end_min
    held = 0.01 * _inspired_at(way.plan.levels, last)
    purge = exp(-chamber.volumes)
    swept = {True: (purge, purge), False: (1.0, 1.0), None: (purge, 1.0)}[way.setup.purged]
    for count in range(chamber.fills):
        at = first + (last - first) * (count + 1) / chamber.fills
        yield chamber_opened(way.gas, chamber.volume_l, min(held, 1.0), way.start_min + at, swept)


def _filled(way: _Way) -> Iterator[Escape]:
    """Liquid that runs past the filler in the minutes before the case."""
    if way.setup.spilled_ml and way.gas != _N2O:
        spilled = liquid_spilled(
            way.gas, way.setup.spilled_ml, way.start_min - _FILLING_MIN, _FILLING_MIN
        )
        yield replace(
            spilled.times(way.litres), note="The vaporizer is filled just before the case."
        )


def _inspired_at(levels: tuple[Level, ...], at_min: float) -> float:
    """[%] middle of what is breathed in at a minute of the case."""
    return min(levels, key=lambda one: abs(one.at_min - at_min)).inspired[1]


def _recovery(way: _Way) -> Iterator[Escape]:
    """What the animals breathe out when they are off the system."""
    if way.setup.away:
        return
    waking = sum(one.minutes for one in way.planned.stretches if _on_system(one))
    off = way.start_min + way.planned.end_min
    pieces = [_after(one, waking) for one in way.body.given_back]
    left = [(start, long, litres) for start, long, litres in pieces if long > 0.0 and litres > 0.0]
    whole = sum(litres for *_, litres in left)
    if whole <= 0.0:
        return
    amount = whole * way.setup.animals * way.litres
    last = way.plan.levels[-1].end_tidal
    share = sourced("kinetics", "model_error.amount_share")
    spread = (last[0] / last[1], last[2] / last[1]) if last[1] else (1.0, 1.0)
    low, high = band_together(amount, (1.0 - share.value, 1.0 + share.value), spread)
    start = off + left[0][0]
    yield Escape(
        kind=EscapeKind.RECOVERY,
        name="breathed out after the case",
        agent=way.gas,
        start_min=start,
        minutes=left[-1][0] + left[-1][1] - left[0][0],
        low_l=low,
        middle_l=amount,
        high_l=high,
        where_from=(
            WhereFrom(
                source="uptake_base", how_known="computed", text="Breathed out by the engine."
            ),
            line_of(share, "model error"),
        ),
        pieces=tuple((off + begin, long, litres / whole) for begin, long, litres in left),
    )


def _on_system(stretch: Stretch) -> bool:
    return stretch.planned and stretch.phase.value == "waking"


def _after(piece: tuple[float, float, float], waking: float) -> tuple[float, float, float]:
    """What is left of a stretch of breathing out after some minutes on the system."""
    start, minutes, litres = piece
    begin = max(start, waking)
    long = max(0.0, start + minutes - begin)
    return begin, long, litres * long / minutes
