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
    "kgf/cm2": "kgf/cm²",
    "kg/cm2": "kgf/cm²",
    "kgfcm2": "kgf/cm²",
    "kgf/cm²": "kgf/cm²",
    "cmh₂o": "cmH2O",
    "l": "L",
    "litre": "L",
    "litres": "L",
    "liter": "L",
    "liters": "L",
    "lt": "L",
    "ml": "mL",
    "cc": "mL",
    "m3": "m³",
    "cuft": "cu ft",
    "ft3": "cu ft",
    "ft³": "cu ft",
    "cf": "cu ft",
    "scf": "cu ft",
    "gallon": "gal",
    "gallons": "gal",
    "lpm": "L/min",
    "l/m": "L/min",
    "lmin": "L/min",
    "litres/min": "L/min",
    "mlpm": "mL/min",
    "ml/m": "mL/min",
    "cc/min": "mL/min",
    "lph": "L/h",
    "l/hr": "L/h",
    "m3/h": "m³/h",
    "scfh": "cu ft/h",
    "cfh": "cu ft/h",
    "cuft/h": "cu ft/h",
    "scfm": "cu ft/min",
    "cfm": "cu ft/min",
    "cuft/min": "cu ft/min",
    "ml/kg/min": "mL/min/kg",
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

_NUMBER = re.compile(r"^([+-]?(?:\d[\d\s\u00a0\u202f]*)?(?:[.,]\d+)*(?:[eE][+-]?\d+)?)\s*(.*)$")
_THOUSANDS = re.compile(r"^[+-]?\d{1,3}(?:,\d{3})+(?:\.\d+)?$")
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
    units = KINDS[kind]
    if written in units:
        return written
    folded = written.lower().replace(" ", "").replace(".", "").replace("^", "").replace("°", "")
    exact = {unit.lower().replace(" ", "").replace("°", ""): unit for unit in units}
    found = exact.get(folded) or _ALIASES.get(folded, "")
    if found in units and not _differs_by_case(written, found):
        return found
    known = ", ".join(unit for unit in units if unit != "1")
    said = f"{written!r} is not a unit of {kind}" if written else f"A {kind} needs its unit"
    raise UnreadableQuantity(f"{said}; write one of {known}.")


def _differs_by_case(written: str, unit: str) -> bool:
    """Say whether upper and lower case change the meaning: mPa is not MPa."""
    return {written, unit} == {"mPa", "MPa"}


def convert(value: float, unit: str, kind: str, to: str | None = None) -> float:
    """A value in one unit of a kind, in another (ours when none is named).

    Parameters
    ----------
    value : [1] a number in the unit named beside it.
    unit : of the value, as people write it.
    kind : of quantity, such as pressure, volume, flow, time, mass, length or temperature.
    to : the unit wanted; None: ours.

    Returns
    -------
    [1] the number in the unit asked for.

    Raises
    ------
    UnreadableQuantity : a unit that the kind does not have.

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
    UnreadableQuantity : no number, no unit, or a unit that the kind does not have.

    >>> round(read_quantity("1,900 psig", "pressure"))
    13100
    >>> read_quantity("0,5 L/min", "flow"), read_quantity("2 h 30 min", "time")
    (0.5, 150.0)
    """
    written = text.strip().replace("\u2212", "-")
    if kind == "time" and (clocked := _CLOCKED.match(written)):
        hours, minutes = clocked.group(1, 2) if clocked.group(1) else clocked.group(3, 4)
        return int(hours) * 60.0 + int(minutes)
    found = _NUMBER.match(written)
    number = _number(found.group(1)) if found else None
    if found is None or number is None:
        known = ", ".join(one for one in KINDS[kind] if one != "1")
        raise UnreadableQuantity(f"{text!r} is not a {kind}; write a number and one of {known}.")
    rest = found.group(2).strip() or unit or ("1" if "1" in KINDS[kind] else "")
    return convert(number, rest, kind)


def _number(written: str) -> float | None:
    """Read digits with spaces, a decimal comma, or commas between thousands."""
    digits = re.sub(r"[\s\u00a0\u202f]", "", written)
    if not digits or not any(one.isdigit() for one in digits):
        return None
    if _THOUSANDS.match(digits):
        digits = digits.replace(",", "")
    elif digits.count(",") == 1 and "." not in digits:
        digits = digits.replace(",", ".")
    try:
        value = float(digits)
    except ValueError:
        return None
    return value if isfinite(value) else None
