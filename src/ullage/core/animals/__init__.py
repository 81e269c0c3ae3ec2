"""The animal in numbers: powers of weight, breath, what anaesthesia changes, how it cools."""

from ullage.core.animals.allometry import exponent_between, power_of_weight, respiration_l_min
from ullage.core.animals.breath import (
    alveolar_ventilation_l_min,
    co2_output_l_min,
    dead_space_share,
    minute_volume_from_alveolar_l_min,
    most_dead_space_l,
)
from ullage.core.animals.depth import (
    output_factor,
    oxygen_use_factor,
    pressure_factor,
    ventilation_exponential_factor,
    ventilation_linear_factor,
)
from ullage.core.animals.warmth import body_temperature_after_k, cooling_min

__all__ = [
    "alveolar_ventilation_l_min",
    "body_temperature_after_k",
    "co2_output_l_min",
    "cooling_min",
    "dead_space_share",
    "exponent_between",
    "minute_volume_from_alveolar_l_min",
    "most_dead_space_l",
    "output_factor",
    "oxygen_use_factor",
    "power_of_weight",
    "pressure_factor",
    "respiration_l_min",
    "ventilation_exponential_factor",
    "ventilation_linear_factor",
]
