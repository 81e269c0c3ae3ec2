"""Large volumes of gas in litres and in cubic feet, the one first that the place speaks in."""

from ullage.answers.held import shown_l
from ullage.answers.things import Place
from ullage.answers.words import figure
from ullage.core.gas import F70
from ullage.core.units import convert

__all__ = ["both_units", "first_unit", "in_first_unit", "limit_text"]


def first_unit(place: Place) -> str:
    """``cu ft`` where litres are counted as labels in the United States state them.

    >>> first_unit(Place()), first_unit(Place(condition=F70))
    ('L', 'cu ft')
    """
    return "cu ft" if place.condition == F70 else "L"


def in_first_unit(litres: float, place: Place) -> float:
    """Inside litres (70 °F) in the unit that the place says first.

    >>> round(in_first_unit(660.0, Place(condition=F70)), 1)
    23.3
    """
    if first_unit(place) == "cu ft":
        return convert(litres, "L", "volume", "cu ft")
    return shown_l(litres, place)


def both_units(litres: float, place: Place) -> str:
    """Inside litres in both units; cubic feet are of gas at 70 °F and 1 atm.

    >>> both_units(660.0, Place(condition=F70)), both_units(660.0, Place())
    ('23.3 cu ft (660 L)', '646 L (23.3 cu ft)')
    """
    return _ordered(figure(convert(litres, "L", "volume", "cu ft")), litres, place)


def limit_text(cu_ft: float, place: Place) -> str:
    """A threshold that is printed in cubic feet, in both units.

    >>> limit_text(300.0, Place(condition=F70)).replace("\u202f", " "), limit_text(6.0, Place())
    ('300 cu ft (8 495 L)', '166 L (6 cu ft)')
    """
    return _ordered(f"{cu_ft:g}", convert(cu_ft, "cu ft", "volume", "L"), place)


def _ordered(cu_ft: str, litres: float, place: Place) -> str:
    shown = f"{figure(shown_l(litres, place))} L"
    if first_unit(place) == "cu ft":
        return f"{cu_ft} cu ft ({shown})"
    return f"{shown} ({cu_ft} cu ft)"
