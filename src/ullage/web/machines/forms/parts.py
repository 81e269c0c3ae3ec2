"""What people say about a part: what is written on it, where it went, whether it may be used."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from django import forms
from django.utils import timezone

from ullage.answers.equipment import PartFact, PartKind, facts_read
from ullage.core.errors import InvalidQuantity, RuleBroken
from ullage.web.machines.selectors import Lift, Machine, UseState
from ullage.web.machines.services import PartFacts
from ullage.web.shared.fields import QuantityField, Within
from ullage.web.shared.forms import Choices, Segments, SiteForm
from ullage.web.sites.selectors import Site

__all__ = ["MoveForm", "PartForm", "StateForm", "WhyForm", "fact_field"]

#: More choices than these stand in a list that opens.
_SIDE_BY_SIDE = 4


def _day(label: str, help_text: str = "") -> forms.DateField:
    return forms.DateField(
        label=label,
        required=False,
        help_text=help_text,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )


class PartForm(SiteForm):
    """One part; the fields after its name are those that its kind asks for."""

    name = forms.CharField(
        label="Name",
        max_length=60,
        help_text="What people call it, so that it is told from others.",
    )
    serial = forms.CharField(label="Serial number", max_length=60, required=False)
    made_on = _day("Made on")
    bought_on = _day("Bought on", "Service counts from this day until the first test.")
    #: Made with the empty form: the same form sent twice adds one part.
    code = forms.UUIDField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, site: Site, kind: PartKind, **kwargs: Any) -> None:
        super().__init__(*args, site=site, **kwargs)
        self.kind = kind
        for fact in kind.facts:
            self.fields[fact.name] = fact_field(fact, site)

    @property
    def own(self) -> list[forms.BoundField]:
        """The fields that its kind asks for."""
        return [self[fact.name] for fact in self.kind.facts]

    def clean(self) -> dict[str, Any]:
        """A day that has come; limits the right way round."""
        typed = super().clean()
        for name in ("made_on", "bought_on"):
            day: date | None = typed.get(name)
            if day is not None and day > timezone.localdate():
                self.add_error(name, "This day has not come yet.")
        if not self.errors:
            try:
                facts_read(self.kind.key, self._facts())
            except (InvalidQuantity, RuleBroken) as refusal:
                self.add_error(None, str(refusal))
        return typed

    def _facts(self) -> dict[str, Any]:
        return {fact.name: self.cleaned_data.get(fact.name) for fact in self.kind.facts}

    def said(self) -> PartFacts:
        """What was typed, for the service."""
        typed = self.cleaned_data
        return PartFacts(
            name=typed["name"],
            serial=typed["serial"],
            made_on=typed["made_on"],
            bought_on=typed["bought_on"],
            facts=self._facts(),
            code=typed["code"],
        )


def fact_field(fact: PartFact, site: Site) -> forms.Field:
    """The entry that suits a fact."""
    known: dict[str, Any] = {"label": fact.label, "required": False, "help_text": fact.help}
    if fact.kind == "date":
        return _day(fact.label, fact.help)
    if fact.kind == "text":
        return forms.CharField(max_length=60, **known)
    if fact.kind == "choice":
        few = len(fact.choices) <= _SIDE_BY_SIDE
        return forms.ChoiceField(
            choices=[*fact.choices, ("", "Not said")] if few else [("", "Not said"), *fact.choices],
            widget=Segments if few else forms.Select,
            **known,
        )
    # A line pressure is read in the unit of the site's gauges; cmH2O stays what it is.
    unit = site.pressure_unit if fact.unit == "bar" else fact.unit
    allowed = Within(fact.low, fact.high, fact.unit)
    return QuantityField(fact.kind, unit=unit, allowed=allowed, **known)


class MoveForm(forms.Form):
    """Where a part went; the store is a place too."""

    to = forms.ChoiceField(label="Where is it now?")
    why = forms.CharField(label="Why", max_length=200, required=False)
    at = forms.DateTimeField(
        label="When, if not now",
        required=False,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M"],
    )

    def __init__(self, *args: Any, machines: Iterable[Machine], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.machines = {str(one.code): one for one in machines}
        places = [(code, f"On {one.name}") for code, one in self.machines.items()]
        field = self.fields["to"]
        if isinstance(field, forms.ChoiceField):
            field.choices = [("", "Choose"), ("store", "In store"), *places]

    def target(self) -> Machine | None:
        """The machine that was chosen; None for the store."""
        return self.machines.get(self.cleaned_data["to"])


class StateForm(forms.Form):
    """In doubt or out of use: why, and who may lift it."""

    to = forms.ChoiceField(
        label="What is it?",
        initial=UseState.OUT.value,
        choices=[(UseState.OUT.value, "Out of use"), (UseState.IN_DOUBT.value, "In doubt")],
        widget=Segments,
        help_text="Out of use: no case is planned or begun on it. In doubt: it says so everywhere.",
    )
    reason = forms.CharField(
        label="Why?",
        max_length=200,
        help_text="What failed, when, and what must be done. It stands beside its name.",
    )
    lift = forms.ChoiceField(
        label="Who may bring it back into use?",
        initial=Lift.LEAD.value,
        choices=Lift.choices,
        widget=Choices,
    )

    def clean_to(self) -> UseState:
        """The state that was chosen."""
        return UseState(self.cleaned_data["to"])

    def clean_lift(self) -> Lift:
        """Whose word is needed."""
        return Lift(self.cleaned_data["lift"])


class WhyForm(forms.Form):
    """Why a part is no longer kept."""

    reason = forms.CharField(label="Why is it no longer kept?", max_length=200)
