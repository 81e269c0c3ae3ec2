"""Is this weight one of this species, or a slip of the pen?"""

from dataclasses import dataclass

from ullage.answers.words import figure
from ullage.core.checks import positive
from ullage.reference import Sourced, sourced, table

__all__ = ["WeightQuestion", "species_known", "weight_question"]

#: How pens slip: grams for kilograms, a point left out, a nought too many; and back.
_SLIPS = (1000.0, 100.0, 10.0, 0.1, 0.01, 0.001)
_NOT_SPECIES = {"ask_below_share", "ask_above_share"}


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightQuestion:
    """What to ask about a weight, and the weight that was probably meant."""

    sentence: str
    meant_kg: float | None

    @property
    def meant_text(self) -> str:
        """The weight probably meant, in the unit it is spoken in; empty when nothing fits."""
        return "" if self.meant_kg is None else weight_text(self.meant_kg)


def species_known() -> tuple[str, ...]:
    """The species whose adult weights are known, smallest first.

    >>> species_known()[0], species_known()[-1]
    ('mouse', 'horse')
    """
    rows = {key: row for key, row in table("species_weights").items() if key not in _NOT_SPECIES}
    return tuple(sorted(rows, key=lambda key: _row(key).value))


def weight_text(weight_kg: float) -> str:
    """A weight in the unit that people use for that size.

    Parameters
    ----------
    weight_kg : [kg] above 0.

    >>> weight_text(0.025), weight_text(3.4), weight_text(340.0)
    ('25 g', '3.4 kg', '340 kg')
    """
    if weight_kg < 1.0:
        return f"{figure(1000.0 * weight_kg)} g"
    return f"{figure(weight_kg)} kg"


def weight_question(species: str, weight_kg: float) -> WeightQuestion | None:
    """Ask about a weight that no animal of the species is likely to have; None when it may be.

    Parameters
    ----------
    species : as people write it; a species that is not known is never asked about.
    weight_kg : [kg] above 0.

    Raises
    ------
    InvalidQuantity : a weight that is not above 0.

    >>> weight_question("rabbit", 340.0).meant_text
    '3.4 kg'
    >>> weight_question("mouse", 0.025) is None
    True
    """
    positive("weight_kg", weight_kg)
    name = species.strip().lower()
    if name not in species_known():
        return None
    row = _row(name)
    low, high = _ends(row)
    if low * _share("ask_below_share") <= weight_kg <= high * _share("ask_above_share"):
        return None
    meant = next((weight_kg / one for one in _SLIPS if low <= weight_kg / one <= high), None)
    side = "more" if weight_kg > high else "less"
    sentence = (
        f"{weight_text(weight_kg)} is {side} than a {name} is likely to weigh: adults "
        f"{weight_text(low)} to {weight_text(high)}, {row.how_known.words}."
    )
    if meant is not None:
        sentence += f" Did you mean {weight_text(meant)}?"
    return WeightQuestion(sentence=sentence, meant_kg=meant)


def _row(name: str) -> Sourced:
    return sourced("species_weights", name)


def _ends(row: Sourced) -> tuple[float, float]:
    band = row.band()
    return band.low, band.high


def _share(key: str) -> float:
    return sourced("species_weights", key).value
