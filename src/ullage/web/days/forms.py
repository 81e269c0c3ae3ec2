"""What people type about a case, a copy, a move."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator
from django.utils import timezone

from ullage.answers.weights import WeightQuestion, species_known, weight_question
from ullage.core.checks import positive
from ullage.core.errors import InvalidQuantity
from ullage.web.days.selectors.fit import Offer, Slot, machine_instead
from ullage.web.days.services import CaseFacts
from ullage.web.machines.selectors import Fitness, Machine, UseState, fitness_of, refusal_of
from ullage.web.shared.fields import QuantityField, Within
from ullage.web.shared.forms import SiteForm

__all__ = [
    "PHASES",
    "SYSTEMS",
    "CancelForm",
    "CaseForm",
    "CopyForm",
    "PhaseRow",
    "RunForm",
    "TakeForm",
]

#: The phases a case has as a rule; a fourth row is free.
PHASES = ("Preparation", "Procedure", "Waking", "")
SYSTEMS = (
    "T-piece", "Coaxial, outer fresh gas", "Coaxial, inner fresh gas", "Circle", "Nose cone",
    "Mask", "Four-place mask bench", "Chamber",
)  # fmt: skip
_GASES = (
    ("oxygen_l_min", "Oxygen"),
    ("air_l_min", "Air"),
    ("nitrous_oxide_l_min", "Nitrous oxide"),
)
#: Days outside of these have no page.
_FIRST_DAY, _LAST_DAY = date(1900, 1, 1), date(2199, 12, 31)
_FLOW = Within(0.0, 200.0, "L/min")
_MINUTES = Within(0.1, 2880.0, "min")


@dataclass(frozen=True, slots=True)
class PhaseRow:
    """The fields of one phase, as the page lays them out."""

    name: Any
    minutes: Any
    flows: list[Any]

    @property
    def is_bad(self) -> bool:
        """True when a field of this row was refused."""
        return any(field.errors for field in (self.name, self.minutes, *self.flows))


class CaseForm(SiteForm):
    """One anaesthetic: who, where, when, and the gas it asks for by phase."""

    name = forms.CharField(label="Animal or case", max_length=60)
    species = forms.CharField(
        label="Species",
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs={"list": "species", "autocomplete": "off"}),
    )
    weight_kg = QuantityField(
        "mass",
        unit="kg",
        label="Weight",
        required=False,
        allowed=Within(0.0005, 5000.0, "kg"),
        help_text="Weighed, not guessed; grams may be typed: 25 g.",
    )
    machine = forms.ChoiceField(label="Machine")
    system = forms.CharField(
        label="Breathing system",
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs={"list": "systems", "autocomplete": "off"}),
    )
    starts = forms.TimeField(
        label="First gas at", widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
    )
    flushes = forms.IntegerField(
        label="Flushes besides the checks",
        required=False,
        min_value=0,
        max_value=100,
        help_text="One flush with the checks is counted anyway.",
    )
    chamber_l = QuantityField(
        "volume",
        unit="L",
        label="Induction chamber",
        required=False,
        allowed=Within(0.0, 2000.0, "L"),
        help_text="Its volume; filled and purged once each.",
    )
    minute_volume_l_min = QuantityField(
        "flow",
        unit="L/min",
        label="Ventilator, minute volume",
        required=False,
        allowed=_FLOW,
        help_text="Empty: the animal breathes for itself.",
    )
    note = forms.CharField(label="Note", required=False, max_length=240)
    keep = forms.BooleanField(required=False, label="Yes, keep it as typed")
    #: Made with the empty form: the same form sent twice plans one case.
    code = forms.UUIDField(required=False, widget=forms.HiddenInput)

    def __init__(
        self, data: Any = None, *args: Any, machines: list[Machine], day: date, **kwargs: Any
    ) -> None:
        super().__init__(_as_meant(data), *args, **kwargs)
        #: The machine that is offered in place of one that is out of use.
        self.instead: Offer | None = None
        self.machines = {str(one.pk): one for one in machines}
        self.day = day
        self.questions: list[WeightQuestion] = []
        self.weight_typed: float | None = None
        choices = [("", "Choose")] if len(machines) != 1 else []
        field = self.fields["machine"]
        if isinstance(field, forms.ChoiceField):
            fit = fitness_of(machines)
            words = ((str(one.pk), _where(one, fit[one.pk])) for one in machines)
            field.choices = [*choices, *words]
        for left_out in ("flushes", "chamber_l", "minute_volume_l_min", "note"):
            self.fields[left_out].optional_word = "may be left out"  # type: ignore[attr-defined]  # read by the field template
        for number, name in enumerate(PHASES):
            self._add_phase(number, name)

    def _add_phase(self, number: int, name: str) -> None:
        self.fields[f"phase_{number}"] = forms.CharField(
            label="Phase", required=False, max_length=30, initial=name
        )
        self.fields[f"minutes_{number}"] = QuantityField(
            "time", unit="min", label=f"{name or 'More'}, minutes", required=False, allowed=_MINUTES
        )
        for key, gas in _GASES:
            self.fields[f"{key}_{number}"] = QuantityField(
                "flow",
                unit="L/min",
                label=f"{name or 'More'}, {gas.lower()}",
                required=False,
                allowed=_FLOW,
            )

    @property
    def phase_rows(self) -> list[PhaseRow]:
        """The phases row by row."""
        return [
            PhaseRow(
                self[f"phase_{number}"],
                self[f"minutes_{number}"],
                [self[f"{key}_{number}"] for key, _ in _GASES],
            )
            for number in range(len(PHASES))
        ]

    @property
    def gases(self) -> list[str]:
        """The gases, in the order of the columns."""
        return [gas for _, gas in _GASES]

    @property
    def species_known(self) -> tuple[str, ...]:
        """What the list of species offers; others may be typed."""
        return species_known()

    @property
    def systems(self) -> tuple[str, ...]:
        """What the list of systems offers; others may be typed."""
        return SYSTEMS

    def clean_weight_kg(self) -> float | None:
        """A weight is above nothing at all."""
        weight: float | None = self.cleaned_data["weight_kg"]
        if weight is not None:
            try:
                positive("weight_kg", weight)
            except InvalidQuantity as refusal:
                raise forms.ValidationError(str(refusal)) from refusal
        return weight

    def clean(self) -> dict[str, Any]:
        """Ask about what is implausible; refuse a case without any minutes."""
        typed = super().clean() or self.cleaned_data
        self._phases_stand(typed)
        self.weight_typed = weight = typed.get("weight_kg")
        question = weight_question(typed.get("species", ""), weight) if weight else None
        self.questions = [question] if question else []
        if question and not typed.get("keep"):
            self.add_error("weight_kg", question.sentence)
        return typed

    def _phases_stand(self, typed: dict[str, Any]) -> None:
        told = 0
        for number, name in enumerate(PHASES):
            minutes = typed.get(f"minutes_{number}")
            flows = [typed.get(f"{key}_{number}") for key, _ in _GASES]
            if minutes:
                told += 1
                if not name and not typed.get(f"phase_{number}"):
                    self.add_error(f"phase_{number}", "Give this phase a name.")
            elif any(flows) and f"minutes_{number}" not in self.errors:
                self.add_error(f"minutes_{number}", "Say how many minutes these flows run.")
        if not told and not any(name.startswith("minutes_") for name in self.errors):
            self.add_error("minutes_1", "Say how many minutes the case takes.")

    def refuse(self, sentence: str) -> None:
        """Say why the case was not kept; where its machine is out of use, offer another one."""
        facts = self.facts()
        self.add_error(None, sentence)
        if refusal_of(facts.machine):
            ends_at = facts.starts_at + timedelta(minutes=facts.minutes)
            slot = Slot(starts_at=facts.starts_at, ends_at=ends_at)
            self.instead = machine_instead(self.site, facts.machine, slot, timezone.now())

    def facts(self) -> CaseFacts:
        """The case in our units; call it on a valid form."""
        typed = self.cleaned_data
        asked = " ".join(one.sentence for one in self.questions)
        return CaseFacts(
            name=typed["name"],
            machine=self.machines[typed["machine"]],
            starts_at=datetime.combine(self.day, typed["starts"], ZoneInfo(self.site.time_zone)),
            phases=self._phases(),
            species=typed["species"].strip(),
            weight_kg=typed["weight_kg"],
            system=typed["system"].strip(),
            extras={
                name: typed[name]
                for name in ("flushes", "chamber_l", "minute_volume_l_min")
                if typed[name]
            },
            note=typed["note"],
            asked=asked,
            said="Yes, keep it as typed" if asked else "",
            code=typed["code"],
        )

    def _phases(self) -> list[dict[str, Any]]:
        typed = self.cleaned_data
        return [
            {
                "name": (typed.get(f"phase_{number}") or name or "Phase").strip(),
                "minutes": typed[f"minutes_{number}"],
                **{key: typed.get(f"{key}_{number}") or 0.0 for key, _ in _GASES},
            }
            for number, name in enumerate(PHASES)
            if typed.get(f"minutes_{number}")
        ]

    @staticmethod
    def typed_from(facts: CaseFacts, starts: time) -> dict[str, Any]:
        """What the fields of a case hold, to change or to copy it."""
        found: dict[str, Any] = {
            "name": facts.name,
            "species": facts.species,
            "weight_kg": facts.weight_kg,
            "machine": str(facts.machine.pk),
            "system": facts.system,
            "starts": starts,
            "note": facts.note,
            **facts.extras,
        }
        for number, phase in zip(_places(facts.phases), facts.phases, strict=True):
            found |= {f"phase_{number}": phase["name"], f"minutes_{number}": phase["minutes"]}
            found |= {f"{key}_{number}": phase.get(key) or None for key, _ in _GASES}
        return found


def _places(phases: list[dict[str, Any]]) -> list[int]:
    """The row of each phase, in their order: its usual one where that leaves room for the rest."""
    rows: list[int] = []
    for left, one in zip(range(len(phases) - 1, -1, -1), phases, strict=True):
        free = rows[-1] + 1 if rows else 0
        usual = PHASES.index(one["name"]) if one["name"] in PHASES[:-1] else free
        rows.append(max(free, min(usual, len(PHASES) - 1 - left)))
    return rows


def _as_meant(data: Any) -> Any:
    """What was typed; the machine that was offered and taken stands in for the one that was not."""
    if data is None or not data.get("machine_meant"):
        return data
    meant = data.copy()
    meant["machine"] = meant["machine_meant"]
    return meant


def _where(machine: Machine, fit: Fitness) -> str:
    """A machine as the list offers it: its room, and whether it is in doubt or out of use."""
    named = f"{machine.name}, {machine.room.name}" if machine.room else machine.name
    return named if fit.state == UseState.IN_USE else f"{named}: {fit.state.label.lower()}"


class TakeForm(forms.Form):
    """Which machine a case is taken to."""

    machine = forms.UUIDField()

    def __init__(self, *args: Any, machines: list[Machine], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.machines = {one.code: one for one in machines}

    def clean_machine(self) -> UUID:
        """A machine of this site."""
        code: UUID = self.cleaned_data["machine"]
        if code not in self.machines:
            raise forms.ValidationError("This is no machine of this site.")
        return code

    def chosen(self) -> Machine:
        """The machine that was chosen."""
        return self.machines[self.cleaned_data["machine"]]


class CopyForm(forms.Form):
    """Which day to copy from, or to."""

    day = forms.DateField(
        label="Day",
        widget=forms.DateInput(attrs={"type": "date"}),
        validators=[MinValueValidator(_FIRST_DAY), MaxValueValidator(_LAST_DAY)],
    )


class CancelForm(forms.Form):
    """Why a case does not take place."""

    reason = forms.CharField(label="Why", required=False, max_length=200)


class RunForm(forms.Form):
    """When a case began or ended; empty is now."""

    at = forms.TimeField(
        label="At",
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        help_text="Empty: now.",
    )
