"""A cylinder, its readings and its flows turned into what the estimator takes."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from ullage.answers.asked import flow_doubt
from ullage.answers.held import gauge_error_kpa, temperature_of
from ullage.answers.things import Cylinder, FlowPeriod, Place, Reading, Valve
from ullage.core.gas import litres_per_kg
from ullage.core.supply.estimate import LeakRule
from ullage.core.supply.history import Beliefs, Draw, History, Instrument, Sighting
from ullage.reference import sourced

__all__ = ["Known", "known_of", "leak_rule", "usable"]

_ROOT3 = 3.0**0.5
_OPEN = {Valve.OPEN: True, Valve.CLOSED: False, Valve.UNKNOWN: None}


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What the estimator takes: the history, and what is held likely beforehand."""

    history: History
    beliefs: Beliefs


def _believed(key: str) -> float:
    return sourced("estimator", key).value


def _sd(key: str) -> float:
    """One standard deviation of a row that gives its spread so."""
    row = sourced("estimator", key)
    return row.value - row.low if row.low is not None else 0.0


@cache
def leak_rule() -> LeakRule:
    """When a leak is reported."""
    return LeakRule(
        above_l_min=_believed("leak_reported_above_l_min"),
        chance=_believed("leak_reported_chance"),
    )


@cache
def _beliefs(by_limit: bool, band_k: float) -> Beliefs:
    """What is held likely; a temperature that nobody read also wanders more."""
    wander_k = band_k / 3.0
    return Beliefs(
        leak_share=_believed("leak_share"),
        leak_low_l_min=_believed("leak_low_l_min"),
        leak_high_l_min=_believed("leak_high_l_min"),
        late_leak_share=_believed("late_leak_share"),
        flush_share=_believed("flush_share"),
        flush_l=_believed("flush_unwritten_l"),
        flush_sd_l=_sd("flush_unwritten_l"),
        jump_share=_believed("jump_share"),
        misread_share=_believed("misread_share"),
        cold_share=_believed("cold_night_share"),
        cold_drop_k=_believed("cold_night_drop_k"),
        cold_sd_k=_sd("cold_night_drop_k"),
        night_sd_k=max(_believed("night_sd_k"), wander_k),
        warming_min=_believed("warming_min"),
        reading_sd_k=max(_believed("reading_sd_k"), wander_k),
        setting_sd_share=_believed("setting_sd_share"),
        span_sd_share=_believed("gauge_span_sd_share"),
        bend_sd_share=_believed("gauge_bend_sd_share"),
        flow_error_is_limit=by_limit,
    )


def usable(cylinder: Cylinder, readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """The readings that tell what is left, in the order of their times.

    A gauge tells nothing of a gas that is liquid inside, and a weight nothing without the tare.
    """
    liquefied, weighed = cylinder.gas.liquefied, cylinder.tare_kg is not None
    kept = [
        one
        for one in readings
        if (one.gauge_kpa is not None and not liquefied) or (one.weight_kg is not None and weighed)
    ]
    return tuple(sorted(kept, key=lambda one: one.at_min))


def _sighting(cylinder: Cylinder, reading: Reading, place: Place) -> Sighting:
    by_gauge = reading.gauge_kpa is not None and not cylinder.gas.liquefied
    inside_kg = (reading.weight_kg or 0.0) - (cylinder.tare_kg or 0.0)
    return Sighting(
        at_min=reading.at_min,
        temperature_k=temperature_of(reading, place)[0],
        gauge_kpa=reading.gauge_kpa if by_gauge else None,
        weighed_l=None if by_gauge else inside_kg * litres_per_kg(cylinder.gas),
        is_open=_OPEN[reading.valve_before],
    )


def _instrument(cylinder: Cylinder, band_k: float) -> Instrument:
    share = cylinder.water_capacity_share
    if share is None:
        share = sourced("supply", "water_capacity_share").value
    step = sourced("supply", "gauge_resolution_psi").value
    scale = sourced("supply", "gauge_full_scale_psi").value
    per_kg = litres_per_kg(cylinder.gas)
    return Instrument(
        full_scale_kpa=cylinder.full_scale_kpa,
        gauge_limit_kpa=gauge_error_kpa(cylinder),
        gauge_step_kpa=step / scale * cylinder.full_scale_kpa,
        scale_limit_l=sourced("planning", "weight_band_kg").value * per_kg,
        scale_step_l=_believed("scale_step_kg") * per_kg,
        temperature_limit_k=band_k,
        capacity_limit_share=share,
    )


def _draw(flow: FlowPeriod) -> tuple[Draw, bool]:
    """A flow with its error as one SD, and whether that error is a limit."""
    doubt = flow_doubt(flow.flow_l_min, flow.flow_sd_share)
    by_limit = doubt.flow_sd_share == 0.0 and doubt.flow_limit_share > 0.0
    error = doubt.flow_limit_share / _ROOT3 if by_limit else doubt.flow_sd_share
    draw = Draw(
        start_min=flow.start_min,
        end_min=flow.end_min,
        flow_l_min=flow.flow_l_min,
        error_share=error,
    )
    return draw, by_limit


def known_of(
    cylinder: Cylinder,
    readings: Sequence[Reading],
    flows: Sequence[FlowPeriod],
    now_min: float,
    place: Place,
) -> Known | None:
    """What the estimator takes; None where no reading tells what is left."""
    seen = usable(cylinder, readings)
    if not seen:
        return None
    band_k = max(temperature_of(one, place)[1] for one in seen)
    drawn = [_draw(one) for one in flows]
    history = History(
        gas=cylinder.gas,
        water_capacity_l=cylinder.water_capacity_l,
        ambient_kpa=place.barometric_kpa,
        sightings=tuple(_sighting(cylinder, one, place) for one in seen),
        draws=tuple(draw for draw, _ in drawn),
        now_min=max(now_min, seen[-1].at_min),
        instrument=_instrument(cylinder, band_k),
    )
    by_limit = bool(drawn) and all(limit for _, limit in drawn)
    return Known(history=history, beliefs=_beliefs(by_limit, band_k))
