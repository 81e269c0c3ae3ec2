"""Which variables a chart draws on its grid, and which stand in rows under it, in their order."""

from ullage.reference.record import VariableRow

__all__ = ["EVER", "NEVER", "ROW_TITLES", "SERIES", "TEMPERATURES", "row_order", "row_title"]

#: On the grid: what the glyph means -> the ways to measure it, the one that is drawn first.
SERIES = {
    "systolic": ("arterial_systolic", "cuff_systolic", "pressure_systolic"),
    "diastolic": ("arterial_diastolic", "cuff_diastolic", "pressure_diastolic"),
    "mean": ("arterial_mean", "cuff_mean", "pressure_mean"),
    "heart_rate": ("heart_rate", "pulse_rate"),
    "breaths": ("respiratory_rate", "respiratory_rate_co2"),
}

#: Short titles and units of rows; other rows have the name of their variable.
ROW_TITLES = {
    "mean": ("Mean pressure", "mmHg"),
    "oxygen_saturation": ("SpO₂", "%"),
    "end_tidal_co2": ("End-tidal CO₂", "mmHg"),
    "inspired_co2": ("Inspired CO₂", "mmHg"),
    "inspired_oxygen": ("Inspired O₂", "%"),
    "end_tidal_oxygen": ("End-tidal O₂", "%"),
    "ventilation": ("Ventilation", ""),
    "temperature": ("Temp", "°C"),
    "temperature_rectal": ("Temp, rectal", "°C"),
    "temperature_gullet": ("Temp, gullet", "°C"),
    "dial": ("Dial", "%"),
    "flow": ("Flow", "L/min"),
    "flow_oxygen": ("Flow O₂", "L/min"),
    "flow_air": ("Flow air", "L/min"),
    "flow_nitrous_oxide": ("Flow N₂O", "L/min"),
    "end_tidal_anything": ("End-tidal agent", "%"),
    "eyelid": ("Eyelid reflex", ""),
    "jaw": ("Jaw", ""),
    "eye": ("Eye", ""),
    "movement": ("Movement", ""),
    "withdrawal": ("Withdrawal", ""),
    "heating": ("Warming", ""),
    "heater_temperature": ("Heater", "°C"),
    "gauge": ("Gauge", "bar"),
    "mac_multiple": ("Multiple of MAC", ""),
    "airway_pressure": ("Airway peak", "cmH₂O"),
    "end_pressure": ("Airway end", "cmH₂O"),
    "room_temperature": ("Room", "°C"),
    "room_agent": ("Agent in room", "ppm"),
    "air_pressure": ("Air pressure", "kPa"),
    "fluids": ("Fluids, total", "mL"),
}
#: Rows that stand on every chart, so that what nobody entered shows.
EVER = (
    "mean",
    "oxygen_saturation",
    "end_tidal_co2",
    "inspired_co2",
    "ventilation",
    "temperature",
    "dial",
    "flow",
    "end_tidal_anything",
    "eyelid",
    "jaw",
    "eye",
    "fluids",
)
#: Settings and facts that are told in words elsewhere.
NEVER = frozenset(
    {"weight", "agent", "carrier", "system", "airway", "induction", "phase", "temperature_site"}
)
#: Temperatures of the animal: a row for each place in which they were taken.
TEMPERATURES = frozenset({"temperature", "temperature_rectal", "temperature_gullet"})
_ORDER = ("mean", *(key for key in ROW_TITLES if key != "mean"))
_NOT_AGENTS = ("co2", "oxygen")


def row_order(key: str) -> int:
    """Where a row stands; rows that show the same thing stand in the same place.

    >>> row_order("flow_air") == row_order("flow"), row_order("mean")
    (True, 0)
    """
    bare = key.split(" ", maxsplit=1)[0]
    if bare.startswith("end_tidal_") and not bare.endswith(_NOT_AGENTS):
        bare = "end_tidal_anything"
    for family in ("temperature", "flow"):
        bare = family if bare.startswith(family) else bare
    return _ORDER.index(bare) if bare in _ORDER else len(_ORDER)


def row_title(key: str, variable: VariableRow) -> str:
    """The title of a row, with the place of a temperature."""
    bare, _, site = key.partition(" ")
    if bare == "temperature":
        return f"Temp, {site}" if site else "Temp, site unknown"
    if bare in ROW_TITLES:
        title = ROW_TITLES[bare][0]
        return f"{title}, {site}" if site else title
    return variable.name.replace("nitrous oxide", "N₂O").replace(", not identified", "")
