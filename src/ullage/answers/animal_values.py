"""Every value of an animal, worked out from its weight and the rows of its species."""

from collections.abc import Callable, Mapping
from math import exp, hypot

from ullage.answers.animal_things import AnimalValue
from ullage.core.animals import (
    co2_output_l_min,
    minute_volume_from_alveolar_l_min,
    power_of_weight,
)
from ullage.core.checks import positive
from ullage.core.units import kelvin
from ullage.reference import HowKnown, Sourced, Standing, sourced, table
from ullage.reference.solubility import ValueSet
from ullage.reference.species import blood_volume, four_groups, lung_volumes

__all__ = ["VALUES", "Worked", "band_of", "spread_sd", "worked_out"]

#: Names of the values in the order in which they are shown -> unit.
VALUES: Mapping[str, str] = {
    "cardiac_output_l_min": "L/min",
    "alveolar_l_min": "L/min",
    "dead_space_fraction": "1",
    "minute_volume_l_min": "L/min",
    "lung_l": "L",
    "lung_tissue_l": "L",
    "blood_l": "L",
    "arterial_l": "L",
    "venous_l": "L",
    "oxygen_use_l_min": "L/min",
    "co2_output_l_min": "L/min",
    "shunt_fraction": "1",
    "dead_alveolar_fraction": "1",
    "cardiac_output_awake_l_min": "L/min",
    "tidal_l": "L",
    "breaths_per_min": "/min",
    "minute_volume_awake_l_min": "L/min",
    "dead_space_l": "L",
    "oxygen_demand_l_min": "L/min",
    "heart_rate_per_min": "/min",
    "temperature_k": "K",
    "fall_in_an_hour_k": "K",
}

#: Two 90 % ends of a normal distribution, in standard deviations.
_ENDS = 1.645


def band_of(value: float, sd: float) -> tuple[float, float]:
    """A 90 % band from the standard deviation of the logarithm.

    Parameters
    ----------
    value : [1] middle, above 0.
    sd : [1] of the logarithm, 0 or more.

    >>> [round(one, 2) for one in band_of(1.0, 0.16)]
    [0.77, 1.3]
    """
    factor = exp(_ENDS * sd)
    return value / factor, value * factor


def spread_sd(
    name: str, *, borrowed: bool = False, study_of: int | None = None, name_of: str = "animals"
) -> float:
    """Standard deviation of the logarithm of a value of one animal, or of the mean of a study.

    Parameters
    ----------
    name : of the spread, ``cardiac_output``.
    borrowed : True where the value stands on another species.
    study_of : [1] number of animals whose mean is meant; none for one animal.
    name_of : the table that holds the spread.

    >>> round(spread_sd("cardiac_output"), 3), round(spread_sd("cardiac_output", study_of=16), 3)
    (0.256, 0.168)
    """
    rows = table(name_of)

    def share(part: str) -> float:
        row = rows.get(f"spread.{name}.{part}")
        return row.value if isinstance(row, Sourced) else 0.0

    between = share("animals") / (1.0 if study_of is None else float(study_of) ** 0.5)
    extra = sourced("animals", "spread.borrowed").value if borrowed else 0.0
    return hypot(share("species"), between, extra)


class Worked:
    """Works the values out one after the other; what the site set goes into what follows."""

    def __init__(
        self, species: str, weight_kg: float, given: Mapping[str, float], *, borrowed: bool
    ) -> None:
        self.species, self.weight_kg, self.borrowed = species, weight_kg, borrowed
        self.given = given
        self.values: dict[str, AnimalValue] = {}

    def number(self, name: str) -> float:
        """A value already worked out."""
        return self.values[name].value

    def put(
        self,
        name: str,
        value: float,
        rows: tuple[Sourced, ...],
        spread: str | tuple[float, float],
        where: str = "",
    ) -> None:
        """Keep a value, or what the site set in its place, with the same relative band."""
        if isinstance(spread, str):
            low, high = band_of(value, spread_sd(spread, borrowed=self.borrowed))
        else:
            low, high = spread
        if name in self.given:
            self._overrule(name, (value, low, high), rows)
            return
        self.values[name] = AnimalValue(
            name=name,
            value=value,
            unit=VALUES[name],
            low=low,
            high=high,
            standing=_lowest(rows),
            how_known=_weakest(rows),
            where=where or "; ".join(dict.fromkeys(one.where for one in rows)),
            rows=rows,
        )

    def _overrule(
        self, name: str, ours: tuple[float, float, float], rows: tuple[Sourced, ...]
    ) -> None:
        set_to = positive(name, self.given[name])
        value, low, high = ours
        self.values[name] = AnimalValue(
            name=name,
            value=set_to,
            unit=VALUES[name],
            low=set_to * low / value,
            high=set_to * high / value,
            standing=Standing.ASSUMED,
            how_known=HowKnown.SITE,
            where=f"Set by the site in place of {value:.3g} {VALUES[name]}; "
            "the relative width of the band is kept.",
            rows=rows,
            overruled=True,
        )

    def entered(self) -> None:
        """Keep what the site set where the tables have nothing."""
        for name, value in self.given.items():
            if name not in self.values:
                self.values[name] = AnimalValue(
                    name=name,
                    value=positive(name, value),
                    unit=VALUES[name],
                    low=None,
                    high=None,
                    standing=Standing.ASSUMED,
                    how_known=HowKnown.SITE,
                    where="Set by the site; the tables have no such value of this species.",
                    overruled=True,
                )

    def power(self, name: str, unit: str) -> tuple[float, tuple[Sourced, ...]]:
        """Coefficient times a power of weight, and the two rows."""
        coefficient = sourced("animals", f"{name}.coefficient_{unit}")
        exponent = sourced("animals", f"{name}.exponent")
        value = power_of_weight(coefficient.value, exponent.value, self.weight_kg)
        return value, (coefficient, exponent)


def worked_out(
    species: str,
    weight_kg: float,
    given: Mapping[str, float],
    which: ValueSet = ValueSet.USER,
    *,
    borrowed: bool = False,
) -> dict[str, AnimalValue]:
    """All values of an animal that the tables allow, those of the site in their place."""
    worked = Worked(species, weight_kg, given, borrowed=borrowed)
    _flows(worked)
    _lung(worked, which)
    _blood(worked, which)
    _constants(worked)
    _awake(worked)
    _metabolism(worked)
    _rates(worked)
    _warmth(worked)
    worked.entered()
    return {name: worked.values[name] for name in VALUES if name in worked.values}


def _flows(worked: Worked) -> None:
    for name, key in (("cardiac_output_l_min", "cardiac_output"), ("alveolar_l_min", "alveolar")):
        value, rows = worked.power(key, "l_min")
        worked.put(name, value, rows, key)
    dead = sourced("animals", "dead_space_fraction")
    worked.put("dead_space_fraction", dead.value, (dead,), (0.25, 0.40))
    minute = minute_volume_from_alveolar_l_min(
        worked.number("alveolar_l_min"), worked.number("dead_space_fraction")
    )
    worked.put(
        "minute_volume_l_min", minute, (*worked.values["alveolar_l_min"].rows, dead), "alveolar"
    )


def _lung(worked: Worked, which: ValueSet) -> None:
    below = sourced("animals", "lung.measured_below_kg").value
    measured = lung_volumes(worked.species)
    if which is not ValueSet.UPTAKE and measured and worked.weight_kg < below:
        mean = sum(one.value for one in measured) / len(measured)
        worked.put("lung_l", 0.001 * mean * worked.weight_kg, measured, "lung")
    else:
        value, rows = worked.power("lung", "l")
        worked.put("lung_l", value, rows, "lung")
    tissue = sourced("animals", "lung_tissue.share_l_kg")
    worked.put("lung_tissue_l", tissue.value * worked.weight_kg, (tissue,), "tissue_volume")


def _blood(worked: Worked, which: ValueSet) -> None:
    row = blood_volume(worked.species) if which is not ValueSet.UPTAKE else None
    if row is None:
        row = sourced("animals", "blood.share_l_kg")
        share = row.value
    else:
        share = 0.001 * row.value
    worked.put("blood_l", share * worked.weight_kg, (row,), "blood")
    for name, part in (("arterial_l", "arterial_share"), ("venous_l", "venous_share")):
        kept = sourced("animals", f"blood.{part}")
        worked.put(name, kept.value * worked.number("blood_l"), (row, kept), "blood")


def _constants(worked: Worked) -> None:
    for name, spread in (("shunt_fraction", "shunt"), ("dead_alveolar_fraction", "dead_alveolar")):
        row = sourced("animals", name)
        worked.put(name, row.value, (row,), spread)


def _awake(worked: Worked) -> None:
    groups = four_groups(worked.species)
    if groups is not None:
        row = groups.output_ml_min_kg
        worked.put(
            "cardiac_output_awake_l_min",
            0.001 * row.value * worked.weight_kg,
            (row,),
            "cardiac_output",
        )
    own = table("animals").get(f"own_tidal.{worked.species}_ml_kg")
    if isinstance(own, Sourced):
        _, predicted = worked.power("tidal", "ml")
        middle = 0.001 * own.value * worked.weight_kg
        high = 0.001 * worked.power("tidal", "ml")[0]
        low = 0.001 * (own.low or own.value) * worked.weight_kg
        worked.put("tidal_l", middle, (own, *predicted), (low, max(high, middle)))
    else:
        value, rows = worked.power("tidal", "ml")
        worked.put("tidal_l", 0.001 * value, rows, "awake")
    value, rows = worked.power("minute_volume_awake", "ml_min")
    worked.put("minute_volume_awake_l_min", 0.001 * value, rows, "awake")
    value, rows = worked.power("dead_space", "ml")
    worked.put("dead_space_l", 0.001 * value, rows, "awake")


def _metabolism(worked: Worked) -> None:
    value, rows = worked.power("oxygen_use", "l_min")
    worked.put("oxygen_use_l_min", value, rows, "metabolism")
    quotient = sourced("animals", "co2_output.per_oxygen_use")
    made = co2_output_l_min(worked.number("oxygen_use_l_min"), quotient.value)
    worked.put("co2_output_l_min", made, (*rows, quotient), "metabolism")
    forms = [worked.power(name, "ml_min") for name in ("oxygen_stahl", "oxygen_kleiber")]
    larger, from_rows = max(forms, key=lambda one: one[0])
    worked.put(
        "oxygen_demand_l_min",
        0.001 * larger,
        from_rows,
        "metabolism",
        where="The larger of the two published lines, as supply asks for the cautious one: "
        + from_rows[0].where,
    )


def _rates(worked: Worked) -> None:
    value, rows = worked.power("breaths", "per_min")
    worked.put("breaths_per_min", value, rows, "awake")
    own = table("animals").get(f"own_heart_rate.{worked.species}")
    if isinstance(own, Sourced):
        band = own.band()
        worked.put("heart_rate_per_min", own.value, (own,), (band.low, band.high))
    else:
        value, rows = worked.power("heart_rate", "per_min")
        worked.put("heart_rate_per_min", value, rows, "awake")


def _warmth(worked: Worked) -> None:
    row = table("animals").get(f"temperature.{worked.species}")
    if isinstance(row, Sourced):
        low, high = (row.low or row.value - 0.5, row.high or row.value + 0.5)
        worked.put("temperature_k", kelvin(row.value), (row,), (kelvin(low), kelvin(high)))
    fall = table("animals").get(f"fall_in_an_hour.{worked.species}")
    if isinstance(fall, Sourced):
        band = fall.band()
        worked.put("fall_in_an_hour_k", fall.value, (fall,), (band.low, band.high))


_RANK: Callable[[Standing], int] = list(Standing).index
_MARKS = (HowKnown.SEEN, HowKnown.COMPUTED, HowKnown.COMMON, HowKnown.MEMORY)


def _lowest(rows: tuple[Sourced, ...]) -> Standing:
    """No surer than the least sure row it stands on; what is worked out is no measurement."""
    worst = max((one.standing for one in rows), key=_RANK)
    return Standing.ESTIMATED if worst is Standing.MEASURED else worst


def _weakest(rows: tuple[Sourced, ...]) -> HowKnown:
    marks = [one.how_known for one in rows if one.how_known in _MARKS]
    weakest = max(marks, key=_MARKS.index)
    return HowKnown.COMPUTED if weakest is HowKnown.SEEN else weakest
