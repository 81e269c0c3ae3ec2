"""What people type about supplies, checked beside the field and turned into our units."""

from ullage.web.supply.forms.change import AnimalForm, CheckForm, CloseOldForm, ReasonForm, SealForm
from ullage.web.supply.forms.cylinders import ConnectForm, CorrectForm, MoveForm, ReceiveForm
from ullage.web.supply.forms.identify import IdentifyForm
from ullage.web.supply.forms.readings import (
    SAID_CHOICES,
    VALVE_CHOICES,
    AmendForm,
    NeedleForm,
    NoteForm,
    ReadingForm,
    SaidForm,
    ValveForm,
)
from ullage.web.supply.forms.sources import FlowForm, KindForm, SourceForm

__all__ = [
    "SAID_CHOICES",
    "VALVE_CHOICES",
    "AmendForm",
    "AnimalForm",
    "CheckForm",
    "CloseOldForm",
    "ConnectForm",
    "CorrectForm",
    "FlowForm",
    "IdentifyForm",
    "KindForm",
    "MoveForm",
    "NeedleForm",
    "NoteForm",
    "ReadingForm",
    "ReasonForm",
    "ReceiveForm",
    "SaidForm",
    "SealForm",
    "SourceForm",
    "ValveForm",
]
