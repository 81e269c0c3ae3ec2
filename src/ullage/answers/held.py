"""What a cylinder, its reading, its place and a policy mean in numbers, and in words.

Shared by every answer about a cylinder, so that the same reading means the same everywhere.
"""

from dataclasses import dataclass
from math import isfinite

from ullage.answers.answer import WhereFrom
from ullage.answers.things import Cylinder, Place, Reading, ReservePolicy
from ullage.answers.words import figure
from ullage.core.checks import within
from ullage.core.errors import InvalidQuantity, RuleBroken
from ullage.core.gas import F70, volume_at_condition_l
from ullage.core.supply import CylinderState, Doubt, ReserveRule
from ullage.core.units import celsius, convert
from ullage.reference import Sourced, sourced

__all__ = [
    "HIGHEST_GAUGE_KPA",
    "Policy",
    "doubt_of",
    "gauge_error_kpa",
    "known_as",
    "policy_of",
    "pressure_text",
    "refuse_impossible",
    "shown_l",
    "state_of",
    "temperature_of",
    "temperature_text",
]

#: No medical cylinder is tested to a working reading above this.
HIGHEST_GAUGE_KPA = 31_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Policy:
    """What is kept back, as numbers, as words, and where it comes from."""

    rule: ReserveRule
    begin_kpa: float
    words: str
    where_from: tuple[WhereFrom, ...]
    assumption: str = ""


def known_as(row: Sourced, text: str) -> WhereFrom:
    """A sourced value as a line of where-from."""
    return WhereFrom(source=row.source, how_known=row.how_known.value, text=text)


def pressure_text(gauge_kpa: float, place: Place) -> str:
    """A pressure in the unit of the place's gauges.

    >>> pressure_text(7100.0, Place())
    '71 bar'
    """
    value = convert(gauge_kpa, "kPa", "pressure", place.pressure_unit)
    shown = float(round(value)) if isfinite(value) and abs(value) >= 10 else value
    return f"{figure(shown)} {place.pressure_unit}"


def temperature_of(reading: Reading, place: Place) -> tuple[float, float]:
    """[K] temperature of the gas and how far it may be out either way."""
    if reading.temperature_k is not None:
        return reading.temperature_k, sourced("supply", "temperature_read_band_k").value
    return place.temperature_k, place.temperature_band_k


def temperature_text(reading: Reading, place: Place) -> str:
    """The temperature with its band, and whether anybody gave it.

    >>> temperature_text(Reading(at_min=0), Place())
    '20 ± 5 °C (assumed)'
    """
    middle_k, band_k = temperature_of(reading, place)
    given = place.temperature_given or reading.temperature_k is not None
    return f"{celsius(middle_k):.4g} ± {band_k:g} °C{'' if given else ' (assumed)'}"


def gauge_error_kpa(cylinder: Cylinder) -> float:
    """[kPa] how far the gauge may be out either way."""
    share = cylinder.gauge_error_share
    if share is None:
        share = sourced("supply", "gauge_error_share").value
    return share * cylinder.full_scale_kpa


def refuse_impossible(cylinder: Cylinder, reading: Reading, place: Place) -> None:
    """Refuse a reading that no such cylinder can show.

    Raises
    ------
    RuleBroken : a gauge below 0, above the test pressure or past its scale, a weight below the
        tare.
    InvalidQuantity : a temperature at which nobody works.

    >>> from ullage.core.gas import Gas
    >>> oxygen = Cylinder(gas=Gas.OXYGEN, water_capacity_l=4.76, test_pressure_kpa=22_750.0)
    >>> refuse_impossible(oxygen, Reading(at_min=0, gauge_kpa=13_100.0), Place())
    """
    if reading.temperature_k is not None:
        within("temperature_k", reading.temperature_k, 243.15, 338.15)
    if reading.gauge_kpa is not None:
        _refuse_gauge(cylinder, reading.gauge_kpa, place)
    least_kg = cylinder.tare_kg or 0.0
    if reading.weight_kg is not None and not reading.weight_kg >= least_kg:
        raise RuleBroken(
            f"The cylinder weighs {reading.weight_kg:g} kg, less than its tare of {least_kg:g} kg."
            " Read both again."
        )


def _refuse_gauge(cylinder: Cylinder, gauge_kpa: float, place: Place) -> None:
    said = f"The gauge reads {pressure_text(gauge_kpa, place)}"
    if not gauge_kpa >= 0:
        raise RuleBroken(f"{said}; a gauge reads 0 or more.")
    most_kpa = min(HIGHEST_GAUGE_KPA, cylinder.test_pressure_kpa or HIGHEST_GAUGE_KPA)
    if gauge_kpa > most_kpa:
        as_psi_kpa = convert(
            convert(gauge_kpa, "kPa", "pressure", place.pressure_unit), "psi", "pressure"
        )
        slip = ""
        if place.pressure_unit != "psi" and as_psi_kpa <= most_kpa and gauge_kpa > 3 * most_kpa:
            slip = f" If it was psi, that is {pressure_text(as_psi_kpa, place)}."
        raise RuleBroken(
            f"{said}; no more than {pressure_text(most_kpa, place)} is allowed here,"
            f" the pressure such a cylinder is tested to.{slip}"
        )
    if gauge_kpa > cylinder.full_scale_kpa * 1.001:
        raise RuleBroken(
            f"{said}, past the end of its scale at"
            f" {pressure_text(cylinder.full_scale_kpa, place)}. Give the scale, or read again."
        )


def state_of(cylinder: Cylinder, reading: Reading, place: Place, count: int = 1) -> CylinderState:
    """The numbers of a cylinder that is read by its gauge."""
    refuse_impossible(cylinder, reading, place)
    if reading.gauge_kpa is None:
        raise InvalidQuantity("gauge_kpa", float("nan"), "read from the gauge")
    return CylinderState(
        gas=cylinder.gas,
        water_capacity_l=cylinder.water_capacity_l,
        gauge_kpa=reading.gauge_kpa,
        temperature_k=temperature_of(reading, place)[0],
        ambient_kpa=place.barometric_kpa,
        count=count,
    )


def doubt_of(cylinder: Cylinder, reading: Reading, place: Place) -> Doubt:
    """How far the numbers of a cylinder may be out; the flow is not among them."""
    share = cylinder.water_capacity_share
    if share is None:
        share = sourced("supply", "water_capacity_share").value
    return Doubt(
        gauge_kpa=gauge_error_kpa(cylinder),
        temperature_k=temperature_of(reading, place)[1],
        water_share=share,
    )


def shown_l(litres: float, place: Place) -> float:
    """[L] inside litres (70 °F) as the place counts them."""
    return volume_at_condition_l(litres, F70, place.condition)


def policy_of(policy: ReservePolicy, place: Place) -> Policy:
    """A site's reserve policy, or the proposal where the site has none.

    >>> policy_of(ReservePolicy(minutes=20), Place()).words
    'gas for 20 min of the whole demand'
    >>> policy_of(ReservePolicy(), Place(pressure_unit="psi")).words
    'the larger of 200 psi and gas for 15 min of the whole demand'
    """
    begin = sourced("supply", "begin_psi")
    begin_kpa = begin.inside("pressure") if policy.begin_kpa is None else policy.begin_kpa
    if not policy.is_proposal:
        rule = ReserveRule(
            pressure_kpa=policy.pressure_kpa or 0.0,
            volume_l=policy.volume_l or 0.0,
            minutes=policy.minutes or 0.0,
        )
        words = _rule_words(rule, place)
        site = WhereFrom(source="site_rule", how_known="site", text=f"Kept back: {words}.")
        return Policy(rule=rule, begin_kpa=begin_kpa, words=words, where_from=(site,))
    pressure, minutes = (sourced("supply", f"reserve_proposal_{one}") for one in ("psi", "min"))
    rule = ReserveRule(pressure_kpa=pressure.inside("pressure"), minutes=minutes.value)
    words = _rule_words(rule, place)
    return Policy(
        rule=rule,
        begin_kpa=begin_kpa,
        words=words,
        where_from=(known_as(pressure, f"Kept back, a proposal: {words}."),),
        assumption=f"No reserve rule is set: {words} is proposed and kept back.",
    )


def _rule_words(rule: ReserveRule, place: Place) -> str:
    parts = []
    if rule.pressure_kpa:
        parts.append(pressure_text(rule.pressure_kpa, place))
    if rule.volume_l:
        parts.append(f"{figure(shown_l(rule.volume_l, place))} L")
    if rule.minutes:
        parts.append(f"gas for {rule.minutes:g} min of the whole demand")
    if not parts:
        return "nothing"
    largest = {1: "", 2: "the larger of "}.get(len(parts), "the largest of ")
    return largest + " and ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)
