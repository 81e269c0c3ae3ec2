"""What a site may choose between, in the words of its settings."""

__all__ = [
    "COLOURS",
    "CONDITIONS",
    "COUNTRIES",
    "PRESSURE_UNITS",
    "TEMPERATURE_UNITS",
]

PRESSURE_UNITS = [("bar", "bar"), ("psi", "psi"), ("kPa", "kPa"), ("MPa", "MPa")]
PRESSURE_UNITS += [("kgf/cm²", "kgf/cm²")]
TEMPERATURE_UNITS = [("°C", "°C"), ("°F", "°F")]
COLOURS = [
    ("iso32", "ISO 32: oxygen white, nitrous oxide blue, air black and white"),
    ("us", "US: oxygen green, nitrous oxide blue, air yellow"),
]
CONDITIONS = [
    ("15C", "15 °C, 1 atm: as labels in Europe state it"),
    ("70F", "70 °F, 1 atm: as labels in the US state it"),
    ("0C", "0 °C, 1 atm: normal litres"),
]
COUNTRIES = [
    ("GB", "United Kingdom"),
    ("US", "United States"),
    ("AU", "Australia"),
    ("AT", "Austria"),
    ("BE", "Belgium"),
    ("BR", "Brazil"),
    ("CA", "Canada"),
    ("CN", "China"),
    ("CZ", "Czechia"),
    ("DK", "Denmark"),
    ("FI", "Finland"),
    ("FR", "France"),
    ("DE", "Germany"),
    ("IN", "India"),
    ("IE", "Ireland"),
    ("IL", "Israel"),
    ("IT", "Italy"),
    ("JP", "Japan"),
    ("NL", "Netherlands"),
    ("NZ", "New Zealand"),
    ("NO", "Norway"),
    ("PL", "Poland"),
    ("PT", "Portugal"),
    ("SG", "Singapore"),
    ("ZA", "South Africa"),
    ("KR", "South Korea"),
    ("ES", "Spain"),
    ("SE", "Sweden"),
    ("CH", "Switzerland"),
    ("ZZ", "Another country"),
]
