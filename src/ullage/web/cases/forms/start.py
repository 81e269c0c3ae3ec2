"""What people say of a case before it begins, and at its beginning."""

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

from django import forms

from ullage.answers.record.beginning import Override
from ullage.answers.record.words import measure, read_reading
from ullage.answers.weights import species_known
from ullage.core.errors import UllageError, UnreadableQuantity
from ullage.reference.record import term_lists, variable_rows
from ullage.web.cases.forms.moments import ClockField, moment_of
from ullage.web.cases.services import AnimalSaid, BeginSaid
from ullage.web.machines.selectors import Machine
from ullage.web.sites.selectors import Site

__all__ = ["FACTS", "BeginForm", "FactsForm", "OverrideForm", "StartForm", "fact_field"]

_LONGEST = 400
_MOST_ANIMALS = 60

#: What a record says of its case: name of the fact, label, help. Asked by journals and inspectors.
FACTS: tuple[tuple[str, str, str], ...] = (
    ("animal", "Identification", "Ear tag, cage or chip number, as it stands on the animal."),
    ("strain", "Strain or breed", ""),
    ("sex", "Sex", ""),
    ("age", "Age", ""),
    ("weight", "Weight", "As weighed, with its unit: 62 kg or 25 g."),
    ("protocol", "Protocol number", ""),
    ("procedure", "Procedure", ""),
    ("place", "Place", ""),
    ("people", "People and their roles", "Such as: A. Vray, anaesthetist; T. Kell, surgeon."),
    ("committee", "Committee and licence", ""),
    ("source", "Source of the animal", ""),
    ("pain relief", "Pain relief planned", ""),
    ("endpoints", "Humane endpoints", ""),
    ("reason", "Why this agent, route and dose", ""),
)
_WIDE = {"people", "pain relief", "endpoints", "reason"}


def _key(fact: str) -> str:
    return fact.replace(" ", "_")


def fact_field(fact: str, label: str, help_text: str) -> forms.CharField:
    """The field of one fact; facts of several words have room for them."""
    widget = forms.Textarea(attrs={"rows": 2}) if fact in _WIDE else forms.TextInput()
    widget.attrs["autocomplete"] = "off"
    if fact == "protocol":
        widget.attrs["list"] = "protocols"
    return forms.CharField(
        label=label, required=False, max_length=_LONGEST, help_text=help_text, widget=widget
    )


class FactsForm(forms.Form):
    """Who and what a record is of; what is left empty reads "not recorded"."""

    name = forms.CharField(label="Name of the animal or case", max_length=60)
    species = forms.CharField(
        label="Species",
        max_length=40,
        widget=forms.TextInput(attrs={"list": "species", "autocomplete": "off"}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for fact, label, help_text in FACTS:
            self.fields[_key(fact)] = fact_field(fact, label, help_text)

    @property
    def species_known(self) -> tuple[str, ...]:
        """What the list of species offers; others may be typed."""
        return species_known()

    def clean_weight(self) -> str:
        """A weight is a number with kilograms or grams; it stays as it was typed."""
        typed: str = self.cleaned_data["weight"].strip()
        return _weight(typed) if typed else ""

    def said(self) -> dict[str, str]:
        """The facts that were said, by their names."""
        return {fact: self.said_of(fact) for fact in self.named if self.said_of(fact)}

    @property
    def named(self) -> tuple[str, ...]:
        """The names of the facts that are asked for."""
        return tuple(fact for fact, *_ in FACTS)

    def said_of(self, fact: str) -> str:
        """What was typed for one fact."""
        return str(self.cleaned_data.get(_key(fact), "")).strip()

    @staticmethod
    def shown(facts: Mapping[str, str]) -> dict[str, str]:
        """Facts of a record as the fields take them."""
        return {_key(name): value for name, value in facts.items()}


def _weight(typed: str) -> str:
    try:
        found = measure(typed, ("kg", "g"), "Weight")
    except UnreadableQuantity as refusal:
        raise forms.ValidationError(str(refusal)) from refusal
    if not float(found.number) > 0:
        raise forms.ValidationError("A weight is more than nothing; look at the scale again.")
    return typed


class StartForm(FactsForm):
    """A case is made ready: its facts, its machine, and the animals of a group."""

    machine = forms.ChoiceField(label="Machine")
    is_group = forms.BooleanField(
        label="Several animals on one bench, treated alike",
        required=False,
        help_text="One record with a line for each animal, where the rule of the site allows it.",
    )
    animals = forms.CharField(
        label="Animals of the group",
        required=False,
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4, "autocomplete": "off"}),
        help_text="One on each line, with the weight if weighed: M1, 24.5 g",
    )
    #: Made with the empty form: the same form sent twice opens one record.
    code = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, machines: list[Machine], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.machines = {str(one.pk): one for one in machines}
        field = self.fields["machine"]
        choices = [("", "Choose")] if len(machines) != 1 else []
        field.choices = [*choices, *((str(one.pk), str(one)) for one in machines)]  # type: ignore[attr-defined]  # a choice field
        self.fields["animals"].optional_word = "for a group"  # type: ignore[attr-defined]  # read by the field template
        first = ("name", "species", "animal", "machine", "weight", "sex", "age", "strain")
        self.order_fields([*first, "protocol", "procedure"])

    def clean(self) -> dict[str, Any]:
        """A group names its animals, each once."""
        typed = super().clean() or self.cleaned_data
        self.group: tuple[AnimalSaid, ...] = ()
        if typed.get("is_group"):
            try:
                self.group = tuple(_animals(typed.get("animals", "")))
            except forms.ValidationError as refusal:
                self.add_error("animals", refusal)
        return typed

    def chosen(self) -> Machine:
        """The machine that was chosen."""
        return self.machines[self.cleaned_data["machine"]]


def _animals(typed: str) -> Iterator[AnimalSaid]:
    lines = [one.strip() for one in typed.splitlines() if one.strip()]
    if not lines:
        raise forms.ValidationError("Name the animals of the group, one on each line.")
    if len(lines) > _MOST_ANIMALS:
        raise forms.ValidationError(f"A record holds at most {_MOST_ANIMALS} animals.")
    seen: set[str] = set()
    for line in lines:
        name, _, weight = (part.strip() for part in line.partition(","))
        if not name or ";" in name or len(name) > 40:
            raise forms.ValidationError(f"{line[:40]!r}: an id of up to 40 letters, without ';'.")
        if name in seen:
            raise forms.ValidationError(f"{name} stands there twice.")
        seen.add(name)
        yield AnimalSaid(name=name, weight=_weight(weight) if weight else "")


class AnimalForm(forms.Form):
    """One more animal of a group."""

    name = forms.CharField(label="Id of the animal", max_length=40)
    weight = forms.CharField(label="Weight", required=False, max_length=40)
    at = ClockField(label="Connected at")
    code = forms.UUIDField(widget=forms.HiddenInput)


class OverrideForm(forms.Form):
    """Who answers for going on although something is missing, and why."""

    override_by = forms.ChoiceField(label="Who answers for it", required=False)
    override_reason = forms.CharField(label="Why it cannot wait", required=False, max_length=240)

    def __init__(self, *args: Any, people: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["override_by"]
        field.choices = [("", "Nobody"), *((one, one) for one in people)]  # type: ignore[attr-defined]  # a choice field
        for name in ("override_by", "override_reason"):
            self.fields[name].optional_word = "only if something is missing"  # type: ignore[attr-defined]  # read by the field template

    def override(self) -> Override | None:
        """The override, where somebody was named or a reason given."""
        typed = (self.cleaned_data.get(one, "") for one in ("override_by", "override_reason"))
        by, reason = (one.strip() for one in typed)
        return Override(by=by, reason=reason) if by or reason else None


#: What may be said at the beginning: by variable; the unit behind it where it is a number.
_WORDS = ("agent", "carrier", "breathing_system", "airway", "induction")
_NUMBERS = (("dial", "%"), ("flow_oxygen", "L/min"), ("flow_air", "L/min"),
            ("flow_nitrous_oxide", "L/min"))  # fmt: skip


class BeginForm(OverrideForm):
    """The first gas flows: when, and what is set as far as the person says it."""

    at = ClockField(label="First gas at")

    def __init__(
        self, *args: Any, site: Site, planned: Mapping[str, str] | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.site = site
        plan = planned or {}
        for key in _WORDS:
            self.fields[key] = _word_field(key, plan.get(key, ""))
        for key, unit in _NUMBERS:
            self.fields[key] = _number_field(key, unit, plan.get(key, ""))
        self.order_fields(["at", *_WORDS, *(key for key, _ in _NUMBERS)])

    def clean(self) -> dict[str, Any]:
        """Numbers are read in the unit behind them; a time has come already."""
        typed = super().clean() or self.cleaned_data
        self.settings: dict[str, str] = {key: typed[key] for key in _WORDS if typed.get(key)}
        for key, unit in _NUMBERS:
            if typed.get(key, "").strip():
                self._number(key, unit, typed[key].strip())
        if "at" not in self.errors:
            try:
                self.moment: datetime = moment_of(typed.get("at"), self.site)
            except forms.ValidationError as refusal:
                self.add_error("at", refusal)
        return typed

    def _number(self, key: str, unit: str, typed: str) -> None:
        said = f"{typed} {unit}" if typed[-1:].isdigit() else typed
        try:
            found = read_reading(key, said)
        except UllageError as refusal:
            self.add_error(key, str(refusal))
            return
        if float(found.number) < 0:
            self.add_error(key, "It lies below nothing.")
        self.settings[key] = said

    def begin(self) -> BeginSaid:
        """What was said; call it on a valid form."""
        return BeginSaid(at=self.moment, settings=self.settings, override=self.override())


def _word_field(key: str, planned: str) -> forms.ChoiceField:
    row = variable_rows()[key]
    words = [one.word for one in term_lists()[row.terms]]
    said = {one: f"{one}, as planned" if one == planned else one for one in words}
    first = [(planned, said[planned])] if planned in said else []
    rest = [(one, told) for one, told in said.items() if one != planned]
    field = forms.ChoiceField(
        label=row.name, required=False, choices=[("", "Not said"), *first, *rest]
    )
    field.optional_word = "if set"  # type: ignore[attr-defined]  # read by the field template
    return field


def _number_field(key: str, unit: str, planned: str) -> forms.CharField:
    field = forms.CharField(
        label=variable_rows()[key].name,
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    field.unit = unit  # type: ignore[attr-defined]  # read by the field template
    field.planned = planned  # type: ignore[attr-defined]  # read by the page
    field.optional_word = "if set"  # type: ignore[attr-defined]  # read by the field template
    return field
