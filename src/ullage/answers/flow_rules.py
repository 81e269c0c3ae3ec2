"""Published fresh gas flows: every rule that speaks of an animal on a system in a phase."""

from dataclasses import dataclass

from ullage.answers.animal_things import Animal
from ullage.answers.answer import View
from ullage.answers.breathing_names import NO_BAND, BreathingSystem, FlowPhase
from ullage.answers.words import figure
from ullage.core.breathing import (
    flow_by_minute_volume_l_min,
    flow_by_weight_l_min,
    peak_inspiratory_flow_l_min,
)
from ullage.core.errors import RuleBroken
from ullage.reference import Sourced, sourced, table

__all__ = ["CIRCLE_SURE", "FlowRule", "flow_rules", "mask_flow"]

#: The weight from which every source lets a circle be used.
CIRCLE_SURE = "band.circle.low_kg"


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowRule:
    """One published flow for this animal, with its ends [L/min]."""

    label: str
    l_min: float
    row: Sourced
    low: float
    high: float

    def view(self, *, chosen: bool) -> View:
        """The rule as one side."""
        ends = "" if self.low == self.high else f" ({figure(self.low)} to {figure(self.high)})"
        return View(
            label=self.label,
            result=f"{figure(self.l_min)} L/min{ends}",
            source=self.row.source,
            how_known=self.row.how_known.value,
            chosen=chosen,
        )


def flow_rules(
    animal: Animal, system: BreathingSystem, phase: FlowPhase, *, ventilated: bool
) -> list[FlowRule]:
    """Every published flow for this animal, the one that is taken first.

    >>> from ullage.answers.animals import animal
    >>> cat = animal("cat", 4.0)
    >>> flow_rules(cat, BreathingSystem.T_PIECE, FlowPhase.HOLD, ventilated=False)[0].l_min
    1.0
    """
    if system is BreathingSystem.CHAMBER:
        return _device_rules("chamber", animal.species)
    if system is BreathingSystem.LARGE_CIRCLE:
        return _large_rules(phase)
    if system.rebreathes:
        return _circle_rules(animal, phase)
    if system is BreathingSystem.NOSE_CONE:
        by_breath = _multiple(animal, "minute_volume.multiple", "D, E and F")
        return [*_device_rules("mask", animal.species), by_breath, _peak(animal)]
    if system.is_a:
        return _a_rules(animal, system, ventilated=ventilated)
    if system in NO_BAND:
        key = "ventilated.bc_multiple" if ventilated else "minute_volume.bc_multiple"
        return [_multiple(animal, key, "B and C")]
    return [*_open_rules(animal), *(_ventilated_rules(animal, system) if ventilated else [])]


def _peak(animal: Animal) -> FlowRule:
    """A mask without a reservoir draws in room air below the peak flow of a breath."""
    row = sourced("breathing", "mask.expiration")
    breath = animal["minute_volume_l_min"].value
    low, high = (
        peak_inspiratory_flow_l_min(breath, one)
        for one in (row.low or row.value, row.high or row.value)
    )
    told = "No room air drawn in: peak flow of a breath, 3.1 to 4.7 x minute volume"
    return FlowRule(label=told, l_min=high, row=row, low=low, high=high)


def _a_rules(animal: Animal, system: BreathingSystem, *, ventilated: bool) -> list[FlowRule]:
    if ventilated:
        raise RuleBroken(
            f"No flow keeps a {system} from rebreathing while a machine or a hand breathes: use a "
            "coaxial D or a circle."
        )
    rules = [_multiple(animal, "minute_volume.a_multiple", "A")]
    if system is BreathingSystem.MINI_A:
        rules.append(_weight_rule(animal, "non_rebreathing.study_mini_a_ml_min_kg", "Study"))
    return rules


def _ventilated_rules(animal: Animal, system: BreathingSystem) -> list[FlowRule]:
    """D by weight, as in people; a T-piece by minute volume, without a bag and with one."""
    if system is BreathingSystem.COAXIAL_D:
        row = sourced("breathing", "ventilated.d_ml_min_kg")
        return [_of_weight(animal, row, "D, ventilated, adult people")]
    return [
        _multiple(animal, "ventilated.e_multiple", "E, ventilated"),
        _multiple(animal, "ventilated.f_multiple", "F, ventilated"),
    ]


def _open_rules(animal: Animal) -> list[FlowRule]:
    """Rules of systems without absorber in which the animal breathes by itself."""
    floor = sourced("fresh_gas", "non_rebreathing.cat_floor_l_min").value
    rules = [
        _weight_rule(animal, "non_rebreathing.safe_ml_min_kg", "Teaching, reasonably safe"),
        _weight_rule(animal, "non_rebreathing.cat_ml_min_kg", "Feline guideline", floor),
        _weight_rule(animal, "non_rebreathing.full_ml_min_kg", "Stops rebreathing in nearly all"),
        _weight_rule(animal, "non_rebreathing.common_ml_min_kg", "Common"),
        _multiple(animal, "minute_volume.multiple", "D, E and F"),
    ]
    least = sourced("fresh_gas", "non_rebreathing.floor_ml_min")
    rules += [*_printed(animal), _fixed("Common practice, least", least, 0.001)]
    return sorted(rules, key=lambda one: _behind(animal, one))


def _behind(animal: Animal, rule: FlowRule) -> int:
    """Rules that bring less than a breath or than vaporizers are made for stand behind the others.

    Those by weight were written for dogs and cats: of a mouse they ask a third of what it breathes.
    """
    least = sourced("fresh_gas", "vaporizer.least_l_min").value
    enough = max(animal["minute_volume_l_min"].value, least)
    if rule.l_min < enough:
        return 2
    return int(rule.row.key.startswith("non_rebreathing.cat_") and animal.species != "cat")


def _printed(animal: Animal) -> list[FlowRule]:
    """The one row of the feline table that does not follow its own rule."""
    row = sourced("fresh_gas", "non_rebreathing.cat_7_kg_l_min")
    near = animal.species == "cat" and 6.5 <= animal.weight_kg < 7.5
    return [_fixed("Feline table, as printed at 7 kg", row)] if near else []


def _large_rules(phase: FlowPhase) -> list[FlowRule]:
    part = "hold" if phase is FlowPhase.HOLD else "start"
    return [_fixed("Large animals", sourced("breathing", f"large_circle.{part}_l_min"))]


def _circle_rules(animal: Animal, phase: FlowPhase) -> list[FlowRule]:
    """Rules by weight; the feline guideline speaks of 3 to 10 kg alone."""
    small = animal.weight_kg <= sourced("breathing", CIRCLE_SURE).value
    least = sourced("fresh_gas", "circle.floor_l_min")
    begin = sourced("fresh_gas", "circle.start_l_min")
    if phase is FlowPhase.HOLD:
        guideline = [_fixed("Feline guideline, then at least", least)] if small else []
        return [
            _weight_rule(animal, "circle.maintenance_ml_min_kg", "Maintenance", least.value),
            *guideline,
            _fixed("Usual oxygen flow", sourced("fresh_gas", "circle.usual_oxygen_l_min")),
            _weight_rule(animal, "circle.closed_ml_min_kg", "Closed circle: oxygen use"),
        ]
    guideline = [_fixed("Feline guideline, first 15 min", begin)] if small else []
    return [
        *guideline,
        _weight_rule(animal, "circle.change_ml_min_kg", "Change of depth", least.value),
    ]


def _device_rules(device: str, species: str) -> list[FlowRule]:
    """Rows of masks or chambers, those of the species first."""
    rows = table("fresh_gas")
    kind = "bird" if species in {"chicken", "cockatoo", "bird"} else species
    own = [key for key in rows if key.startswith(f"{device}.{kind}")]
    general = f"{device}.small_animal_l_min"
    return [
        _fixed(f"{device.capitalize()}, {key.partition('.')[2][:-6].replace('_', ' ')}", row)
        for key in [*sorted(own, key=len), general]
        if isinstance(row := rows[key], Sourced)
    ]


def mask_flow(species: str) -> Sourced:
    """Fresh gas of one mask for a species, or for small animals where nobody printed its own.

    >>> mask_flow("rat").value, mask_flow("ferret").key
    (1.0, 'mask.small_animal_l_min')
    """
    return _device_rules("mask", species)[0].row


def _fixed(label: str, row: Sourced, scale: float = 1.0) -> FlowRule:
    low = row.value if row.low is None else row.low
    high = row.value if row.high is None else row.high
    return FlowRule(
        label=label, l_min=scale * row.value, row=row, low=scale * low, high=scale * high
    )


def _weight_rule(animal: Animal, key: str, label: str, floor_l_min: float = 0.0) -> FlowRule:
    return _of_weight(animal, sourced("fresh_gas", key), label, floor_l_min)


def _of_weight(animal: Animal, row: Sourced, label: str, floor_l_min: float = 0.0) -> FlowRule:
    low, middle, high = (
        flow_by_weight_l_min(animal.weight_kg, 0.001 * one, floor_l_min)
        for one in (row.low or row.value, row.value, row.high or row.value)
    )
    told = f"{label}, {figure(row.value)} mL/kg/min"
    return FlowRule(label=told, l_min=middle, row=row, low=low, high=high)


def _multiple(animal: Animal, key: str, label: str) -> FlowRule:
    row = sourced("breathing", key)
    breath = animal["minute_volume_l_min"].value
    low, middle, high = (
        flow_by_minute_volume_l_min(breath, one)
        for one in (row.low or row.value, row.value, row.high or row.value)
    )
    told = f"{label}, {figure(row.value)} x minute volume"
    return FlowRule(label=told, l_min=middle, row=row, low=low, high=high)
