"""Units and numbers of entries as people type them, brought to the whitelist of their variable."""

import re

from ullage.answers.record.things import Reading
from ullage.core.errors import UnknownReference, UnreadableQuantity
from ullage.core.units import convert
from ullage.reference.record import VariableRow, variable_rows

__all__ = ["MEASURES", "in_unit", "measure", "read_reading", "unit_written", "variable"]

#: How people write a unit, folded -> how the record does. What may mean two things is in none.
_WRITTEN = {
    "mmhg": "mm[Hg]",
    "cmh2o": "cm[H2O]",
    "psi": "[psi]",
    "psig": "[psi]",
    "°c": "Cel",
    "degc": "Cel",
    "cel": "Cel",
    "°f": "[degF]",
    "degf": "[degF]",
    "bpm": "/min",
    "1/min": "/min",
    "permin": "/min",
    "ppm": "[ppm]",
    "vol%": "%{vol}",
    "%vol": "%{vol}",
    "lpm": "L/min",
    "l/min": "L/min",
    "ml/min": "mL/min",
    "µg/kg": "ug/kg",
    "μg/kg": "ug/kg",
    "mcg/kg": "ug/kg",
    "ml": "mL",
    "ml/kg/h": "mL/kg/h",
    "ml/h": "mL/h",
    "mg/ml": "mg/mL",
    "µg/ml": "ug/mL",
    "μg/ml": "ug/mL",
    "µg/kg/min": "ug/kg/min",
    "μg/kg/min": "ug/kg/min",
    "mac": "{MAC}",
}

#: What a drug or a fluid is measured in; the usual unit first.
MEASURES = {
    "dose": ("mg/kg", "ug/kg", "mg", "ug", "ug/kg/min", "mg/kg/h"),
    "concentration": ("mg/mL", "ug/mL", "%", "[iU]/mL"),
    "volume": ("mL", "uL", "L"),
    "rate": ("mL/kg/h", "mL/h"),
}

#: Unit of the record -> kind and spelling with which it is converted.
_CONVERTED = {
    "mm[Hg]": ("pressure", "mmHg"),
    "kPa": ("pressure", "kPa"),
    "cm[H2O]": ("pressure", "cmH2O"),
    "mbar": ("pressure", "mbar"),
    "bar": ("pressure", "bar"),
    "[psi]": ("pressure", "psi"),
    "Cel": ("temperature", "°C"),
    "[degF]": ("temperature", "°F"),
    "L/min": ("flow", "L/min"),
    "mL/min": ("flow", "mL/min"),
    "g": ("mass", "g"),
    "kg": ("mass", "kg"),
    "mL": ("volume", "mL"),
    "L": ("volume", "L"),
}
#: Units that say the same thing under another name.
_SAME = {"{beats}/min": "/min", "{breaths}/min": "/min", "%{vol}": "%", "{MAC}": "1"}

_NUMBER = re.compile(r"^([+-]?[0-9]+(?:[.,][0-9]+)?)\s*(.*)$", re.DOTALL)


def variable(key: str) -> VariableRow:
    """One variable by key.

    Raises
    ------
    UnknownReference : no such variable.

    >>> variable("mac_multiple").ucum
    ('1', '{MAC}')
    """
    found = variable_rows().get(key)
    if found is None:
        from difflib import get_close_matches

        near = ", ".join(get_close_matches(key, variable_rows())) or "none"
        raise UnknownReference(f"{key!r} is not observed here. Similar: {near}.")
    return found


def unit_written(written: str, allowed: tuple[str, ...], of: str) -> str:
    """The unit of a whitelist that somebody wrote; the only one of it where none was written.

    Parameters
    ----------
    written : as people write it; the first letter case is kept where it changes the meaning.
    allowed : the whitelist, the usual unit first.
    of : what it is a unit of, for the sentence.

    Raises
    ------
    UnreadableQuantity : a unit that is not of the list, or none where several are allowed.

    >>> unit_written("mmHg", ("mm[Hg]", "kPa"), "Mean pressure")
    'mm[Hg]'
    """
    bare = re.sub(r"\s+", "", written)
    if not bare and len({_SAME.get(one, one) for one in allowed}) == 1:
        return allowed[0]
    found = bare if bare in allowed else _WRITTEN.get(bare.lower(), "")
    if found in allowed:
        return found
    if not bare:
        raise UnreadableQuantity(f"{of} needs its unit: {', '.join(allowed)}.")
    raise UnreadableQuantity(f"{of}: {written.strip()[:40]!r} is not one of {', '.join(allowed)}.")


def measure(typed: str, allowed: tuple[str, ...], of: str) -> Reading:
    """A number with its unit as it was typed: digits stay as they are, the unit is named.

    Parameters
    ----------
    typed : such as ``62``, ``1,5 %``, ``12.0 kPa``.
    allowed : the whitelist of units.
    of : what is measured, for the sentence.

    Returns
    -------
    The reading; ``number`` holds the digits as typed, with a point.

    Raises
    ------
    UnreadableQuantity : no plain number, or a unit that is not of the list.

    >>> measure("1,50 mg/kg", ("mg/kg", "ug/kg"), "Dose")
    Reading(number='1.50', unit='mg/kg')
    """
    found = _NUMBER.match(typed.strip().replace("\u2212", "-"))
    if found is None or len(typed) > _LONGEST:
        raise UnreadableQuantity(
            f"{of}: {typed.strip()[:40]!r} is no number with a unit; "
            f"write it like 1.5 {allowed[0]}."
        )
    digits, unit = found.groups()
    if re.search(r",[0-9]{3}$", digits):
        raise UnreadableQuantity(
            f"{of}: {digits} may be {digits.replace(',', '')} or {digits.replace(',', '.')}; "
            "write it without the mark."
        )
    return Reading(number=digits.replace(",", "."), unit=unit_written(unit, allowed, of))


#: Longer than this is no reading.
_LONGEST = 40


def read_reading(key: str, typed: str) -> Reading:
    """What was typed for a variable: a number with its unit, or a word of its list.

    Raises
    ------
    UnreadableQuantity : not a number, not a unit of the whitelist, not a word of the list.
    UnknownReference : no such variable.

    >>> read_reading("cuff_mean", "62 mmHg"), read_reading("jaw", "slack")
    (Reading(number='62', unit='mm[Hg]'), Reading(number='', unit=''))
    """
    one = variable(key)
    if not one.terms:
        return measure(typed, one.ucum, one.name)
    from ullage.reference.record import term_lists

    words = [term.word for term in term_lists()[one.terms]]
    if typed not in words:
        raise UnreadableQuantity(
            f"{one.name}: {typed.strip()[:40]!r} is not one of {', '.join(words)}."
        )
    return Reading(number="", unit="")


def in_unit(value: float, unit: str, to: str) -> float | None:
    """A value in another unit of the record; None where the two do not measure the same.

    >>> round(in_unit(98.6, "[degF]", "Cel"), 1), in_unit(1.0, "%{vol}", "%")
    (37.0, 1.0)
    """
    if _SAME.get(unit, unit) == _SAME.get(to, to):
        return value
    kind, spelled = _CONVERTED.get(unit, ("", unit))
    other, wanted = _CONVERTED.get(to, ("-", to))
    return convert(value, spelled, kind, wanted) if kind == other else None
