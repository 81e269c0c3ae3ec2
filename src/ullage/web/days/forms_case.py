"""What people type about the anaesthesia of a case: agent, drugs, vaporizer, airway, flows."""

from dataclasses import replace
from datetime import time
from typing import Any

from django import forms
from django.urls import reverse
from django.utils.html import format_html

from ullage.answers import BreathingSystem, species_offered
from ullage.answers.weights import species_known
from ullage.web.days.forms import PHASES, CaseForm
from ullage.web.days.selectors import FLAGS, PLANNED, CaseSaid, PlannedCase, said_of
from ullage.web.days.services import CaseFacts, PlanFacts
from ullage.web.shared.fields import QuantityField, Within
from ullage.web.shared.forms import Segments
from ullage.web.sites.selectors import Site

__all__ = ["AGENTS", "OtherForm", "PlanForm"]

AGENTS = ("isoflurane", "sevoflurane", "desflurane", "halothane", "enflurane")
_AGENTS = [("", "Choose"), *((one, one.capitalize()) for one in AGENTS)]
_SAID = [("", "not said"), ("yes", "yes"), ("no", "no")]
_EXTRAS = ("flushes", "chamber_l", "minute_volume_l_min")
_VAPORIZER = ("vaporizer_for", "vaporizer_end_fraction")
_BOOL = {"yes": True, "no": False}
_WORDS = {True: "yes", False: "no"}


def _quantity(kind: str, label: str, allowed: Within, **more: Any) -> QuantityField:
    found = QuantityField(
        kind, unit=allowed.unit, allowed=allowed, label=label, required=False, **more
    )
    found.optional_word = " "
    return found


def _flag(label: str) -> forms.ChoiceField:
    field = forms.ChoiceField(label=label, choices=_SAID, widget=Segments, required=False)
    field.optional_word = " "  # type: ignore[attr-defined]  # read by the field template
    return field


class PlanForm(CaseForm):
    """A case with its anaesthesia; everything but name, machine and time may stay open."""

    agent = forms.ChoiceField(label="Agent", choices=_AGENTS, required=False)
    no_drugs = forms.BooleanField(label="No other drug is given", required=False)
    drugs = forms.CharField(
        label="Which drugs, or none?",
        required=False,
        max_length=240,
        help_text="Names with commas between them; no dial is shown before this is said.",
    )
    target_mac = _quantity("count", "Multiple of MAC for this case", Within(0.1, 3.0, "1"))
    dial_fraction = _quantity(
        "share", "Dial as it is set", Within(0.0, 50.0, "%"), help_text="Instead of the multiple."
    )
    reach_min = _quantity("time", "Reach the level within", Within(1.0, 120.0, "min"))
    vaporizer_for = forms.ChoiceField(
        label="The vaporizer is made for", choices=_AGENTS, required=False
    )
    vaporizer_end_fraction = _quantity("share", "Its dial ends at", Within(1.0, 50.0, "%"))
    dead_space_l = _quantity(
        "volume",
        "Dead space of tube and adapters",
        Within(0.0, 2000.0, "mL"),
        help_text="Between teeth and breathing system.",
    )
    absorbent_kg = _quantity("mass", "Fresh absorbent in the canister", Within(0.05, 50.0, "kg"))
    barometric_kpa = _quantity(
        "pressure",
        "What does the barometer read?",
        Within(500.0, 1100.0, "hPa"),
        help_text="Not reduced to sea level; it changes what a dial delivers and what one MAC is.",
    )
    warmed = _flag("Warmed from the start?")
    co2_measured = _flag("Inspired carbon dioxide measured?")
    cautery = _flag("Cautery near the airway?")

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, site=site, **kwargs)
        self._offer("species", (*dict.fromkeys((*species_offered(), *species_known())),))
        self._offer("system", tuple(BreathingSystem))
        for name in ("agent", "vaporizer_for", "drugs", "species", "system", "weight_kg"):
            self.fields[name].optional_word = " "  # type: ignore[attr-defined]  # read by the field template
        self.fields["weight_kg"].help_text = "Weighed; 25 g may be typed."
        for row in range(len(PHASES)):
            self.fields[f"minutes_{row}"].optional_word = " "  # type: ignore[attr-defined]  # read by the field template
        self.fields["target_mac"].help_text = self._target_words()
        if site.barometric_kpa is not None or site.elevation_m is not None:
            del self.fields["barometric_kpa"]

    def _offer(self, name: str, known: tuple[str, ...]) -> None:
        """Offer the names that have data; what was said before stays, whatever it was."""
        before = str(self.initial.get(name) or (self.data.get(name) if self.is_bound else "") or "")
        offered = [*known, *([before] if before and before not in known else [])]
        choices = [("", "Choose"), *((one, f"{one[:1].upper()}{one[1:]}") for one in offered)]
        label = self.fields[name].label
        self.fields[name] = forms.ChoiceField(label=label, choices=choices, required=False)

    def _target_words(self) -> str:
        """Where the multiple comes from: this case, the site, or nobody yet."""
        url = reverse("sites:section", args=["anaesthesia"])
        if self.site.target_mac is not None:
            return f"Left empty: that of the site, {self.site.target_mac:g}."
        words = "Your site has not set a multiple; a lead sets it under {}."
        return format_html(words, format_html('<a href="{}">Settings, Anaesthesia</a>', url))

    def clean(self) -> dict[str, Any]:
        """Beside what is asked of every case: none or names of drugs, not both."""
        typed = super().clean()
        if typed.get("no_drugs") and typed.get("drugs", "").strip():
            self.add_error("drugs", "Say that none is given, or name them: not both.")
        return typed

    @property
    def has_flows(self) -> bool:
        """True where a flow was typed, so that the flows are unfolded."""
        return any(flow.value() for row in self.phase_rows for flow in row.flows)

    @property
    def has_depth(self) -> bool:
        """True where something was said of depth or vaporizer."""
        return self._has("target_mac", "dial_fraction", "reach_min", *_VAPORIZER)

    @property
    def has_airway(self) -> bool:
        """True where something was said of airway, absorbent, ventilator or chamber."""
        return self._has("dead_space_l", "absorbent_kg", *_EXTRAS)

    def _has(self, *names: str) -> bool:
        return any(self[name].value() for name in names)

    @property
    def not_understood(self) -> list[tuple[str, str]]:
        """What was typed and cannot be taken, with the label of its field; open fields are none."""
        return [
            (str(self.fields[name].label), one.messages[0])
            for name, found in self.errors.as_data().items()
            for one in found
            if name in self.fields and one.code != "required" and not self._is_asked(name)
        ]

    def _is_asked(self, name: str) -> bool:
        """A weight that is asked about has its own place beside the field."""
        return name == "weight_kg" and bool(self.questions)

    def _drugs(self) -> tuple[str, ...] | None:
        typed = self.cleaned_data
        if typed.get("no_drugs"):
            return ()
        names = tuple(one.strip() for one in typed.get("drugs", "").split(",") if one.strip())
        if [one.lower() for one in names] == ["none"]:
            return ()
        return names or None

    def _planned(self) -> dict[str, Any]:
        """What was said of the plan; what was left open is left out."""
        typed = {name: self.cleaned_data.get(name) for name in PLANNED}
        told = {name: _BOOL.get(str(one)) if name in FLAGS else one for name, one in typed.items()}
        return {name: one for name, one in told.items() if one not in (None, "")}

    def said(self) -> CaseSaid:
        """The case as far as it was typed; what was refused counts as not said."""
        typed = self.cleaned_data
        machine = self.machines.get(typed.get("machine", ""))
        starts = typed.get("starts")
        return CaseSaid(
            name=typed.get("name") or "This case",
            machine=machine.name if machine else "",
            species=(typed.get("species") or "").strip(),
            weight_kg=typed.get("weight_kg") or self.weight_typed,
            phases=tuple(self._phases()),
            agent=typed.get("agent") or "",
            system=(typed.get("system") or "").strip(),
            start_min=60.0 * starts.hour + starts.minute if starts else 0.0,
            extras={name: typed[name] for name in _EXTRAS if typed.get(name)},
            drugs=self._drugs(),
            target_mac=typed.get("target_mac"),
            planned=self._planned(),
            weight_is_right=bool(typed.get("keep")),
        )

    def facts(self) -> CaseFacts:
        """Everything that is kept of the case; call it on a valid form."""
        return replace(
            super().facts(),
            plan=PlanFacts(
                agent=self.cleaned_data["agent"],
                drugs=None if (drugs := self._drugs()) is None else list(drugs),
                target_mac=self.cleaned_data["target_mac"],
                planned=self._planned(),
            ),
        )

    @staticmethod
    def typed_again(row: PlannedCase, starts: time) -> dict[str, Any]:
        """What the fields hold for a case that is kept."""
        said = said_of(row)
        facts = CaseFacts(
            name=row.name,
            machine=row.machine,
            starts_at=row.starts_at,
            phases=[dict(one) for one in said.phases],
            species=row.species,
            weight_kg=row.weight_kg,
            system=row.system,
            extras=row.extras,
            note=row.note,
        )
        told = {name: _WORDS[one] if name in FLAGS else one for name, one in said.planned.items()}
        return {
            **CaseForm.typed_from(facts, starts),
            **told,
            "agent": row.agent,
            "target_mac": row.target_mac,
            "no_drugs": said.drugs == (),
            "drugs": ", ".join(said.drugs or ()),
            "keep": said.weight_is_right,
        }


class OtherForm(forms.Form):
    """What is different in the plan that stands beside; empty means the same."""

    other_agent = forms.ChoiceField(
        label="Agent", choices=[("", "the same"), *_AGENTS[1:]], required=False
    )
    other_system = forms.ChoiceField(label="Breathing system", required=False)
    other_flow = _quantity("flow", "Oxygen flow, all phases", Within(0.01, 200.0, "L/min"))
    other_dial = _quantity("share", "Dial", Within(0.0, 50.0, "%"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        systems = [(one.value, f"{one[:1].upper()}{one[1:]}") for one in BreathingSystem]
        self.fields["other_system"] = forms.ChoiceField(
            label="Breathing system", choices=[("", "the same"), *systems], required=False
        )
        for field in self.fields.values():
            field.optional_word = " "  # type: ignore[attr-defined]  # read by the field template

    def changed(self, said: CaseSaid) -> CaseSaid:
        """The case with what was chosen in its place; call it on a valid form."""
        typed = self.cleaned_data
        found = replace(
            said,
            agent=typed["other_agent"] or said.agent,
            system=typed["other_system"] or said.system,
        )
        if typed["other_agent"] and typed["other_agent"] != said.agent:
            # The vaporizer, its end and a dial that was set belong to the other agent.
            gone = {"vaporizer_for", "vaporizer_end_fraction", "dial_fraction"}
            kept = {name: one for name, one in found.planned.items() if name not in gone}
            found = replace(found, planned=kept)
        if typed["other_dial"] is not None:
            found = replace(found, planned={**found.planned, "dial_fraction": typed["other_dial"]})
        if typed["other_flow"] is not None:
            flow = {"oxygen_l_min": typed["other_flow"], "air_l_min": 0.0}
            flow["nitrous_oxide_l_min"] = 0.0
            found = replace(found, phases=tuple({**one, **flow} for one in found.phases))
        return found

    def words(self, said: CaseSaid) -> list[str]:
        """What was changed, before and after; call it on a valid form."""
        typed = self.cleaned_data
        found = []
        if typed["other_agent"]:
            found.append(f"agent: {said.agent or 'not said'}, then {typed['other_agent']}")
        if typed["other_system"]:
            found.append(f"system: {said.system or 'not said'}, then {typed['other_system']}")
        for name, before in (("other_flow", "as planned"), ("other_dial", "as planned")):
            if typed[name] is not None:
                field = self.fields[name]
                words = field.words(typed[name]) if isinstance(field, QuantityField) else ""
                found.append(f"{str(field.label).lower()}: {before}, then {words}")
        return found
