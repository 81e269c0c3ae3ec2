"""A reading that is possible but unlikely is asked about, then kept as it was typed."""

from collections.abc import Sequence
from dataclasses import dataclass

from ullage.answers.answer import Answer, Verdict, WhereFrom
from ullage.answers.held import gauge_error_kpa, refuse_impossible, temperature_of
from ullage.answers.history_parts import gauge_text
from ullage.answers.things import Cylinder, Place, Reading
from ullage.answers.words import figure
from ullage.core.checks import within
from ullage.core.errors import InvalidQuantity
from ullage.core.units import BAR_KPA, POUND_KG, PSI_KPA
from ullage.reference import sourced

__all__ = ["reading_asked"]

#: Below this share of what stood before, a slip is likelier than use.
_FAR_BELOW = 0.35
#: A slip undone must land within this share of what stood before.
_NEAR = (0.6, 1.05)
_BAR_PSI = BAR_KPA / PSI_KPA


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pair:
    """A number just typed, the one before it, and how far apart the same thing may be read."""

    now: float
    before: float
    error: float
    words_now: str
    words_before: str
    slips: tuple[tuple[float, str], ...]


def reading_asked(
    cylinder: Cylinder,
    new_reading: Reading,
    previous_readings: Sequence[Reading],
    place: Place,
) -> Answer | None:
    """What to ask about a reading before it is kept; None where there is nothing to ask.

    Parameters
    ----------
    cylinder : what was read.
    new_reading : as typed.
    previous_readings : those kept so far, in any order.
    place : the room.

    Returns
    -------
    A question and why it is asked. Whatever the reply, the reading is kept as typed or corrected.

    Raises
    ------
    InvalidQuantity : no number at all, a time or a number that is none.
    RuleBroken : a gauge below 0, above the test pressure or past its scale.

    >>> from ullage.core.gas import Gas
    >>> alder = Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.7)
    >>> before = [Reading(at_min=0.0, gauge_kpa=7100.0)]
    >>> reading_asked(alder, Reading(at_min=30.0, gauge_kpa=710.0), before, Place()).settles
    'Is it 71 bar, or truly 7 bar?'
    """
    _refuse(cylinder, new_reading, place)
    before = [one for one in previous_readings if one.at_min <= new_reading.at_min]
    pair = _pair(cylinder, new_reading, before, place)
    if pair is not None and (asked := _unlikely(pair)) is not None:
        return asked
    if len(before) < len(previous_readings):
        return _late(new_reading)
    return None


def _refuse(cylinder: Cylinder, reading: Reading, place: Place) -> None:
    within("at_min", reading.at_min, -1e9, 1e9)
    if reading.gauge_kpa is None and reading.weight_kg is None:
        raise InvalidQuantity("reading", float("nan"), "a gauge pressure or a weight")
    refuse_impossible(cylinder, reading, place)


def _pair(
    cylinder: Cylinder, new: Reading, before: Sequence[Reading], place: Place
) -> _Pair | None:
    """The number and the newest one of its kind before it, or the fill of a full cylinder."""
    if new.gauge_kpa is not None:
        return _gauge_pair(cylinder, new, before, place)
    weighed = [one for one in before if one.weight_kg is not None]
    if not weighed or new.weight_kg is None:
        return None
    last = max(weighed, key=lambda one: one.at_min)
    old_kg = last.weight_kg or 0.0
    return _Pair(
        now=new.weight_kg,
        before=old_kg,
        error=2.0 * sourced("planning", "weight_band_kg").value,
        words_now=f"{figure(new.weight_kg)} kg",
        words_before=f"{figure(old_kg)} kg",
        slips=tuple(
            (factor, f"{figure(new.weight_kg * factor)} kg")
            for factor in (10.0, 0.1, POUND_KG, 1.0 / POUND_KG)
        ),
    )


def _gauge_pair(
    cylinder: Cylinder, new: Reading, before: Sequence[Reading], place: Place
) -> _Pair | None:
    now_kpa = new.gauge_kpa or 0.0
    read = [one for one in before if one.gauge_kpa is not None]
    if read:
        last = max(read, key=lambda one: one.at_min)
        old_kpa, old = last.gauge_kpa or 0.0, last
    elif cylinder.fill_gauge_kpa is not None and not cylinder.gas.liquefied:
        # A new cylinder may come a tenth above its fill.
        old_kpa, old = 1.1 * cylinder.fill_gauge_kpa, new
    else:
        return None
    return _Pair(
        now=now_kpa,
        before=old_kpa,
        error=_error_kpa(cylinder, old, new, place),
        words_now=gauge_text(now_kpa, place),
        words_before=gauge_text(old_kpa, place),
        slips=tuple(
            (factor, gauge_text(now_kpa * factor, place))
            for factor in (_BAR_PSI, 1.0 / _BAR_PSI, 10.0, 0.1)
        ),
    )


def _error_kpa(cylinder: Cylinder, old: Reading, new: Reading, place: Place) -> float:
    """[kPa] how much more the same content may show: the gauge's error, and a warmer room."""
    (old_k, old_band_k), (new_k, new_band_k) = (temperature_of(one, place) for one in (old, new))
    warmer_k = max(0.0, new_k - old_k) + old_band_k + new_band_k
    share = warmer_k / old_k * 1.15  # a real gas gains a little more than an ideal one
    return gauge_error_kpa(cylinder) + share * (old.gauge_kpa or 0.0)


def _unlikely(pair: _Pair) -> Answer | None:
    rises = pair.now > pair.before + pair.error
    falls_far = pair.now < _FAR_BELOW * pair.before - pair.error
    if not rises and not falls_far:
        return None
    low, high = (share * pair.before for share in _NEAR)
    meant = [
        (abs(pair.now * factor - pair.before), words)
        for factor, words in pair.slips
        if low <= pair.now * factor <= high
    ]
    if meant:
        return _slip(pair, min(meant)[1])
    return _rise(pair) if rises else None


def _slip(pair: _Pair, meant: str) -> Answer:
    return _question(
        settles=f"Is it {meant}, or truly {pair.words_now}?",
        sentence=f"{pair.words_now} does not follow from {pair.words_before} before.",
        reason="A slip of ten, or one unit read as another, would explain it.",
    )


def _rise(pair: _Pair) -> Answer:
    return _question(
        settles="Another cylinder, or a warmer room?",
        sentence=f"{pair.words_now} is more than the {pair.words_before} before.",
        reason="Gas does not come back: more than the errors of gauge and temperature.",
    )


def _late(reading: Reading) -> Answer:
    return _question(
        settles="Was it taken before the readings that are kept already?",
        sentence="An older time than the last reading: it is kept as a late reading.",
        reason=f"Its time is minute {figure(reading.at_min)}, before the newest one.",
    )


def _question(*, settles: str, sentence: str, reason: str) -> Answer:
    return Answer(
        question="Is this what you read?",
        unit="kPa",
        sentence=sentence[0].upper() + sentence[1:],
        reasons=(reason,),
        where_from=(
            WhereFrom(source="reading", how_known="seen", text="The readings of this cylinder."),
        ),
        settles=settles,
        verdict=Verdict.LOOK_AGAIN,
        todo="Read it again; if it stands, keep it as it is.",
    )
