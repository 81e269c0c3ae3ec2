"""The words of a check row turned into our units, and its tolerance into a test."""

import re
from dataclasses import dataclass

from ullage.core.gas import C0, C15, F70, Gas, ReferenceCondition
from ullage.core.units import PSI_KPA, kelvin
from ullage.reference import Fact

GASES = {
    "O2": Gas.OXYGEN,
    "oxygen": Gas.OXYGEN,
    "air": Gas.AIR,
    "N2": Gas.NITROGEN,
    "He": Gas.HELIUM,
    "N2O": Gas.NITROUS_OXIDE,
    "CO2": Gas.CARBON_DIOXIDE,
}


@dataclass(frozen=True)
class Given:
    """The inputs of one row by name."""

    words: dict[str, str]

    def number(self, name: str) -> float:
        return float(self.words[name])

    def kpa(self, name: str) -> float:
        """A pressure, in whichever unit its name says."""
        if f"{name}_bar" in self.words:
            return 100.0 * self.number(f"{name}_bar")
        return PSI_KPA * self.number(f"{name}_psi")

    @property
    def gas(self) -> Gas:
        return GASES[self.words["gas"]]

    @property
    def temperature_k(self) -> float:
        return kelvin(self.number("temp_C"))

    @property
    def condition(self) -> ReferenceCondition:
        """The reference condition; 70 °F where the row does not say otherwise."""
        said = self.words.get("ref", "70F")
        return {"70F": F70, "15C": C15, "0C_": C0}[said[:3]]


def given(row: Fact) -> Given:
    """Read ``name=value;name=value``; a word alone stands for itself."""
    pairs = (part.partition("=") for part in row.condition.split(";"))
    return Given({name: value for name, _, value in pairs})


def within_tolerance(found: float, row: Fact) -> bool:
    """Whether a number lies inside the row's own tolerance."""
    kind, _, size = row.spread.partition(":")
    expected = float(row.value)
    allowed = {
        "rel": lambda: float(size) * abs(expected),
        "abs": lambda: float(size),
        "exact": lambda: 1e-9 * abs(expected),
    }[kind]()
    return abs(found - expected) <= allowed * (1.0 + 1e-9)


def source_keys(row: Fact) -> list[str]:
    """The numbered sources that a row cites, as keys of the source list."""
    return [f"supply_{one}" for one in re.findall(r"\bS\d+b?\b", row.source)]
