"""Uptake, distribution and elimination of inhaled gases in any breathing system."""

from ullage.core.kinetics.amounts import (
    amounts_over,
    arterial,
    breathing_air,
    end_tidal,
    flows_over,
    held_in_body_l,
    held_in_system_l,
)
from ullage.core.kinetics.band import (
    even_half_width_share,
    weighted_middle,
    widened_band,
    widened_bands,
)
from ullage.core.kinetics.body import TISSUES, Body, Floats, Solubility
from ullage.core.kinetics.closed import (
    dosed_course,
    oxygen_in_circle_fraction,
    prime_dose_l,
    square_root_dose_times_min,
    square_root_uptake_l,
    square_root_uptake_l_min,
    unit_dose_l,
)
from ullage.core.kinetics.course import Accuracy, feedback_course
from ullage.core.kinetics.feedback import (
    Feedback,
    Model,
    VentilationForm,
    model_of,
    streams_at,
)
from ullage.core.kinetics.held import Held, held_level
from ullage.core.kinetics.linear import linear_course
from ullage.core.kinetics.litres import (
    Litres,
    body_in_litres,
    settings_in_litres,
    system_in_litres,
)
from ullage.core.kinetics.matrices import EFFECT, FA, FI, FR, PV, STATES, TISSUE
from ullage.core.kinetics.narrowing import (
    Belief,
    Doubt,
    Foretold,
    LevelKind,
    Measured,
    Narrowed,
    effective_draws,
    narrowed,
    reading_chance,
)
from ullage.core.kinetics.run import Run
from ullage.core.kinetics.settings import Setting, System, SystemKind
from ullage.core.kinetics.waking import falls_to_min, rises_to_min

__all__ = [
    "EFFECT",
    "FA",
    "FI",
    "FR",
    "PV",
    "STATES",
    "TISSUE",
    "TISSUES",
    "Accuracy",
    "Belief",
    "Body",
    "Doubt",
    "Feedback",
    "Floats",
    "Foretold",
    "Held",
    "LevelKind",
    "Litres",
    "Measured",
    "Model",
    "Narrowed",
    "Run",
    "Setting",
    "Solubility",
    "System",
    "SystemKind",
    "VentilationForm",
    "amounts_over",
    "arterial",
    "body_in_litres",
    "breathing_air",
    "dosed_course",
    "effective_draws",
    "end_tidal",
    "even_half_width_share",
    "falls_to_min",
    "feedback_course",
    "flows_over",
    "held_in_body_l",
    "held_in_system_l",
    "held_level",
    "linear_course",
    "model_of",
    "narrowed",
    "oxygen_in_circle_fraction",
    "prime_dose_l",
    "reading_chance",
    "rises_to_min",
    "settings_in_litres",
    "square_root_dose_times_min",
    "square_root_uptake_l",
    "square_root_uptake_l_min",
    "streams_at",
    "system_in_litres",
    "unit_dose_l",
    "weighted_middle",
    "widened_band",
    "widened_bands",
]
