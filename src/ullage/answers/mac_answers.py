"""MAC of an agent in this animal today: what lowers it, step by step, with its range."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from math import prod

from ullage.answers.answer import Answer, Step, WhereFrom
from ullage.answers.lines import as_sentence, band_together, ends_of, line_of
from ullage.answers.mac import Mac, mac_of
from ullage.answers.words import figure
from ullage.core.agents import (
    mac_at_age_fraction,
    mac_at_pressure_fraction,
    mac_at_temperature_fraction,
    mac_reduced_fraction,
    mac_with_nitrous_oxide_fraction,
)
from ullage.core.checks import within
from ullage.core.errors import RuleBroken, UnknownReference
from ullage.core.units import STANDARD_ATMOSPHERE_KPA, celsius, kelvin
from ullage.reference import Sourced, sourced, table
from ullage.reference.sparing import Sparing, sparing_of, stages_of

__all__ = ["EndPoint", "MacToday", "agent_end_point", "agent_mac", "drugs_studied"]

_HALF_MOVE = (
    "At one MAC half of the animals move at a cut; surgery needs more, and the site says how much."
)


class EndPoint(StrEnum):
    """What an animal does or does not do, other than move at a cut."""

    AWAKE = "awake"
    EXTUBATION = "extubation"
    ADRENERGIC = "adrenergic"
    RIGHTING = "righting"
    SURGICAL = "surgical"

    @property
    def words(self) -> str:
        """The end point in words."""
        return {
            "awake": "response to a command or to touch (MAC-awake)",
            "extubation": "swallowing and extubation",
            "adrenergic": "no rise of pressure or heart rate at a cut (MAC-BAR)",
            "righting": "loss of the righting reflex",
            "surgical": "a surgical plane",
        }[self.value]


@dataclass(frozen=True, slots=True, kw_only=True)
class MacToday:
    """What changes the MAC of this animal today; everything left out changes nothing.

    ``drugs`` are names that `drugs_studied` offers; ``drugs_asked`` says that the question "drugs
    given: which, or none" was answered. ``stage`` is a stage of life that was studied;
    ``age_years`` is for man alone, since no line of MAC against age is printed for animals.
    """

    temperature_k: float | None = None
    nitrous_fraction: float = 0.0
    pregnant: bool = False
    drugs: Sequence[str] = field(default_factory=tuple)
    drugs_asked: bool = False
    barometric_kpa: float = STANDARD_ATMOSPHERE_KPA
    site_fraction: float | None = None
    stage: str = ""
    age_years: float | None = None

    def __post_init__(self) -> None:
        within("nitrous_fraction", self.nitrous_fraction, 0.0, 0.79)
        within("barometric_kpa", self.barometric_kpa, 50.0, 110.0)


@dataclass(frozen=True, slots=True)
class _Change:
    """One change: factor on MAC with its ends, and what to say of it."""

    what: str
    factor: float
    low: float
    high: float
    lines: tuple[WhereFrom, ...] = ()
    assumption: str = ""
    caution: str = ""

    @property
    def ratio(self) -> tuple[float, float]:
        """Both ends over the factor itself."""
        if not self.factor:
            return 1.0, 1.0
        return self.low / self.factor, self.high / self.factor


def _ratio(mac: Mac) -> tuple[float, float]:
    return mac.low_fraction / mac.mac_fraction, mac.high_fraction / mac.mac_fraction


def drugs_studied(species: str, agent: str) -> tuple[Sparing, ...]:
    """Doses whose effect on MAC was studied in a species; those with this agent come first.

    >>> [one.name for one in drugs_studied("horse", "sevoflurane")]
    ['lidocaine']
    """
    name = species.strip().lower()
    return tuple(sorted(sparing_of(name), key=lambda one: one.agent != agent.strip().lower()))


def agent_mac(species: str, agent: str, today: MacToday | None = None) -> Answer:
    """The MAC of an agent in a species today, in volume per cent at the place.

    Raises
    ------
    InvalidQuantity : a temperature, fraction or pressure that cannot be.
    UnknownReference : an agent, species or drug that is not known.

    >>> agent_mac("dog", "isoflurane").number_text
    '1.28 %'
    >>> agent_mac("dog", "isoflurane", MacToday(drugs=("lidocaine",))).number_text
    '0.931 %'
    """
    now = today or MacToday()
    mac = mac_of(species, agent, site_fraction=now.site_fraction)
    changes = tuple(_changes(mac, now))
    value = mac.mac_fraction * prod(one.factor for one in changes)
    low, high = band_together(value, _ratio(mac), *(one.ratio for one in changes))
    borrowed = f", borrowed from the {mac.of_species}" if mac.borrowed else ""
    return Answer(
        question=f"What is one MAC of {mac.agent} in this {mac.species}?",
        value=100 * value,
        unit="%",
        low=100 * low,
        high=100 * high,
        covers="laboratories and strains, and each change at its own range",
        sentence=f"One MAC of {mac.agent} in the {mac.species} is {figure(100 * value)} % today"
        f"{borrowed}.",
        reasons=(_HALF_MOVE, as_sentence(f"the value is {_confidence(mac)}")),
        steps=_steps(mac, changes),
        where_from=tuple(
            dict.fromkeys((mac.where_from, *(line for one in changes for line in one.lines)))
        ),
        assumptions=tuple(one.assumption for one in changes if one.assumption),
        cautions=_cautions(mac, changes, now),
        views=mac.views,
        settles="" if now.drugs_asked or now.drugs else "Which drugs were given, or none?",
    )


def _confidence(mac: Mac) -> str:
    return "set by the site" if mac.by_site else f"{mac.confidence.value}: {mac.confidence.words}"


def _steps(mac: Mac, changes: Sequence[_Change]) -> tuple[Step, ...]:
    first = Step(
        what=f"MAC of an adult {mac.of_species}, warm, no drugs",
        result=f"{figure(100 * mac.mac_fraction)} %",
        note=f"{figure(100 * mac.low_fraction)} to {figure(100 * mac.high_fraction)} %",
    )
    return (first, *(Step(what=one.what, result=f"x {figure(one.factor)}") for one in changes))


def _cautions(mac: Mac, changes: Sequence[_Change], now: MacToday) -> tuple[str, ...]:
    said = [mac.doubt] if mac.doubt else []
    said += [one.caution for one in changes if one.caution]
    if not now.drugs and not now.drugs_asked:
        said.append(
            "Nobody said which drugs were given: opioids, alpha-2 agonists, ketamine and lidocaine "
            "lower it by a tenth to three quarters."
        )
    return tuple(said)


def _changes(mac: Mac, now: MacToday) -> list[_Change]:
    found = []
    if now.stage:
        found.append(_stage(mac, now.stage))
    if now.age_years is not None:
        found.append(_age(mac, now.age_years))
    if now.temperature_k is not None:
        found.append(_temperature(mac, now.temperature_k))
    if now.pregnant:
        found.append(_pregnancy())
    if now.nitrous_fraction:
        found.append(_nitrous_oxide(mac, now))
    found.extend(_drug(mac, one) for one in now.drugs)
    if now.barometric_kpa != STANDARD_ATMOSPHERE_KPA:
        found.append(_thin_air(now.barometric_kpa))
    return found


def _stage(mac: Mac, name: str) -> _Change:
    studied = stages_of(mac.species, mac.agent)
    stage = next((one for one in studied if one.name == name), None)
    if stage is None:
        known = ", ".join(one.name for one in studied) or "none"
        raise UnknownReference(
            f"No study of {mac.agent} in the {mac.species} at stage {name!r}. Known: {known}."
        )
    half = sourced("potency", "width.end_point").value
    return _Change(
        what=f"{stage.told}, over the adults of the same study",
        factor=stage.ratio,
        low=stage.ratio * (1.0 - half),
        high=stage.ratio * (1.0 + half),
        lines=(line_of(stage.row, stage.told),),
    )


def _age(mac: Mac, age_years: float) -> _Change:
    if mac.species != "human":
        raise RuleBroken(
            f"No line of MAC against age is printed for the {mac.species}; name a stage of life "
            "that was studied, or set the site's own value."
        )
    slope, at = sourced("potency", "age.slope_per_year"), sourced("potency", "age.reference_years")
    ends = [
        mac_at_age_fraction(1.0, age_years, one, at.value) for one in (slope.value, *ends_of(slope))
    ]
    return _Change(
        what=f"age {figure(age_years)} years",
        factor=ends[0],
        low=min(ends),
        high=max(ends),
        lines=(line_of(slope, "MAC and age"),),
    )


def _temperature(mac: Mac, temperature_k: float) -> _Change:
    slope = sourced("potency", "temperature.change_per_k")
    row = table("animals").get(f"temperature.{mac.of_species}")
    normal = kelvin(row.value) if isinstance(row, Sourced) else kelvin(38.0)
    ends = [
        mac_at_temperature_fraction(1.0, temperature_k, normal, one)
        for one in (slope.value, *ends_of(slope))
    ]
    return _Change(
        what=f"body at {figure(celsius(temperature_k))} °C instead of {figure(celsius(normal))} °C",
        factor=ends[0],
        low=min(ends),
        high=max(ends),
        lines=(line_of(slope, "MAC and temperature"),),
    )


def _pregnancy() -> _Change:
    row = sourced("potency", "pregnancy.reduction")
    return _Change(
        what="pregnancy",
        factor=1.0 - row.value,
        low=1.0 - (row.high or row.value),
        high=1.0 - (row.low or row.value),
        lines=(line_of(row, "pregnancy"),),
    )


def _nitrous_oxide(mac: Mac, now: MacToday) -> _Change:
    """Its partial pressure counts, so that the same per cent spare less in thin air."""
    nitrous = mac_of(mac.species, "nitrous oxide")
    at_sea_level = now.nitrous_fraction * now.barometric_kpa / STANDARD_ATMOSPHERE_KPA
    factor = mac_with_nitrous_oxide_fraction(1.0, min(at_sea_level, 1.0), nitrous.mac_fraction)
    width = sourced("potency", "nitrous_oxide.width")
    off = 1.0 - factor
    share = width.value if not nitrous.borrowed else 2.0 * width.value
    return _Change(
        what=f"{figure(100 * now.nitrous_fraction)} % nitrous oxide",
        factor=factor,
        low=max(0.0, 1.0 - off * (1.0 + share)),
        high=1.0 - off * (1.0 - share),
        lines=(nitrous.where_from, line_of(width, "nitrous oxide with an agent")),
        caution=nitrous.doubt,
        assumption="Fractions of MAC are added; one strain of rats and children needed more.",
    )


def _drug(mac: Mac, name: str) -> _Change:
    studied = drugs_studied(mac.species, mac.agent)
    drug = next((one for one in studied if one.name == name), None)
    if drug is None:
        known = ", ".join(dict.fromkeys(one.name for one in studied)) or "none"
        raise UnknownReference(
            f"No study of {name!r} in the {mac.species} is in the tables. Known: {known}."
        )
    off = drug.reduction
    least, most = sorted(
        abs(one) / 100.0 for one in ends_of(drug.row, sourced("potency", "width.reduction").value)
    )
    if drug.by_means is not None:
        means = abs(drug.by_means.value) / 100.0
        least, most = min(least, means), max(most, means)
    other = "" if drug.agent == mac.agent else f"It was studied with {drug.agent}."
    return _Change(
        what=drug.dose,
        factor=mac_reduced_fraction(1.0, (off,)),
        low=1.0 - min(most, 0.99),
        high=1.0 - least,
        lines=(line_of(drug.row, drug.dose),),
        assumption=" ".join(
            part for part in (f"{drug.dose.capitalize()} works as in the study.", other) if part
        ),
    )


def _thin_air(barometric_kpa: float) -> _Change:
    factor = mac_at_pressure_fraction(1.0, barometric_kpa)
    said = "Depth follows partial pressure, so that thin air needs more per cent of it."
    line = WhereFrom(source="agents_base", how_known="computed", text=said)
    return _Change(
        what=f"barometric pressure {figure(barometric_kpa)} kPa",
        factor=factor,
        low=factor,
        high=factor,
        lines=(line,),
    )


def agent_end_point(species: str, agent: str, end_point: EndPoint) -> Answer:
    """The level of an agent at which an animal does something else than not move at a cut.

    Raises
    ------
    UnknownReference : no study of this end point that could stand in.

    >>> agent_end_point("dog", "isoflurane", EndPoint.AWAKE).number_text
    '0.986 %'
    """
    mac = mac_of(species, agent)
    row, of = _end_point_row(mac, end_point)
    by_ratio = row.unit == "1"
    value = row.value * mac.mac_fraction if by_ratio else row.value / 100.0
    width = "end_point" if of == mac.species else "end_point_lent"
    share = sourced("potency", f"width.{width}").value
    ratios = [(1.0 - share, 1.0 + share), *([_ratio(mac)] if by_ratio else [])]
    low, high = band_together(value, *ratios)
    words = f"{end_point.words[0].upper()}{end_point.words[1:]}"
    lent = f" The study was of the {of}." if of != mac.species else ""
    return Answer(
        question=f"At which level of {mac.agent} does the {mac.species} reach {end_point.words}?",
        value=100 * value,
        unit="%",
        low=100 * low,
        high=100 * high,
        covers="the range of MAC and of the study",
        sentence=f"{words} is expected near {figure(100 * value)} % of "
        f"{mac.agent}, {figure(value / mac.mac_fraction)} of its MAC.{lent}",
        reasons=("The level is that of the brain, which lags behind the level in the breath.",),
        where_from=(line_of(row, end_point.words), mac.where_from),
        assumptions=()
        if of == mac.species
        else (f"{words} is taken at the same share of MAC as in the {of}.",),
        cautions=tuple(one for one in (mac.doubt, _target(end_point)) if one),
    )


def _target(end_point: EndPoint) -> str:
    if end_point is EndPoint.SURGICAL:
        return "This is what a label prints; the target of a case is the site's own."
    return ""


def _end_point_row(mac: Mac, end_point: EndPoint) -> tuple[Sourced, str]:
    """The row of the species, of man, or of any species, in that order."""
    rows = table("potency")
    for key in (f"{end_point.value}.{mac.species}", f"{end_point.value}.human"):
        row = rows.get(f"{key}.{mac.agent}", rows.get(key))
        if isinstance(row, Sourced):
            return row, key.partition(".")[2]
    start, end = f"{end_point.value}.", f".{mac.agent}"
    for key, row in rows.items():
        if key.startswith(start) and key.endswith(end) and isinstance(row, Sourced):
            return row, key.removeprefix(start).removesuffix(end)
    raise UnknownReference(
        f"No study of {end_point.words} with {mac.agent} is in the tables, in any species."
    )
