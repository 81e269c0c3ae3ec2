"""What people type about waste gas: ways of working, limits, badges, a purge."""

from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.utils import timezone

from ullage.reference.exposure_limits import exposure_limits
from ullage.web.exposure.services import BadgeFacts
from ullage.web.shared.fields import QuantityField, Within
from ullage.web.shared.forms import Choices, Segments, SiteForm
from ullage.web.sites.selectors import Site, rooms_of

__all__ = ["GASES", "BadgeForm", "LimitForm", "MixingForm", "PurgeForm", "WayForm", "WithdrawForm"]

GASES = ("isoflurane", "sevoflurane", "desflurane", "halothane", "enflurane", "nitrous oxide")
_AGENTS = [(one, one.capitalize()) for one in GASES]
#: Nobody wore a badge for these agents before.
_FIRST_YEAR = 1970
_YES_NO = [("", "not said"), ("yes", "yes"), ("no", "no")]
_ML_PER_L = 1000.0
#: What is kept for a result in ppm, which no temperature changes.
_UNSAID_C = 25.0
_BOOL = {"yes": True, "no": False}
_SCAVENGING = [
    ("", "not said"),
    ("none", "none"),
    ("passive", "passive, led outdoors"),
    ("active", "active, with suction"),
    ("charcoal", "charcoal canister"),
]


class WayForm(SiteForm):
    """How work is done at a machine; what nobody knows stays open."""

    scavenging = forms.ChoiceField(
        label="Scavenging",
        choices=_SCAVENGING,
        widget=Choices,
        required=False,
        help_text="Left open, that of the part fitted to the machine is taken.",
    )
    mask_escape_share = QuantityField(
        "share",
        allowed=Within(0, 100, "%"),
        label="Gas that passes the mask",
        required=False,
        help_text="Share of the fresh gas. Left empty: anything from none to all.",
    )
    purged = forms.ChoiceField(
        label="Is a chamber blown out before it is opened?",
        choices=_YES_NO,
        widget=Segments,
        required=False,
    )
    leak_l_min = QuantityField(
        "flow",
        unit="mL/min",
        allowed=Within(0, 50_000, "mL/min"),
        label="Leak of the machine",
        required=False,
        help_text="As measured by its last leak test at low pressure.",
    )
    spilled_ml = QuantityField(
        "volume",
        unit="mL",
        allowed=Within(0, 1000, "mL"),
        label="Liquid that runs past the filler",
        required=False,
        help_text="At each filling, before a case. Left empty, filling is not counted.",
    )
    hood = forms.BooleanField(
        label="Work is done under exhaust that leads outdoors",
        required=False,
        help_text="A cabinet that recirculates its air does not count.",
    )
    away = forms.BooleanField(label="Animals wake where the air is led away", required=False)
    animals = QuantityField(
        "count", allowed=Within(1, 100, "1"), label="Animals on the flow together"
    )

    @classmethod
    def shown(cls, facts: dict[str, Any]) -> dict[str, Any]:
        """Stored facts as this form takes them."""
        purged = {True: "yes", False: "no", None: ""}[facts["purged"]]
        spilled = facts["spilled_ml"]
        return {
            **facts,
            "purged": purged,
            "animals": float(facts["animals"]),
            "spilled_ml": None if spilled is None else spilled / _ML_PER_L,
        }

    def facts(self) -> dict[str, Any]:
        """Everything that was said; call it on a valid form."""
        typed = self.cleaned_data
        return {
            **typed,
            "purged": _BOOL.get(typed["purged"]),
            "animals": round(typed["animals"]),
            "spilled_ml": None if typed["spilled_ml"] is None else _ML_PER_L * typed["spilled_ml"],
        }

    def words(self, name: str, value: Any) -> str:
        """Yes, no and nobody said, as they are read out."""
        if name == "purged":
            return {True: "yes", False: "no", None: "not said"}[value]
        if name == "animals":
            return f"{value}"
        if name == "spilled_ml":
            return "not set" if value is None else f"{value:g} mL"
        return super().words(name, value)


class MixingForm(SiteForm):
    """How a room mixes; left empty it is not known."""

    mixing_factor = QuantityField(
        "count",
        allowed=Within(1, 10, "1"),
        label="Mixing factor",
        required=False,
        help_text="1 mixes perfectly, 10 hardly at all. Left empty, 1 to 10 is taken and the "
        "answers are wide.",
    )


class LimitForm(SiteForm):
    """The limit that the site follows for one agent."""

    limit = forms.ChoiceField(label="Limit", widget=Choices, required=False)

    def __init__(self, *args: Any, site: Site, agent: str, **kwargs: Any) -> None:
        super().__init__(*args, site=site, **kwargs)
        self.agent = agent
        offered = [
            (one.key, f"{one.level_ppm(agent):.3g} ppm. {one.words}; {one.row.how_known.words}")
            for one in exposure_limits(agent, site.country)
        ]
        field = self.fields["limit"]
        if isinstance(field, forms.ChoiceField):
            field.choices = [*offered, ("", "None chosen yet")]
            field.label = f"Limit of {agent}"


class BadgeForm(SiteForm):
    """What the paper of the laboratory says of one badge."""

    agent = forms.ChoiceField(label="Agent", choices=[("", "Choose"), *_AGENTS])
    room = forms.ChoiceField(label="Room", required=False)
    who = forms.CharField(
        label="Worn by", max_length=40, help_text="Initials or a code; no name is needed."
    )
    task = forms.CharField(label="What was done", max_length=120, required=False)
    worn_on = forms.DateField(label="Worn on", widget=forms.DateInput(attrs={"type": "date"}))
    worn_from = forms.TimeField(label="From", widget=forms.TimeInput(attrs={"type": "time"}))
    worn_to = forms.TimeField(
        label="To",
        widget=forms.TimeInput(attrs={"type": "time"}),
        help_text="A time before the first one is on the next day.",
    )
    task_min = QuantityField(
        "time",
        unit="min",
        allowed=Within(1, 2880, "min"),
        label="Minutes of the task itself",
        required=False,
    )
    level = QuantityField("count", allowed=Within(0, 1e6, "1"), label="Result")
    unit = forms.ChoiceField(
        label="In", choices=[("ppm", "ppm"), ("mg/m³", "mg/m³")], widget=Segments
    )
    celsius = forms.ChoiceField(
        label="The laboratory counts at",
        choices=[("", "not said"), ("20", "20 °C"), ("25", "25 °C")],
        widget=Segments,
        required=False,
        help_text="Needed for mg/m³; the paper says it.",
    )
    lab = forms.CharField(label="Laboratory", max_length=120, required=False)
    note = forms.CharField(
        label="Note", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, site=site, **kwargs)
        self.rooms = {str(one.pk): one for one in rooms_of(site)}
        field = self.fields["room"]
        if isinstance(field, forms.ChoiceField):
            field.choices = [
                ("", "not said"),
                *((key, one.name) for key, one in self.rooms.items()),
            ]

    def clean_worn_on(self) -> date:
        """A day that has been, and not before there were badges."""
        typed: date = self.cleaned_data["worn_on"]
        if typed.year < _FIRST_YEAR:
            raise forms.ValidationError(f"{typed.year} is too long ago: mend the date.")
        if typed > timezone.localdate():
            raise forms.ValidationError(f"{typed:%d.%m.%Y} has not come yet: mend the date.")
        return typed

    def clean(self) -> dict[str, Any]:
        """A mass in air means nothing without its temperature."""
        typed = super().clean()
        if typed.get("unit") == "mg/m³" and not typed.get("celsius"):
            self.add_error("celsius", "Say at which temperature the laboratory counts mg/m³.")
        return typed

    def facts(self) -> BadgeFacts:
        """Everything that was typed; call it on a valid form."""
        typed = self.cleaned_data
        first = self._moment(typed["worn_on"], typed["worn_from"])
        last = self._moment(typed["worn_on"], typed["worn_to"])
        return BadgeFacts(
            room=self.rooms.get(typed["room"]),
            agent=typed["agent"],
            who=typed["who"],
            worn_from=first,
            worn_to=last if last > first else last + timedelta(days=1),
            level=typed["level"],
            unit=typed["unit"],
            celsius=float(typed["celsius"] or _UNSAID_C),
            task=typed["task"],
            task_min=typed["task_min"],
            lab=typed["lab"],
            note=typed["note"],
        )

    def _moment(self, day: date, clock: time) -> datetime:
        return datetime.combine(day, clock, ZoneInfo(self.site.time_zone))


class WithdrawForm(SiteForm):
    """Why a badge does not count."""

    reason = forms.CharField(label="Why does it not count?", max_length=240)


class PurgeForm(SiteForm):
    """A chamber or a room, the clean gas through it, and the levels at both ends."""

    volume_l = QuantityField(
        "volume",
        unit="L",
        allowed=Within(0.05, 1e8, "L"),
        label="Volume",
        help_text="Of the chamber, or of the room: 45 m³ may be typed.",
    )
    flow_l_min = QuantityField(
        "flow",
        unit="L/min",
        allowed=Within(0.01, 1e7, "L/min"),
        label="Clean gas or fresh air",
        help_text="540 m³/h may be typed.",
    )
    start_share = QuantityField(
        "share",
        unit="%",
        allowed=Within(1e-8, 100, "%"),
        label="Level at first",
        help_text="2 %, or 40 ppm.",
    )
    end_share = QuantityField(
        "share",
        unit="ppm",
        allowed=Within(1e-4, 1e6, "ppm"),
        label="Level to be reached",
    )
    mixing_factor = QuantityField(
        "count",
        allowed=Within(1, 10, "1"),
        label="Mixing factor",
        required=False,
        help_text="Left empty: 1 to 10.",
    )
