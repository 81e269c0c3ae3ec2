"""The gases that the product knows, and the conditions at which free gas is counted."""

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["C0", "C15", "CONDITIONS", "F70", "Gas", "ReferenceCondition"]


class Gas(StrEnum):
    """A gas that a cylinder, a pipeline or a tank may hold."""

    OXYGEN = "oxygen"
    AIR = "air"
    NITROGEN = "nitrogen"
    HELIUM = "helium"
    CARBON_DIOXIDE = "carbon dioxide"
    NITROUS_OXIDE = "nitrous oxide"

    @property
    def liquefied(self) -> bool:
        """True when a full cylinder at room temperature holds liquid."""
        return self in {Gas.CARBON_DIOXIDE, Gas.NITROUS_OXIDE}


@dataclass(frozen=True, slots=True)
class ReferenceCondition:
    """The temperature at which a litre of free gas is counted, at one atmosphere."""

    name: str
    temperature_k: float


F70 = ReferenceCondition("70 °F, 1 atm", 294.2611111111111)
C15 = ReferenceCondition("15 °C, 1 atm", 288.15)
C0 = ReferenceCondition("0 °C, 1 atm", 273.15)

#: How a site names its condition.
CONDITIONS = {"70F": F70, "15C": C15, "0C": C0}
