"""What people type about machines, their parts, their states, and their chains."""

from ullage.web.machines.forms.machines import SYSTEMS, LookForm, MachineForm
from ullage.web.machines.forms.parts import MoveForm, PartForm, StateForm, WhyForm

__all__ = ["SYSTEMS", "LookForm", "MachineForm", "MoveForm", "PartForm", "StateForm", "WhyForm"]
