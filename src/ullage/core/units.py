"""Units at the edges: what people write, turned into the one unit used inside.

Inside: kPa (absolute unless the name says gauge), K, L of free gas, L/min, kg, min, m.
"""

import re
from collections.abc import Mapping
from math import isfinite

from ullage.core.errors import UnreadableQuantity

__all__ = [
    "BAR_KPA",
    "CUBIC_FOOT_L",
    "KGF_CM2_KPA",
    "KINDS",
    "PSI_KPA",
    "STANDARD_ATMOSPHERE_KPA",
    "ZERO_CELSIUS_K",
    "celsius",
    "convert",
    "kelvin",
    "read_quantity",
    "unit_of",
]

STANDARD_ATMOSPHERE_KPA = 101.325
ZERO_CELSIUS_K = 273.15
PSI_KPA = 6.894757293168361
BAR_KPA = 100.0
KGF_CM2_KPA = 98.0665
CUBIC_FOOT_L = 28.316846592
GALLON_US_L = 3.785411784
POUND_KG = 0.45359237
INCH_M = 0.0254
FOOT_M = 0.3048

#: Raised and lowered figures as plain ones.
_RAISED = str.maketrans("²³¹⁻₂−", "231-2-")

#: For each kind of quantity: how people write a unit -> how many of ours it is.
#: The first unit of a kind is ours. Temperature is handled apart, since it has a zero point.
KINDS: Mapping[str, Mapping[str, float]] = {
    "pressure": {
        "kPa": 1.0,
        "psi": PSI_KPA,
        "bar": BAR_KPA,
        "MPa": 1000.0,
        "hPa": 0.1,
        "mbar": 0.1,
        "Pa": 0.001,
        "kgf/cm²": KGF_CM2_KPA,
        "atm": STANDARD_ATMOSPHERE_KPA,
        "mmHg": 0.133322387415,
        "inHg": 3.386388640341,
        "cmH2O": 0.0980665,
    },
    "volume": {
        "L": 1.0,
        "mL": 0.001,
        "m³": 1000.0,
        "cu ft": CUBIC_FOOT_L,
        "gal": GALLON_US_L,
    },
    "flow": {
        "L/min": 1.0,
        "mL/min": 0.001,
        "L/h": 1.0 / 60.0,
        "L/s": 60.0,
        "m³/h": 1000.0 / 60.0,
        "cu ft/h": CUBIC_FOOT_L / 60.0,
        "cu ft/min": CUBIC_FOOT_L,
    },
    "flow per weight": {"L/min/kg": 1.0, "mL/min/kg": 0.001},
    "time": {"min": 1.0, "s": 1.0 / 60.0, "h": 60.0, "d": 1440.0},
    "mass": {"kg": 1.0, "g": 0.001, "mg": 1e-6, "lb": POUND_KG, "oz": POUND_KG / 16.0},
    "length": {"m": 1.0, "cm": 0.01, "mm": 0.001, "in": INCH_M, "ft": FOOT_M},
    "room volume": {"m³": 1.0, "L": 0.001, "cu ft": CUBIC_FOOT_L / 1000.0},
    "temperature": {"K": 1.0, "°C": 1.0, "°F": 5.0 / 9.0},
    "temperature step": {"K": 1.0, "°C": 1.0, "°F": 5.0 / 9.0},
    "share": {"1": 1.0, "%": 0.01, "ppm": 1e-6},
    "volume per pressure": {
        "L/kPa": 1.0,
        "mL/cmH2O": 0.001 / 0.0980665,
        "mL/mbar": 0.01,
        "mL/hPa": 0.01,
        "mL/kPa": 0.001,
        "L/bar": 0.01,
        "L/psi": 1.0 / PSI_KPA,
    },
    "rate": {"/h": 1.0, "/min": 60.0, "/d": 1.0 / 24.0},
    "count": {"1": 1.0},
}

#: Other ways of writing a unit, folded (lower case, no spaces, dots or carets).
_ALIASES: Mapping[str, str] = {
    "psig": "psi",
    "lb/in2": "psi",
    "barg": "bar",
    "bars": "bar",
    "kpag": "kPa",
    "mpag": "MPa",
    "millibar": "mbar",
    "lbf/in2": "psi",
    "kgf/cm2": "kgf/cm²",
    "kg/cm2": "kgf/cm²",
    "kp/cm2": "kgf/cm²",
    "kgfcm2": "kgf/cm²",
    "l": "L",
    "litre": "L",
    "litres": "L",
    "liter": "L",
    "liters": "L",
    "lt": "L",
    "ltr": "L",
    "ml": "mL",
    "cc": "mL",
    "m3": "m³",
    "cuft": "cu ft",
    "cubicfeet": "cu ft",
    "cubicfoot": "cu ft",
    "ft3": "cu ft",
    "cf": "cu ft",
    "scf": "cu ft",
    "gallon": "gal",
    "gallons": "gal",
    "lpm": "L/min",
    "l/m": "L/min",
    "lmin": "L/min",
    "litres/min": "L/min",
    "liters/min": "L/min",
    "litre/minute": "L/min",
    "litres/minute": "L/min",
    "liter/minute": "L/min",
    "liters/minute": "L/min",
    "mlpm": "mL/min",
    "ml/m": "mL/min",
    "cc/min": "mL/min",
    "lph": "L/h",
    "l/hr": "L/h",
    "litres/hour": "L/h",
    "liters/hour": "L/h",
    "m3/h": "m³/h",
    "scfh": "cu ft/h",
    "cfh": "cu ft/h",
    "cuft/h": "cu ft/h",
    "scfm": "cu ft/min",
    "cfm": "cu ft/min",
    "cuft/min": "cu ft/min",
    "ml/kg/min": "mL/min/kg",
    "ml/minute/kg": "mL/min/kg",
    "l/kg/min": "L/min/kg",
    "minute": "min",
    "minutes": "min",
    "mins": "min",
    "hr": "h",
    "hrs": "h",
    "hour": "h",
    "hours": "h",
    "sec": "s",
    "secs": "s",
    "second": "s",
    "seconds": "s",
    "day": "d",
    "days": "d",
    "kgs": "kg",
    "kilogram": "kg",
    "gram": "g",
    "grams": "g",
    "lbs": "lb",
    "pound": "lb",
    "pounds": "lb",
    "metre": "m",
    "metres": "m",
    "meter": "m",
    "meters": "m",
    "inch": "in",
    "inches": "in",
    '"': "in",
    "'": "ft",
    "feet": "ft",
    "foot": "ft",
    "c": "°C",
    "degc": "°C",
    "celsius": "°C",
    "f": "°F",
    "degf": "°F",
    "fahrenheit": "°F",
    "kelvin": "K",
    "percent": "%",
    "perhour": "/h",
    "/hr": "/h",
    "ach": "/h",
}

#: Between groups of three digits people write a blank, a thin blank or an apostrophe.
_GAP = "[ \u00a0\u2009\u202f'\u2019]"
_NUMBER = re.compile(rf"^([+-]?(?:\d(?:\d|{_GAP}(?=\d))*)?(?:[.,]\d+)*(?:[eE][+-]?\d+)?)\s*(.*)$")
_GAPPED = re.compile(rf"^[+-]?\d{{1,3}}(?:{_GAP}\d{{3}})+(?:[.,]\d+)?$")
_COMMAS = re.compile(r"^[+-]?[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?$")
_POINTS = re.compile(r"^[+-]?[1-9]\d{0,2}(?:\.\d{3})+(?:,\d+)?$")
#: Units whose readings run in the thousands: one comma before three digits marks thousands.
_IN_THOUSANDS = frozenset({"psi", "Pa", "hPa", "mbar", "mL/min", "ft", "cu ft"})
#: Those of them that are also written with a point between thousands.
_POINT_IN_DOUBT = frozenset({"psi", "Pa", "hPa", "mbar", "mL/min"})
_CLOCKED = re.compile(r"^(\d+)\s*h\s*(\d{1,2})(?:\s*min)?$|^(\d+):(\d{2})\s*(?:h)?$")


def kelvin(celsius_degrees: float) -> float:
    """Absolute temperature of a Celsius reading.

    Parameters
    ----------
    celsius_degrees : [°C] any finite number.

    Returns
    -------
    [K]

    >>> kelvin(20.0)
    293.15
    """
    return celsius_degrees + ZERO_CELSIUS_K


def celsius(temperature_k: float) -> float:
    """Celsius reading of an absolute temperature.

    Parameters
    ----------
    temperature_k : [K] any finite number.

    Returns
    -------
    [°C]

    >>> celsius(293.15)
    20.0
    """
    return temperature_k - ZERO_CELSIUS_K


def unit_of(kind: str, written: str) -> str:
    """Our spelling of a unit that somebody wrote; refuse one that the kind does not have.

    >>> unit_of("pressure", "PSIG"), unit_of("flow", "lpm"), unit_of("pressure", "kg/cm2")
    ('psi', 'L/min', 'kgf/cm²')
    """
    _known(kind)
    units = KINDS[kind]
    if written in units:
        return written
    folded = _folded(written)
    if kind == "pressure":
        folded = re.sub(r"(?<=[a-z])(?:gauge|\(g\))$", "", folded)
    exact = {_folded(unit): unit for unit in units}
    found = exact.get(folded) or _ALIASES.get(folded, "")
    if found in units and not _differs_by_case(written, found):
        return found
    known = ", ".join(unit for unit in units if unit != "1")
    if not known:
        raise UnreadableQuantity(f"{written!r}: a {kind} has no unit; write the number alone.")
    said = f"{written!r} is not a unit of {kind}" if written else f"A {kind} needs its unit"
    raise UnreadableQuantity(f"{said}; write one of {known}.")


def _folded(written: str) -> str:
    """Lower case without blanks, dots and carets; powers and "per" in one spelling."""
    bare = re.sub(r"[\s.^°·⋅]", "", written.lower()).translate(_RAISED)
    return re.sub(r"(min|kg|h)-1", r"/\1", re.sub(r"(?<=[a-z])per(?=[a-z])", "/", bare))


def _differs_by_case(written: str, unit: str) -> bool:
    """Say whether upper and lower case change the meaning: mPa is not MPa."""
    return {written, unit} == {"mPa", "MPa"}


def convert(value: float, unit: str, kind: str, to: str | None = None) -> float:
    """A value in one unit of a kind, in another (ours when none is named).

    Parameters
    ----------
    value : [1] a number in the unit named beside it; what is no number stays none.
    unit : of the value, as people write it.
    kind : of quantity, such as pressure, volume, flow, time, mass, length or temperature.
    to : the unit wanted; None: ours.

    Returns
    -------
    [1] the number in the unit asked for.

    Raises
    ------
    UnreadableQuantity : no such kind, or a unit that the kind does not have.

    >>> round(convert(1900, "psi", "pressure"), 1)
    13100.0
    >>> round(convert(70, "°F", "temperature", "°C"), 2)
    21.11
    """
    unit, to = unit_of(kind, unit), unit_of(kind, to or next(iter(KINDS[kind])))
    if unit == to:
        return value
    if kind == "temperature":
        return _from_kelvin(_to_kelvin(value, unit), to)
    return value * KINDS[kind][unit] / KINDS[kind][to]


def _known(kind: str) -> None:
    """Refuse a kind that is none."""
    if kind not in KINDS:
        raise UnreadableQuantity(
            f"{kind!r} is no kind of quantity; it is one of {', '.join(KINDS)}."
        )


def _to_kelvin(value: float, unit: str) -> float:
    if unit == "°F":
        return (value - 32.0) * 5.0 / 9.0 + ZERO_CELSIUS_K
    return value + ZERO_CELSIUS_K if unit == "°C" else value


def _from_kelvin(temperature_k: float, unit: str) -> float:
    if unit == "°F":
        return (temperature_k - ZERO_CELSIUS_K) * 9.0 / 5.0 + 32.0
    return temperature_k - ZERO_CELSIUS_K if unit == "°C" else temperature_k


def read_quantity(text: str, kind: str, *, unit: str | None = None) -> float:
    """The number that somebody wrote with its unit, in our unit.

    Parameters
    ----------
    text : such as ``1900 psi``, ``13.1 MPa``, ``0,5 L/min``, ``1,900 psig``, ``2 h 30 min``.
    kind : of quantity, such as pressure, volume, flow, time, mass, length or temperature.
    unit : taken when the text names none; without it a missing unit is refused.

    Returns
    -------
    [1] in the first unit of the kind.

    Raises
    ------
    UnreadableQuantity : no number, no unit, no such kind, or a unit that it does not have.

    >>> round(read_quantity("1,900 psig", "pressure"))
    13100
    >>> read_quantity("0,5 L/min", "flow"), read_quantity("2 h 30 min", "time")
    (0.5, 150.0)
    """
    _known(kind)
    written = text.strip().replace("\u2212", "-")
    if kind == "time" and (clocked := _CLOCKED.match(written)):
        hours, minutes = (int(one) for one in clocked.groups() if one is not None)
        return hours * 60.0 + minutes
    found = _NUMBER.match(written)
    digits, rest = found.groups() if found else ("", "")
    named = rest.strip() or unit or _unit_unsaid(kind)
    number = _number(digits, named, kind)
    if number is None:
        raise UnreadableQuantity(f"{text!r} is not a {kind}; write a number {_wanted(kind)}.")
    value = convert(number, named, kind)
    if kind == "temperature" and value < 0.0:
        raise UnreadableQuantity(f"{text!r} is below absolute zero; no temperature is.")
    return value


def _unit_unsaid(kind: str) -> str:
    """A plain number needs no unit; every other kind does."""
    return "1" if "1" in KINDS[kind] else ""


def _wanted(kind: str) -> str:
    """What must stand beside a number of a kind."""
    known = ", ".join(unit for unit in KINDS[kind] if unit != "1")
    return f"and one of {known}" if known else "alone"


def _number(written: str, unit: str, kind: str) -> float | None:
    """Read digits with gaps or marks between thousands, and a decimal point or comma."""
    digits = re.sub(_GAP, "", written)
    if digits != written and not _GAPPED.match(written):
        return None
    if _COMMAS.match(digits) or _POINTS.match(digits):
        digits = _without_marks(digits, unit, kind)
    elif digits.count(",") == 1 and "." not in digits:
        digits = digits.replace(",", ".")
    try:
        value = float(digits)
    except ValueError:
        return None
    return value if isfinite(value) else None


def _without_marks(digits: str, unit: str, kind: str) -> str:
    """Take out marks between thousands; refuse one mark that may as well be a decimal one."""
    thousands = "," if _COMMAS.match(digits) else "."
    decimal = "." if thousands == "," else ","
    named = unit_of(kind, unit)
    if digits.count(thousands) == 1 and decimal not in digits:
        if thousands == "." and named not in _POINT_IN_DOUBT:
            return digits  # a decimal point with three decimals
        if thousands == "." or named not in _IN_THOUSANDS:
            one, other = digits.replace(thousands, ""), float(digits.replace(thousands, "."))
            said = f"{digits} {unit}".removesuffix(" 1")
            raise UnreadableQuantity(
                f"{said} may be {one} or {other:g}; write it without the mark."
            )
    return digits.replace(thousands, "").replace(decimal, ".")
