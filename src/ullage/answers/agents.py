"""An agent as a liquid and a vapour, from its rows; and its vapour pressure as an answer."""

from dataclasses import dataclass
from functools import cache
from math import hypot

from ullage.answers.animal_values import band_of, spread_sd
from ullage.answers.answer import Answer, Step, View
from ullage.answers.lines import line_of
from ullage.answers.words import figure
from ullage.core.agents import VapourLine, boiling_point_k, vapour_pressure_kpa
from ullage.core.errors import UnknownReference
from ullage.core.units import KINDS, celsius, kelvin
from ullage.reference import Sourced, sourced, table
from ullage.reference.solubility import blood_gas, blood_gas_views

__all__ = ["LIQUIDS", "Liquid", "agent_solubility", "agent_vapour_pressure", "liquid_of"]

#: Agents that are liquid in their bottle.
LIQUIDS = ("isoflurane", "sevoflurane", "desflurane", "halothane", "enflurane")
_MMHG = KINDS["pressure"]["mmHg"]

#: The line of each agent is trusted between these; desflurane boils near room temperature.
_RANGE_C = {"desflurane": (10.0, 40.0)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Liquid:
    """A liquid agent with the rows that its answers name."""

    agent: str
    line: VapourLine
    molar_mass: Sourced
    density: Sourced
    vapour_per_liquid: Sourced
    most_dial: Sourced
    printed_vapour: Sourced
    line_row: Sourced

    @property
    def most_dial_fraction(self) -> float:
        """[1] where the dial of usual vaporizers ends."""
        return self.most_dial.value / 100.0

    @property
    def moles_per_litre(self) -> float:
        """Moles in a litre of the liquid."""
        return 1000.0 * self.density.value / self.molar_mass.value

    def vapour_kpa(self, temperature_k: float) -> float:
        """[kPa] saturated vapour pressure at a temperature [K]."""
        return vapour_pressure_kpa(self.line, temperature_k)


@cache
def liquid_of(agent: str) -> Liquid:
    """The liquid of an agent.

    Raises
    ------
    UnknownReference : a gas, or an agent not known.

    >>> round(liquid_of("isoflurane").vapour_kpa(293.15), 1)
    31.8
    """
    name = agent.strip().lower()
    if name not in LIQUIDS:
        raise UnknownReference(f"{agent!r} is in no vaporizer. Agents: {', '.join(LIQUIDS)}.")
    low, high = _RANGE_C.get(name, (0.0, 60.0))
    a, b, c, unit = _constants(name)
    line = VapourLine(
        a=a.value,
        b=-abs(b.value),
        c=c.value,
        unit_kpa=unit,
        lowest_k=kelvin(low),
        highest_k=kelvin(high),
    )
    return Liquid(
        agent=name,
        line=line,
        molar_mass=sourced("agents", f"{name}.molar_mass_g_mol"),
        density=sourced("agents", f"{name}.liquid_kg_l"),
        vapour_per_liquid=sourced("agents", f"{name}.vapour_per_liquid_l_l"),
        most_dial=sourced("agents", f"{name}.most_dial_percent"),
        printed_vapour=sourced("agents", f"{name}.vapour_20_mmhg"),
        line_row=a,
    )


def _constants(name: str) -> tuple[Sourced, Sourced, Sourced, float]:
    """The three constants, and the unit of pressure that they were printed for."""
    if f"{name}.line_kpa.a" in table("agents"):
        keys, unit = ("line_kpa.a", "line_kpa.minus_b", "line_kpa.c"), 1.0
    else:
        keys, unit = ("line_mmhg.a", "line_mmhg.b", "line_mmhg.c"), _MMHG
    a, b, c = (sourced("agents", f"{name}.{key}") for key in keys)
    return a, b, c, unit


def agent_vapour_pressure(agent: str, temperature_k: float = 293.15) -> Answer:
    """How strong the vapour over an agent can be at a temperature.

    Raises
    ------
    InvalidQuantity : a temperature outside the range of the agent's line.
    UnknownReference : a gas, or an agent not known.

    >>> agent_vapour_pressure("isoflurane").number_text
    '31.8 kPa'
    """
    liquid = liquid_of(agent)
    value = liquid.vapour_kpa(temperature_k)
    share = sourced("agents", "vapour_band_share")
    half = 1.645 * share.value * value
    boils = celsius(boiling_point_k(liquid.line))
    warm = celsius(temperature_k)
    return Answer(
        question=f"How high is the vapour pressure of {liquid.agent} at {figure(warm)} °C?",
        value=value,
        unit="kPa",
        low=value - half,
        high=value + half,
        covers="what different labels, textbooks and abstracts print for one temperature",
        sentence=f"Over {liquid.agent} at {figure(warm)} °C the saturated vapour stands at "
        f"{figure(value)} kPa ({figure(value / _MMHG)} mmHg).",
        reasons=(
            "The vapour pressure decides what any vaporizer delivers, and rises with warmth.",
            f"By its line {liquid.agent} boils at {figure(boils)} °C under one atmosphere.",
        ),
        steps=(
            Step(what="temperature of the liquid", result=f"{figure(warm)} °C"),
            Step(what="saturated vapour", result=f"{figure(value)} kPa"),
        ),
        where_from=(
            line_of(liquid.line_row, f"line of {liquid.agent}"),
            line_of(liquid.printed_vapour, "printed at 20 °C"),
            line_of(share, "width of the band"),
        ),
        assumptions=_doubts(liquid),
        views=_pressure_views(liquid, value, temperature_k),
    )


def _doubts(liquid: Liquid) -> tuple[str, ...]:
    if liquid.line_row.how_known.value == "memory":
        said = (
            f"The constants of {liquid.agent}'s line are from memory, not confirmed; they meet the "
            "printed value at 20 °C within half a per cent."
        )
        return (said,)
    return ()


def _pressure_views(liquid: Liquid, value: float, temperature_k: float) -> tuple[View, ...]:
    """The line beside another printed set where the fact base names one."""
    other = table("agents").get(f"{liquid.agent}.other_vapour_20_mmhg")
    if not isinstance(other, Sourced):
        return ()
    scaled = value * other.value / liquid.printed_vapour.value
    return (
        View(
            label="Line through the label's points",
            result=f"{figure(value)} kPa",
            source=liquid.line_row.source,
            how_known=liquid.line_row.how_known.value,
            chosen=True,
        ),
        View(
            label=f"A study with {figure(other.value)} mmHg at 20 °C, carried to "
            f"{figure(celsius(temperature_k))} °C along the same line",
            result=f"{figure(scaled)} kPa",
            source=other.source,
            how_known=other.how_known.value,
        ),
    )


def agent_solubility(agent: str, species: str) -> Answer:
    """How much of an agent blood holds: the coefficient used, and every printed one beside it.

    Raises
    ------
    UnknownReference : a gas without coefficients.

    >>> agent_solubility("isoflurane", "horse").number_text
    '0.92'
    """
    gas, name = agent.strip().lower(), species.strip().lower()
    row, of = blood_gas(gas, name)
    borrowed = of != name
    sd = spread_sd("blood_gas", name_of="solubility")
    if borrowed:
        sd = hypot(sd, sourced("solubility", "spread.blood_gas.borrowed").value)
    low, high = band_of(row.value, sd)
    views = _solubility_views(gas, row, of)
    printed = [one.row.value for one in blood_gas_views(gas) if one.species == of]
    told = f"No coefficient of the {name} is in the tables: that of the {of} is used."
    return Answer(
        question=f"How much {gas} does the blood of the {name} hold?",
        value=row.value,
        unit="1",
        low=min(low, *printed),
        high=max(high, *printed),
        covers="one animal, and what different laboratories print",
        sentence=f"Blood of the {name} holds {figure(row.value)} times as much {gas} as gas at the "
        "same partial pressure and 37 °C.",
        reasons=("The less blood holds, the faster the lung follows the dial, in and out.",),
        where_from=(line_of(row, f"blood/gas in the {of}"),),
        assumptions=(told,) if borrowed else (),
        views=views,
    )


def _solubility_views(agent: str, row: Sourced, species: str) -> tuple[View, ...]:
    """The coefficient used, and those printed for the same species with another value."""
    others = [
        one.row
        for one in blood_gas_views(agent)
        if one.species == species and one.row.value != row.value
    ]
    if not others:
        return ()
    used = _coefficient_view("Used here", row, chosen=True)
    return (used, *(_coefficient_view(_citation(one), one, chosen=False) for one in others))


def _citation(row: Sourced) -> str:
    return row.where.partition(". ")[2] or row.where


def _coefficient_view(label: str, row: Sourced, *, chosen: bool) -> View:
    spread = ""
    if row.low is not None and row.high is not None:
        spread = f" ({figure(row.low)} to {figure(row.high)})"
    return View(
        label=label,
        result=f"{figure(row.value)}{spread}",
        source=row.source,
        how_known=row.how_known.value,
        chosen=chosen,
    )
