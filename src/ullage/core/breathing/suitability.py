"""Which breathing systems suit a weight: bands that overlap, since sources draw them apart."""

from dataclasses import dataclass

from ullage.core.checks import positive
from ullage.core.errors import InvalidQuantity

__all__ = ["WeightBand", "suitability_fraction"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightBand:
    """Weights for which a system is advised: surely between the inner, never past the outer."""

    lowest_kg: float
    low_kg: float
    high_kg: float
    highest_kg: float

    def __post_init__(self) -> None:
        edges = (self.lowest_kg, self.low_kg, self.high_kg, self.highest_kg)
        if not 0.0 <= edges[0] <= edges[1] <= edges[2] <= edges[3]:
            raise InvalidQuantity("weight band", edges[0], "four weights that do not fall")


def suitability_fraction(weight_kg: float, band: WeightBand) -> float:
    """How far a weight lies inside the band of a system.

    Parameters
    ----------
    weight_kg : [kg] above 0.
    band : edges at which advice begins and ends.

    Returns
    -------
    [1] 1 where all sources agree, 0 where none advises it, straight lines between.

    Raises
    ------
    InvalidQuantity : a weight not above 0.

    Source: machine_S03 (quartiles of what respondents advise).

    >>> circle = WeightBand(lowest_kg=3.0, low_kg=10.0, high_kg=100.0, highest_kg=100.0)
    >>> suitability_fraction(30.0, circle), suitability_fraction(2.0, circle)
    (1.0, 0.0)
    >>> round(suitability_fraction(5.0, circle), 2)
    0.29
    """
    positive("weight_kg", weight_kg)
    if band.low_kg <= weight_kg <= band.high_kg:
        return 1.0
    if weight_kg <= band.lowest_kg or weight_kg >= band.highest_kg:
        return 0.0
    if weight_kg < band.low_kg:
        return (weight_kg - band.lowest_kg) / (band.low_kg - band.lowest_kg)
    return (band.highest_kg - weight_kg) / (band.highest_kg - band.high_kg)
