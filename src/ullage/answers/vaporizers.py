"""What a vaporizer delivers here: by both models away from sea level, with its own accuracy."""

from dataclasses import dataclass
from enum import StrEnum

from ullage.answers.agents import Liquid, liquid_of
from ullage.answers.answer import Answer, Step, Verdict, View, WhereFrom
from ullage.answers.lines import band_together, line_of
from ullage.answers.things import Place
from ullage.answers.words import figure
from ullage.core.agents import (
    heated_dial_fraction,
    measured_flow_fraction,
    partial_pressure_output_fraction,
    splitting_pressure_output_fraction,
)
from ullage.core.checks import positive, within
from ullage.core.units import STANDARD_ATMOSPHERE_KPA, celsius
from ullage.reference import sourced

__all__ = [
    "Carrier",
    "Vaporizer",
    "VaporizerKind",
    "kind_for",
    "measured_flow_output",
    "vaporizer_output",
]


class VaporizerKind(StrEnum):
    """How a vaporizer works, as far as pressure matters."""

    SPLITTING = "splitting"
    HEATED = "heated"


class Carrier(StrEnum):
    """The gas that a vaporizer is fed with, as far as it changes what comes out."""

    OXYGEN = "oxygen"
    AIR = "air"
    NITROUS_OXIDE = "nitrous oxide"


@dataclass(frozen=True, slots=True, kw_only=True)
class Vaporizer:
    """A vaporizer as it stands on the machine: agent, dial, kind, and where it was calibrated.

    ``back_kpa`` is a steady pressure above ambient at its outlet; ``accuracy_share`` the result of
    its last output check, none where nobody knows it; ``carrier`` the gas it is mostly fed with.
    """

    agent: str
    dial_fraction: float
    kind: VaporizerKind | None = None
    calibrated_kpa: float = STANDARD_ATMOSPHERE_KPA
    back_kpa: float = 0.0
    fresh_gas_l_min: float | None = None
    accuracy_share: float | None = None
    carrier: Carrier = Carrier.OXYGEN

    def __post_init__(self) -> None:
        within("dial_fraction", self.dial_fraction, 0.0, 0.5)
        positive("calibrated_kpa", self.calibrated_kpa)
        within("back_kpa", self.back_kpa, 0.0, 30.0)

    @property
    def works_by(self) -> VaporizerKind:
        """The kind given, or the usual one of the agent."""
        return self.kind or kind_for(self.agent)


def kind_for(agent: str) -> VaporizerKind:
    """The usual kind of vaporizer for an agent: desflurane is heated.

    >>> kind_for("desflurane").value, kind_for("isoflurane").value
    ('heated', 'splitting')
    """
    heated = agent.strip().lower() == "desflurane"
    return VaporizerKind.HEATED if heated else VaporizerKind.SPLITTING


def vaporizer_output(vaporizer: Vaporizer, place: Place | None = None) -> Answer:
    """What leaves a vaporizer at this place, in volume per cent.

    Raises
    ------
    InvalidQuantity : a dial or pressure that cannot be.
    UnknownReference : a gas, or an agent not known.

    >>> high = Place(barometric_kpa=80.5)
    >>> vaporizer_output(Vaporizer(agent="isoflurane", dial_fraction=0.02), high).number_text
    '2.52 %'
    """
    where = place or Place()
    liquid = liquid_of(vaporizer.agent)
    if vaporizer.works_by is VaporizerKind.HEATED:
        return _heated(vaporizer, liquid, where)
    return _splitting(vaporizer, liquid, where)


def _splitting(vaporizer: Vaporizer, liquid: Liquid, place: Place) -> Answer:
    outlet = place.barometric_kpa + vaporizer.back_kpa
    vapour = liquid.vapour_kpa(place.temperature_k)
    rule = partial_pressure_output_fraction(
        vaporizer.dial_fraction, outlet, vaporizer.calibrated_kpa
    )
    split = splitting_pressure_output_fraction(
        vaporizer.dial_fraction, vapour, outlet, vaporizer.calibrated_kpa
    )
    low, high, accuracy = _with_accuracy(vaporizer, liquid, min(rule, split), max(rule, split))
    apart = abs(split - rule) / rule if rule else 0.0
    far = apart > sourced("agents", "models_apart_share").value
    kept = (
        "Depth follows partial pressure: by the rule it stays what the dial promises, by the "
        f"equation it is {figure(100 * apart)} % {'more' if split >= rule else 'less'}."
    )
    return Answer(
        question=f"What does a dial of {_percent(vaporizer.dial_fraction)} {liquid.agent} deliver?",
        value=100 * rule,
        unit="%",
        low=100 * low,
        high=100 * high,
        covers="both models of a splitting vaporizer, and its accuracy",
        sentence=f"At {figure(place.barometric_kpa)} kPa a dial of "
        f"{_percent(vaporizer.dial_fraction)} gives {_percent(rule)} by the rule and "
        f"{_percent(split)} by the splitting equation.",
        reasons=(kept,),
        steps=(
            Step(what="vapour pressure of the liquid", result=f"{figure(vapour)} kPa"),
            Step(what="pressure at the outlet", result=f"{figure(outlet)} kPa"),
            Step(what="calibrated at", result=f"{figure(vaporizer.calibrated_kpa)} kPa"),
        ),
        where_from=(*accuracy, line_of(liquid.line_row, "vapour pressure")),
        assumptions=_assumed(vaporizer),
        cautions=_cautions(vaporizer, liquid, place),
        views=_models(rule, split),
        verdict=Verdict.LOOK_AGAIN if far else None,
        todo="Measure the output with an agent analyser here." if far else "",
    )


def _models(rule: float, split: float) -> tuple[View, ...]:
    return (
        View(
            label="Constant partial pressure, the teaching rule; a maker's manual uses it",
            result=_percent(rule),
            source="agents_values",
            how_known="seen",
            chosen=True,
        ),
        View(
            label="Splitting equation, the split as it was: the worst case in thin air",
            result=_percent(split),
            source="agents_base",
            how_known="computed",
        ),
    )


def _heated(vaporizer: Vaporizer, liquid: Liquid, place: Place) -> Answer:
    dial = vaporizer.dial_fraction
    to_set = heated_dial_fraction(dial, place.barometric_kpa, vaporizer.calibrated_kpa)
    low, high, accuracy = _with_accuracy(vaporizer, liquid, dial, dial)
    reached = dial * place.barometric_kpa / vaporizer.calibrated_kpa
    return Answer(
        question=f"What does a dial of {_percent(dial)} {liquid.agent} deliver?",
        value=100 * dial,
        unit="%",
        low=100 * low,
        high=100 * high,
        covers="accuracy of the vaporizer",
        sentence=f"A heated vaporizer delivers {_percent(dial)} here too, but that acts like "
        f"{_percent(reached)} where it was calibrated.",
        reasons=(
            "It holds volume per cent, and depth follows partial pressure.",
            f"For the depth of {_percent(dial)} at calibration set {_percent(to_set)}.",
        ),
        steps=(Step(what="dial for the same depth", result=_percent(to_set)),),
        where_from=(*accuracy, line_of(sourced("agents", "accuracy.heated_percent"), "in oxygen")),
        assumptions=_assumed(vaporizer),
        cautions=_cautions(vaporizer, liquid, place),
    )


def _with_accuracy(
    vaporizer: Vaporizer, liquid: Liquid, least: float, most: float
) -> tuple[float, float, tuple[WhereFrom, ...]]:
    """The two ends with the accuracy of the device, and where that comes from."""
    dial = vaporizer.dial_fraction
    if vaporizer.accuracy_share is not None:
        half = vaporizer.accuracy_share * dial
        said = "Accuracy found at the last output check, entered for this vaporizer."
        lines = (WhereFrom(source="entered", how_known="site", text=said),)
    else:
        of_dial = sourced("agents", "accuracy.of_setting_percent")
        of_most = sourced("agents", "accuracy.of_most_percent")
        half = 0.01 * max(of_dial.value * dial, of_most.value * liquid.most_dial_fraction)
        lines = (line_of(of_dial, "accuracy a new device must keep, +-20 % of the dial"),)
    ratio = half / dial if dial else 0.0
    down, up, more = _carried(vaporizer)
    low, _ = band_together(least, (1.0 - min(ratio, 1.0), 1.0), (down, 1.0))
    _, high = band_together(most, (1.0, 1.0 + ratio), (1.0, up))
    return low, high, (*lines, *more)


def _carried(vaporizer: Vaporizer) -> tuple[float, float, tuple[WhereFrom, ...]]:
    """Output over dial at both ends by the gas that is fed in, and where that comes from."""
    if vaporizer.carrier is Carrier.NITROUS_OXIDE:
        if vaporizer.works_by is VaporizerKind.HEATED:
            row = sourced("agents", "accuracy.heated_nitrous_percent")
            return 1.0 - 0.01 * row.value, 1.0 + 0.01 * row.value, (line_of(row),)
        settled, first = (sourced("agents", f"carrier_gas.{k}_percent") for k in _IN_NITROUS)
        return settled.value / first.value, 1.0, (line_of(settled, "carried by nitrous oxide"),)
    low = sourced("agents", "low_dial.isoflurane_to_percent")
    small = 100.0 * vaporizer.dial_fraction <= low.value
    if (
        vaporizer.carrier is Carrier.OXYGEN
        and small
        and vaporizer.agent.strip().lower() == "isoflurane"
    ):
        row = sourced("agents", "low_dial.isoflurane_percent")
        return 1.0, 1.0 + 0.01 * row.value, (line_of(row, "low dials in oxygen"),)
    return 1.0, 1.0, ()


_IN_NITROUS = ("settled", "oxygen")


def _percent(fraction: float) -> str:
    return f"{figure(100 * fraction)} %"


def _assumed(vaporizer: Vaporizer) -> tuple[str, ...]:
    kept = vaporizer.calibrated_kpa == STANDARD_ATMOSPHERE_KPA
    said = ["The dial is taken as calibrated at one standard atmosphere."] if kept else []
    if vaporizer.kind is None:
        said.append(f"The vaporizer is taken as {vaporizer.works_by}, the usual kind.")
    if vaporizer.accuracy_share is None:
        low = sourced("agents", "accuracy.measured_low_percent").value
        high = sourced("agents", "accuracy.measured_high_percent").value
        said.append(
            "No output check was entered: the accuracy is that of the standard, from memory; "
            f"ten devices in use were found {figure(low)} to +{figure(high)} % off."
        )
    return tuple(said)


def _cautions(vaporizer: Vaporizer, liquid: Liquid, place: Place) -> tuple[str, ...]:
    said = []
    if vaporizer.dial_fraction > liquid.most_dial_fraction:
        end = _percent(liquid.most_dial_fraction)
        said.append(f"Dials of usual {liquid.agent} vaporizers end at {end} (from memory).")
    flow = vaporizer.fresh_gas_l_min
    least, most = (sourced("agents", f"range.{end}_l_min") for end in ("lowest", "highest"))
    if flow is not None and not least.value <= flow <= most.value:
        said.append(
            f"{figure(flow)} L/min is outside {figure(least.value)} to {figure(most.value)} L/min, "
            "the range vaporizers are made for (from memory): see the maker's instructions."
        )
    cold, hot = (sourced("agents", f"range.{end}_c") for end in ("lowest", "highest"))
    room = celsius(place.temperature_k)
    if not cold.value <= room <= hot.value:
        said.append(
            f"{figure(room)} °C is outside the {figure(cold.value)} to {figure(hot.value)} °C that "
            "vaporizers compensate for: output may be far too high or too low."
        )
    said += _carrier_cautions(vaporizer)
    if vaporizer.back_kpa:
        said.append(
            "Pressure that comes and goes, as from a ventilator, raises the output at low flow and "
            "low dial; only a steady one is in this figure."
        )
    return tuple(said)


def _carrier_cautions(vaporizer: Vaporizer) -> tuple[str, ...]:
    if vaporizer.carrier is Carrier.NITROUS_OXIDE:
        first, then, before = (
            sourced("agents", f"carrier_gas.{key}_percent").value
            for key in ("first", "settled", "oxygen")
        )
        said = (
            f"From oxygen to nitrous oxide a dial of {figure(before)} % fell to {figure(first)} % "
            f"in ten seconds and to {figure(then)} % settled, in a study of halothane."
        )
        return (said,)
    if _carried(vaporizer)[1] > 1.0:
        return ("At low dials in oxygen isoflurane vaporizers gave over 20 % more than set.",)
    return ()


def measured_flow_output(
    agent: str, chamber_l_min: float, whole_l_min: float, place: Place | None = None
) -> Answer:
    """What a vaporizer gives whose chamber has a flowmeter of its own.

    Parameters
    ----------
    agent : the liquid in it.
    chamber_l_min : [L/min] through the chamber, 0 or more.
    whole_l_min : [L/min] of carrier gas in all, the chamber's included, above 0.
    place : air pressure and temperature; sea level and 20 °C where none is given.

    Raises
    ------
    InvalidQuantity : flows that cannot be, or an agent that boils here.
    UnknownReference : an agent not known.

    >>> measured_flow_output("isoflurane", 0.1, 5.0).number_text
    '0.908 %'
    """
    where, liquid = place or Place(), liquid_of(agent)
    within("chamber_l_min", chamber_l_min, 0.0, positive("whole_l_min", whole_l_min))
    vapour = liquid.vapour_kpa(where.temperature_k)
    past = whole_l_min - chamber_l_min
    value = measured_flow_fraction(chamber_l_min, past, vapour, where.barometric_kpa)
    notes = chamber_l_min * vapour / (where.barometric_kpa - vapour) / whole_l_min
    half = 1.645 * sourced("agents", "vapour_band_share").value
    low, high = band_together(value, (1.0 - half, 1.0 + half))
    return Answer(
        question=f"What does {figure(1000 * chamber_l_min)} mL/min through {liquid.agent} give?",
        value=100 * value,
        unit="%",
        low=100 * low,
        high=100 * high,
        covers="vapour pressure; a chamber cooled by evaporation gives less",
        sentence=f"{figure(1000 * chamber_l_min)} mL/min through the chamber in "
        f"{figure(whole_l_min)} L/min gives {_percent(value)} {liquid.agent}.",
        reasons=("The gas leaves the chamber saturated and is diluted by the rest.",),
        steps=(Step(what="vapour pressure of the liquid", result=f"{figure(vapour)} kPa"),),
        where_from=(line_of(liquid.line_row, "vapour pressure"),),
        assumptions=("The chamber is saturated and at the temperature of the room.",),
        cautions=("Nothing limits such a vaporizer: measure the agent, and never run it alone.",),
        views=(
            _flow_view("Vapour counted in the whole", value, chosen=True),
            _flow_view("Course notes, vapour left out of the whole", notes, chosen=False),
        ),
    )


def _flow_view(label: str, value: float, *, chosen: bool) -> View:
    return View(
        label=label,
        result=_percent(value),
        source="agents_base",
        how_known="computed",
        chosen=chosen,
    )
