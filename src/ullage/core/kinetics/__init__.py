"""Uptake, distribution and elimination of inhaled gases in any breathing system."""

from ullage.core.kinetics.body import TISSUES, Body, Floats, Solubility
from ullage.core.kinetics.course import Accuracy, feedback_course
from ullage.core.kinetics.feedback import Feedback, Model, VentilationForm, model_of
from ullage.core.kinetics.linear import linear_course
from ullage.core.kinetics.matrices import EFFECT, FA, FI, FR, PV, STATES, TISSUE
from ullage.core.kinetics.run import Run
from ullage.core.kinetics.settings import Setting, System, SystemKind

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
    "Body",
    "Feedback",
    "Floats",
    "Model",
    "Run",
    "Setting",
    "Solubility",
    "System",
    "SystemKind",
    "VentilationForm",
    "feedback_course",
    "linear_course",
    "model_of",
]
