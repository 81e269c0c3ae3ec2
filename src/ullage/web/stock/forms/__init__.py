"""What people type about what is in store, what is fitted, and places of storage."""

from ullage.web.stock.forms.fitted import (
    CanisterForm,
    FillingForm,
    FillingLookForm,
    FlowForm,
    LayForm,
    OutForm,
    WeightForm,
)
from ullage.web.stock.forms.items import (
    CancelForm,
    ItemForm,
    MoveForm,
    OrderForm,
    ReceiveForm,
    RuleForm,
    UseOneForm,
)
from ullage.web.stock.forms.storage import AreaAddForm, AreaForm, AreaLookForm

__all__ = [
    "AreaAddForm",
    "AreaForm",
    "AreaLookForm",
    "CancelForm",
    "CanisterForm",
    "FillingForm",
    "FillingLookForm",
    "FlowForm",
    "ItemForm",
    "LayForm",
    "MoveForm",
    "OrderForm",
    "OutForm",
    "ReceiveForm",
    "RuleForm",
    "UseOneForm",
    "WeightForm",
]
