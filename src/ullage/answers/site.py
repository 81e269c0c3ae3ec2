"""What the settings of a site come to: its air pressure, and what it keeps back."""

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.things import ReservePolicy
from ullage.answers.words import figure
from ullage.core.units import KINDS, PSI_KPA, STANDARD_ATMOSPHERE_KPA
from ullage.reference import Sourced, sourced

__all__ = ["site_air_pressure", "site_reserve"]

_HPA_PER_KPA = 1.0 / KINDS["pressure"]["hPa"]
_AIR = "What is the air pressure here?"
_KEPT = "What is kept back in each cylinder?"
_WHY_KEPT = "Every clock time counts to what is kept back, not to an empty cylinder."


def site_air_pressure(
    *, elevation_m: float | None = None, barometric_kpa: float | None = None
) -> Answer:
    """The air pressure of a site: read at a barometer, or from its height above the sea.

    Parameters
    ----------
    elevation_m : [m] above mean sea level, -450 to 5500; None where nobody has said.
    barometric_kpa : [kPa] absolute, as read here and not reduced to sea level; None if not read.

    Returns
    -------
    [hPa] with the band that the weather leaves; without either, the question that settles it.

    Raises
    ------
    InvalidQuantity : an elevation that no standard atmosphere covers.

    >>> site_air_pressure(elevation_m=1900.0).text
    '805 hPa (775 to 835 hPa)'
    """
    if barometric_kpa is not None:
        return _air_read(barometric_kpa, elevation_m)
    if elevation_m is None:
        return _air_unknown()
    from ullage.core.gas import standard_atmosphere_kpa

    found, weather = standard_atmosphere_kpa(elevation_m), sourced("site", "weather_kpa")
    return Answer(
        question=_AIR,
        unit="hPa",
        value=found * _HPA_PER_KPA,
        low=(found - weather.value) * _HPA_PER_KPA,
        high=(found + weather.value) * _HPA_PER_KPA,
        covers="the weather of most days",
        sentence=f"At {figure(elevation_m)} m the air is at {_share(found)} of its pressure at "
        "sea level.",
        reasons=("A gauge shows what is above the air outside, so the air pressure is added.",),
        steps=(
            Step(
                what=f"Standard atmosphere at {figure(elevation_m)} m",
                result=_hpa(found),
            ),
        ),
        where_from=(
            _site_says("height above the sea, in the settings of the site"),
            WhereFrom(
                source="isa",
                how_known="computed",
                text="International Standard Atmosphere, by its definition.",
            ),
            _from(weather),
        ),
        assumptions=(f"The weather moves it by {_hpa(weather.value)} either way.",),
    )


def _air_read(barometric_kpa: float, elevation_m: float | None) -> Answer:
    """An air pressure that somebody read; one that does not fit the height is asked about."""
    weather = sourced("site", "weather_kpa")
    doubt = _does_not_fit(barometric_kpa, elevation_m, weather)
    return Answer(
        question=_AIR,
        unit="hPa",
        value=barometric_kpa * _HPA_PER_KPA,
        low=(barometric_kpa - weather.value) * _HPA_PER_KPA,
        high=(barometric_kpa + weather.value) * _HPA_PER_KPA,
        covers="the weather of most days",
        sentence=doubt or "Read at this site; it is used instead of the height above the sea.",
        todo="Read the barometer again: the pressure here, not reduced to sea level."
        if doubt
        else "",
        verdict=Verdict.LOOK_AGAIN if doubt else None,
        reasons=("A gauge shows what is above the air outside, so the air pressure is added.",),
        where_from=(_site_says("air pressure, in the settings of the site"), _from(weather)),
        assumptions=(f"The weather moves it by {_hpa(weather.value)} either way.",),
    )


def _does_not_fit(barometric_kpa: float, elevation_m: float | None, weather: Sourced) -> str:
    if elevation_m is None:
        return ""
    from ullage.core.gas import standard_atmosphere_kpa

    expected = standard_atmosphere_kpa(elevation_m)
    if abs(barometric_kpa - expected) <= 2.0 * weather.value:
        return ""
    return (
        f"{_hpa(barometric_kpa)} does not fit {figure(elevation_m)} m above the sea, "
        f"where about {_hpa(expected)} is usual."
    )


def _air_unknown() -> Answer:
    return Answer(
        question=_AIR,
        unit="hPa",
        settles="How high above the sea is this site, or what does its barometer read?",
        sentence="Until somebody says, the air of sea level is assumed.",
        reasons=("Higher up the air is thinner: flowmeters, fills and leaks all read otherwise.",),
        where_from=(
            WhereFrom(
                source="definitions",
                how_known="computed",
                text=f"Standard atmosphere, {_hpa(STANDARD_ATMOSPHERE_KPA)}, assumed.",
            ),
        ),
        assumptions=("The site lies at sea level.",),
    )


def site_reserve(policy: ReservePolicy) -> Answer:
    """What a site keeps back by its own rule, or what is proposed until it has one.

    Parameters
    ----------
    policy : the rule of the site; with nothing in it, the proposal.

    Returns
    -------
    [kPa] gauge where a pressure is kept, otherwise [L] or [min]; the largest rule holds.

    >>> site_reserve(ReservePolicy(minutes=20.0)).text
    '20 min'
    >>> round(site_reserve(ReservePolicy()).value)
    1379
    """
    if policy.is_proposal:
        return _proposal()
    rules = _rules(policy)
    unit, value, _ = rules[0]
    return Answer(
        question=_KEPT,
        unit=unit,
        value=value,
        sentence=_by_rule([words for *_, words in rules]),
        reasons=(_WHY_KEPT,),
        where_from=(_site_says("reserve, in the settings of the site"),),
    )


def _by_rule(said: list[str]) -> str:
    """One rule needs no list; of several the one that keeps most holds."""
    if len(said) == 1:
        return f"Kept back by the rule of this site, {said[0]}."
    return f"By the rules of this site the largest is kept back: {', '.join(said)}."


def _rules(policy: ReservePolicy) -> list[tuple[str, float, str]]:
    """The rules that are set: unit, value, words; a pressure is left to the page's own unit."""
    found = [
        ("kPa", policy.pressure_kpa, "a gauge pressure"),
        ("L", policy.volume_l, "an amount of gas"),
        ("min", policy.minutes, "a time at the whole present demand"),
    ]
    return [(unit, value, what) for unit, value, what in found if value is not None]


def _proposal() -> Answer:
    pressure = sourced("supply", "reserve_proposal_psi")
    minutes = sourced("supply", "reserve_proposal_min")
    return Answer(
        question=_KEPT,
        unit="kPa",
        value=pressure.value * PSI_KPA,
        sentence=f"A proposal, since this site has no rule yet: {figure(pressure.value)} psi, or "
        f"{figure(minutes.value)} minutes of the whole present demand with drive gas, whichever "
        "is more.",
        todo="Set the rule of your site, with the responsible veterinarian.",
        reasons=(_WHY_KEPT,),
        where_from=(_from(pressure), _from(minutes)),
        assumptions=("Both numbers are assumed; no source prints them as a rule.",),
    )


def _hpa(absolute_kpa: float) -> str:
    """An air pressure as barometers show it."""
    return f"{figure(absolute_kpa * _HPA_PER_KPA)} hPa"


def _share(absolute_kpa: float) -> str:
    return f"{100.0 * absolute_kpa / STANDARD_ATMOSPHERE_KPA:.0f} %"


def _site_says(what: str) -> WhereFrom:
    return WhereFrom(source="site_rule", how_known="site", text=f"{what[0].upper()}{what[1:]}.")


def _from(value: Sourced) -> WhereFrom:
    return WhereFrom(
        source=value.source,
        how_known=value.how_known.value,
        text=f"{figure(value.value)} {value.unit}: {value.where}.",
    )
