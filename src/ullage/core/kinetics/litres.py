"""Litres as the equations count them: warm, moist and at ambient pressure, like those of the lung.

The equations speak of fractions of dry gas in litres of the lung, while a flowmeter, a table of
oxygen use and a measured system count other litres. One litre of free gas comes to 1.12 litres
of the lung at sea level, and to more the higher the place.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ullage.core.checks import positive, within
from ullage.core.gas.species import C0, F70, ReferenceCondition
from ullage.core.kinetics.body import Body
from ullage.core.kinetics.settings import Setting, System
from ullage.core.units import STANDARD_ATMOSPHERE_KPA

__all__ = ["Litres", "body_in_litres", "settings_in_litres", "system_in_litres"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Litres:
    """How many litres of the lung one litre counted elsewhere comes to.

    ``water_kpa`` is the vapour pressure of water in the lung; gas from elsewhere is taken as dry.

    >>> sea = Litres(ambient_kpa=101.325, body_k=310.15, water_kpa=6.3)
    >>> round(sea.of_free, 3), round(sea.of_standard, 3)
    (1.124, 1.211)
    """

    ambient_kpa: float
    body_k: float
    water_kpa: float

    def __post_init__(self) -> None:
        within("ambient_kpa", self.ambient_kpa, 30.0, 120.0)
        within("body_k", self.body_k, 283.15, 318.15)
        within("water_kpa", self.water_kpa, 0.0, 10.0)

    def _of(self, condition: ReferenceCondition) -> float:
        dry_kpa = self.ambient_kpa - self.water_kpa
        return self.body_k / condition.temperature_k * STANDARD_ATMOSPHERE_KPA / dry_kpa

    @property
    def of_free(self) -> float:
        """[1] for a litre of free gas, 70 °F and 1 atm: what a flowmeter shows."""
        return self._of(F70)

    @property
    def of_standard(self) -> float:
        """[1] for a litre at 0 °C and 1 atm: how use of oxygen is printed."""
        return self._of(C0)

    def of_room(self, temperature_k: float) -> float:
        """[1] for a litre in a system at ambient pressure and a temperature [K], above 0."""
        positive("temperature_k", temperature_k)
        return self.body_k / temperature_k * self.ambient_kpa / (self.ambient_kpa - self.water_kpa)

    def same_pressure(self, fraction: float, printed_kpa: float = STANDARD_ATMOSPHERE_KPA) -> float:
        """The fraction here that has the partial pressure of a fraction elsewhere.

        Parameters
        ----------
        fraction : [1] of dry gas, as printed; a MAC for instance.
        printed_kpa : [kPa] ambient pressure at which it was printed.

        Returns
        -------
        [1] of dry gas at the ambient pressure here.

        >>> high = Litres(ambient_kpa=80.5, body_k=310.15, water_kpa=6.3)
        >>> round(high.same_pressure(0.0140), 4)
        0.0179
        """
        return fraction * (printed_kpa - self.water_kpa) / (self.ambient_kpa - self.water_kpa)


def body_in_litres(body: Body, litres: Litres) -> Body:
    """Animals whose use of oxygen and output of carbon dioxide are counted in litres of the lung.

    Parameters
    ----------
    body : n animals, both counted at 0 °C and 1 atm.
    litres : of the place and the animal.

    Source: ideal_gas (ratio of temperatures and dry pressures).
    """
    return replace(
        body,
        oxygen_use_l_min=body.oxygen_use_l_min * litres.of_standard,
        co2_output_l_min=body.co2_output_l_min * litres.of_standard,
    )


def system_in_litres(system: System, litres: Litres, temperature_k: float) -> System:
    """A breathing system whose gas is at ambient pressure and a temperature, in litres of the lung.

    Parameters
    ----------
    system : volumes as measured.
    litres : of the place and the animal.
    temperature_k : [K] of the gas in the system, above 0.

    Source: ideal_gas (ratio of temperatures and dry pressures).
    """
    factor = litres.of_room(temperature_k)
    return replace(
        system,
        inspiratory_l=system.inspiratory_l * factor,
        reservoir_l=system.reservoir_l * factor,
    )


def settings_in_litres(settings: Sequence[Setting], litres: Litres) -> tuple[Setting, ...]:
    """Settings whose fresh gas is counted in litres of the lung.

    Parameters
    ----------
    settings : fresh gas in free litres per minute, 70 °F and 1 atm.
    litres : of the place and the animal.

    Source: ideal_gas (ratio of temperatures and dry pressures).
    """
    factor = litres.of_free
    return tuple(replace(one, fresh_gas_l_min=one.fresh_gas_l_min * factor) for one in settings)
