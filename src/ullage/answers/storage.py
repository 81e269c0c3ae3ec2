"""A place where cylinders are stored: its tally, how they stand, and what an escape comes to."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from ullage.answers.answer import Answer, Step, Verdict, View, WhereFrom
from ullage.answers.chain_links.judge import (
    NOBODY,
    Extras,
    Finding,
    fine,
    judge,
    look_again,
    stop,
)
from ullage.answers.chain_links.room_air import room_air
from ullage.answers.chain_links.rows import printed, row_view, rule
from ullage.answers.chain_links.storage import counted_l, store_tally
from ullage.answers.chain_things import Chain, RoomAir, Storage, Stored
from ullage.answers.held import shown_l
from ullage.answers.lines import line_of
from ullage.answers.things import Cylinder, Gas, Place
from ullage.answers.volumes import both_units, first_unit, in_first_unit
from ullage.answers.words import figure, minutes_text
from ullage.core.checks import each_said, not_negative, positive
from ullage.core.exposure import (
    Released,
    room_limit_min,
    room_oxygen_later_fraction,
    room_oxygen_steady_fraction,
)
from ullage.core.gas import contents_l, litres_per_kg, most_fill_kg
from ullage.core.units import POUND_KG, convert
from ullage.reference import sourced

__all__ = [
    "KEPT",
    "Kept",
    "StorageArea",
    "full_contents_l",
    "one_more_stored",
    "store_air",
    "store_kept",
    "store_leaks",
    "stored_within_code",
]

#: What is asked about a place of storage: field -> question.
KEPT: Mapping[str, str] = {
    "apart": "Do full and empty cylinders stand apart, both marked?",
    "held": "Is every cylinder held by a chain, a strap or a rack?",
    "upright": "Do all cylinders stand upright?",
    "capped": "Are the caps on, where cylinders have one?",
    "far_from_fuel": "Is nothing that burns, no oil and no fuel gas, near by or without a barrier?",
}
#: Water that weighs a pound, for the caps [L]; cylinders are filled with it to weigh it.
_POUND_OF_WATER_L = POUND_KG


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """How cylinders stand in a store, as a person saw it; None where nobody has said.

    ``largest_water_l`` is the water capacity of the largest cylinder, ``hottest_k`` the highest
    temperature of the place.
    """

    apart: bool | None = None
    held: bool | None = None
    upright: bool | None = None
    capped: bool | None = None
    far_from_fuel: bool | None = None
    largest_water_l: float | None = None
    hottest_k: float | None = None

    def __post_init__(self) -> None:
        each_said(self, positive, "largest_water_l", "hottest_k")


@dataclass(frozen=True, slots=True, kw_only=True)
class StorageArea:
    """One place of storage: what stands there, under which code, in what room.

    ``stored`` are full and part-used cylinders; ``empty`` ones are counted apart. ``enclosed``
    says whether the place has the enclosure that its code asks for.
    """

    name: str
    place: Place
    stored: tuple[Stored, ...] | None = None
    empty: int = 0
    code: str | None = None
    enclosed: bool | None = None
    room_m3: float | None = None
    changes_per_h: float | None = None

    def __post_init__(self) -> None:
        not_negative("empty", self.empty)

    @property
    def storage(self) -> Storage:
        """As a chain knows its store."""
        return Storage(stored=self.stored, code=self.code, enclosed=self.enclosed)


#: Of a liquefied gas, the highest filling density in print: the tally must not be too low.
_DENSEST = {
    Gas.NITROUS_OXIDE: "filling.n2o_uk_temperate_share",
    Gas.CARBON_DIOXIDE: "filling.co2_2400_share",
}


def full_contents_l(cylinder: Cylinder, label_l: float | None, place: Place) -> float | None:
    """[L] at 70 °F that a cylinder holds when full, for a tally; None where nobody knows.

    Parameters
    ----------
    cylinder : with its water capacity and the pressure that it is filled to.
    label_l : [L] on its label, as the place counts litres; it comes before what is worked out.
    place : whose litres the label speaks.

    >>> full = Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.7, fill_gauge_kpa=13_700.0)
    >>> round(full_contents_l(full, None, Place()))
    685
    """
    if label_l is not None:
        return label_l / shown_l(1.0, place)
    gas, water_l = cylinder.gas, cylinder.water_capacity_l
    if gas in _DENSEST:
        share = sourced("liquefied", _DENSEST[gas]).value
        return most_fill_kg(water_l, share) * litres_per_kg(gas)
    if cylinder.fill_gauge_kpa is None or gas.liquefied:
        return None
    return contents_l(gas, water_l, cylinder.fill_gauge_kpa, place.temperature_k)


def stored_within_code(area: StorageArea) -> Answer:
    """Whether what stands in store is within the code that the site follows.

    >>> full = Stored(gas=Gas.OXYGEN, contents_l=660.0, count=12)
    >>> area = StorageArea(name="Store", place=Place(), stored=(full,), code="nfpa99")
    >>> stored_within_code(area).verdict.value
    'Fine'
    """
    found = store_tally(area.storage, area.place)
    if area.stored is None:
        return found
    empties = Step(what="empty ones, kept apart", result=f"{area.empty}", note="not counted")
    return replace(found, steps=(*found.steps, empties))


def one_more_stored(area: StorageArea, more: Stored) -> Answer:
    """What one more lot of cylinders would do to the tally of a store.

    Parameters
    ----------
    area : as it stands.
    more : what would be put there, full.

    >>> full = Stored(gas=Gas.OXYGEN, contents_l=660.0, count=12)
    >>> area = StorageArea(name="Store", place=Place(), stored=(full,), code="nfpa99")
    >>> one_more_stored(area, Stored(gas=Gas.OXYGEN, contents_l=660.0)).verdict.value
    'Look again'
    """
    stored = area.stored or ()
    before_l, after_l = counted_l(stored), counted_l((*stored, more))
    after = store_tally(replace(area, stored=(*stored, more)).storage, area.place)
    said = _more_words(more, area.place)
    sentence = (
        f"{said[:1].upper()}{said[1:]} would bring the store "
        f"from {both_units(before_l, area.place)} to {both_units(after_l, area.place)}."
    )
    now = store_tally(area.storage, area.place)
    turns = f"That changes it from {now.verdict} to {after.verdict}." if now.verdict else ""
    return replace(
        after,
        question=f"What would {said} do to the store?",
        value=in_first_unit(after_l, area.place),
        unit=first_unit(area.place),
        sentence=sentence,
        views=(),
        reasons=(*((turns,) if now.verdict is not after.verdict else ()), *after.reasons),
    )


def _more_words(more: Stored, place: Place) -> str:
    each = f"{figure(shown_l(more.contents_l, place))} L of {more.gas.value.replace('_', ' ')}"
    return f"one more of {each}" if more.count == 1 else f"{more.count} more of {each} each"


def store_kept(kept: Kept, place: Place) -> Answer:
    """Whether cylinders stand as they should: held, upright, capped, apart, away from fire.

    >>> store_kept(Kept(held=False), Place()).verdict.value
    'Stop'
    """
    lowest = sourced("storage", "hottest_c")
    found = list(_kept_findings(kept, place))
    extras = Extras(
        value=float(sum(one.verdict is Verdict.FINE for one in found)),
        unit=f"of {len(found)} in order",
        when_fine="Full and empty stand apart, every one held, upright, and away from fire.",
        views=tuple(_hottest_views()),
        cautions=(f"Keep cylinders below {lowest.value:g} °C, whatever the source.",),
        rests_on=(printed("storage", "osha.handling"),),
    )
    return judge("Do the cylinders stand as they should?", found, extras)


def _kept_findings(kept: Kept, place: Place) -> Iterator[Finding]:
    yield _seen(
        kept,
        "held",
        stop(
            "A cylinder is not held; if it falls the valve can break off.",
            "Chain, strap or rack every one, full or empty.",
            rule("CP-21"),
        ),
    )
    yield _seen(
        kept,
        "far_from_fuel",
        stop(
            f"Something that burns is near: {_fuel_words(place)}.",
            "Move it or the cylinders, or put up the barrier.",
            printed("storage", "osha.fuel_ft"),
            printed("storage", "osha.barrier_ft"),
        ),
    )
    yield _seen(
        kept,
        "apart",
        look_again(
            "Full and empty cylinders stand together, or are not marked.",
            "Set the empty ones apart and mark both.",
            printed("storage", "apart"),
        ),
    )
    yield _seen(
        kept,
        "upright",
        look_again(
            "A cylinder lies.", "Stand it upright and hold it.", printed("storage", "secured.chain")
        ),
    )
    yield from _caps(kept)
    yield from _heat(kept)


def _seen(kept: Kept, name: str, wrong: Finding) -> Finding:
    found = getattr(kept, name)
    if found is None:
        return Finding(verdict=Verdict.NOT_YET, says=NOBODY, asks=KEPT[name])
    return fine(f"Seen: {KEPT[name][:-1].lower()}: yes.", *wrong.rests_on) if found else wrong


def _fuel_words(place: Place) -> str:
    far, high = sourced("storage", "osha.fuel_ft"), sourced("storage", "osha.barrier_ft")
    far_m, high_m = (convert(one.value, "ft", "length", "m") for one in (far, high))
    if first_unit(place) == "cu ft":
        return f"{far.value:g} ft between, or a barrier {high.value:g} ft high that stops fire"
    return f"{figure(far_m)} m between, or a barrier {figure(high_m)} m high that stops fire"


def _caps(kept: Kept) -> Iterator[Finding]:
    limit = sourced("storage", "secured.cap_lb")
    limit_l = limit.value * _POUND_OF_WATER_L
    said = f"a cap is asked for over {limit.value:g} lb of water, {figure(limit_l)} L"
    if kept.largest_water_l is not None and kept.largest_water_l <= limit_l:
        yield fine(f"No cylinder here is so large: {said}.", printed("storage", "secured.cap_lb"))
        return
    yield _seen(
        kept,
        "capped",
        look_again(
            f"A cap is off: {said}.",
            "Put the caps on before anything is moved.",
            printed("storage", "secured.cap_lb"),
        ),
    )


def _heat(kept: Kept) -> Iterator[Finding]:
    if kept.hottest_k is None:
        return
    limit = sourced("storage", "hottest_c")
    found_c = convert(kept.hottest_k, "K", "temperature", "°C")
    if found_c > limit.value:
        yield stop(
            f"It gets {figure(found_c)} °C here; the lowest printed limit is {limit.value:g} °C.",
            "Move the cylinders to a cooler place.",
            printed("storage", "hottest_c"),
        )
    else:
        yield fine(f"It gets no warmer than {figure(found_c)} °C.", printed("storage", "hottest_c"))


#: The printed limits of warmth, and how each is told.
_HOTTEST = (
    ("Lowest in print", "hottest_c"),
    ("125 °F, one university", "hottest_us_c"),
    ("130 °F", "hottest_other_c"),
)


def _hottest_views() -> Iterator[View]:
    for label, key in _HOTTEST:
        row = sourced("storage", key)
        yield row_view(label, row, f"{row.value:g} °C", chosen=key == "hottest_c")


def store_air(area: StorageArea, largest: Stored) -> Answer:
    """Oxygen in the room when the content of one cylinder escapes there.

    Parameters
    ----------
    area : with the volume of its room.
    largest : the cylinder that escapes; only its own content counts.

    >>> area = StorageArea(name="Store", place=Place(), room_m3=30.0)
    >>> store_air(area, Stored(gas=Gas.OXYGEN, contents_l=6900.0)).verdict.value
    'Look again'
    """
    chain = Chain(
        gas=largest.gas,
        place=area.place,
        room_air=RoomAir(
            volume_m3=area.room_m3,
            changes_per_h=area.changes_per_h,
            escaping_l=largest.contents_l,
        ),
    )
    return room_air(chain)


def store_leaks(area: StorageArea, gas: Gas, leak_l_min: float, minutes: float = 720.0) -> Answer:
    """Oxygen in the room beside a leak: what it comes to, and how soon without ventilation.

    Parameters
    ----------
    area : with the volume of its room, and its air changes where they are known.
    gas : what leaks.
    leak_l_min : [L/min] at the pressure and warmth of the room, above 0.
    minutes : [min] for which nobody notices, above 0; a night unless said.

    Raises
    ------
    InvalidQuantity : a leak or a time not above 0.

    >>> area = StorageArea(name="Store", place=Place(), room_m3=30.0, changes_per_h=2.0)
    >>> store_leaks(area, Gas.OXYGEN, 10.0).number_text
    '21.7 % O₂'
    """
    positive("leak_l_min", leak_l_min)
    positive("minutes", minutes)
    question = f"If {figure(leak_l_min)} L/min leak, what becomes of the air in the room?"
    if area.room_m3 is None:
        asks = "How large is the room?"
        open_ = Finding(verdict=Verdict.NOT_YET, says=NOBODY, asks=asks)
        return judge(question, [open_])
    kind = Released.OXYGEN if gas is Gas.OXYGEN else Released.INERT
    leak = _Leak(gas=gas, kind=kind, l_min=leak_l_min, room_m3=area.room_m3)
    share = leak.comes_to(area.changes_per_h, minutes)
    still = leak.comes_to(None, minutes)
    extras = Extras(
        value=100.0 * share,
        low=100.0 * min(share, still),
        high=100.0 * max(share, still),
        unit="% O₂",
        covers="from the air changes of the room to none at all",
        steps=tuple(leak.steps(area.changes_per_h, minutes, still)),
        assumptions=("The air of the room is well mixed; beside the leak it is much worse.",),
        rests_on=(_BALANCE,),
    )
    return judge(question, [leak.judged(share, area.changes_per_h)], extras)


_BALANCE = WhereFrom(
    source="supply_S63",
    how_known="computed",
    text="Well-mixed balance of a room with a steady leak.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Leak:
    """A leak into one room."""

    gas: Gas
    kind: Released
    l_min: float
    room_m3: float

    def comes_to(self, changes_per_h: float | None, minutes: float) -> float:
        """Oxygen [1] in the end with ventilation; after some minutes without."""
        if self.gas is Gas.AIR:
            return sourced("room_oxygen", "air_share").value
        if changes_per_h:
            return room_oxygen_steady_fraction(self.room_m3, changes_per_h, self.l_min, self.kind)
        return room_oxygen_later_fraction(self.room_m3, 0.0, self.l_min, minutes, self.kind)

    def judged(self, share: float, changes_per_h: float | None) -> Finding:
        """What a share of oxygen is, in words."""
        rich, poor = (sourced("room_oxygen", f"{one}_share") for one in ("enriched", "deficient"))
        said = f"The room would come to {100 * share:.1f} % oxygen"
        if rich.value >= share >= poor.value:
            doubt = "" if changes_per_h else "; nobody has said how often its air is renewed"
            return fine(f"{said}{doubt}.", line_of(rich), line_of(poor))
        word = "enriched, and everything burns faster" if share > rich.value else "too little"
        row = rich if share > rich.value else poor
        todo = "Ventilate the room, find the leak, and keep flames and sparks away."
        return look_again(f"{said}: {word}.", todo, line_of(row))

    def steps(self, changes_per_h: float | None, minutes: float, still: float) -> Iterator[Step]:
        """The working, line by line."""
        if changes_per_h:
            result = f"{figure(changes_per_h)} an hour"
            yield Step(what="air changes", result=result)
        yield Step(
            what=f"after {minutes_text(minutes)} without ventilation", result=f"{100 * still:.1f} %"
        )
        if self.gas is not Gas.AIR:
            key = "enriched_share" if self.kind is Released.OXYGEN else "deficient_share"
            limit = sourced("room_oxygen", key)
            soon = room_limit_min(self.room_m3, self.l_min, limit.value, self.kind)
            yield Step(
                what=f"without ventilation at {100 * limit.value:g} % after",
                result=minutes_text(soon),
            )
