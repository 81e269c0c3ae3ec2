"""What people type to run a formula or to search the values."""

from collections.abc import Mapping
from typing import Any

from django import forms

from ullage.answers.formulas import Formula, FormulaParameter
from ullage.reference import all_tables

__all__ = ["FormulaForm", "SearchForm"]


class _Parameter(forms.CharField):
    """A parameter that is typed; what stands beside its name when it may be left out."""

    optional_word = "may be left out"


class _Words(forms.ChoiceField):
    """A parameter that takes one of a few words."""

    optional_word = "may be left out"


class FormulaForm(forms.Form):
    """One entry for each parameter of a formula; words are read by the formula itself."""

    def __init__(self, formula: Formula, data: Mapping[str, Any] | None = None) -> None:
        super().__init__(data)
        self.formula = formula
        for one in formula.parameters:
            self.fields[one.name] = _field(one)

    def given(self) -> dict[str, str]:
        """What was typed, without what was left empty; call it on a valid form."""
        return {name: typed for name, typed in self.cleaned_data.items() if typed}


def _field(one: FormulaParameter) -> forms.Field:
    unit = "" if one.unit in {"", "1"} else f" [{one.unit}]"
    label = f"{one.name}{unit}"
    needed = not one.default
    help_text = one.meaning + (f" Left out: {one.default}." if one.default else "")
    if one.words:
        empty = [] if needed else [("", "as usual")]
        choices = [*empty, *((word, word.replace("_", " ")) for word in one.words)]
        return _Words(label=label, choices=choices, required=needed, help_text=help_text)
    field = _Parameter(label=label, required=needed, max_length=200, help_text=help_text)
    field.widget.attrs |= {"autocomplete": "off", "spellcheck": "false"}
    return field


class SearchForm(forms.Form):
    """Words, and the one table to look in."""

    q = forms.CharField(label="Words", required=False, max_length=120)
    table = forms.ChoiceField(label="Table", required=False)

    def __init__(self, data: Mapping[str, Any] | None = None) -> None:
        super().__init__(data)
        field = self.fields["table"]
        if isinstance(field, forms.ChoiceField):
            every = [("", "all tables")]
            field.choices = every + [(one, one.replace("_", " ")) for one in all_tables()]
