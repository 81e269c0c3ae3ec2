"""A source of gas: what it is, what it feeds, what stands behind it."""

from typing import Any

from django import forms

from ullage.answers.things import Gas
from ullage.web.shared.fields import QuantityField, Within
from ullage.web.shared.forms import Choices, SiteForm, Ticks
from ullage.web.sites.selectors import Site, rooms_of
from ullage.web.supply.forms.cylinders import choose

__all__ = ["FlowForm", "KindForm", "SourceForm"]

KINDS = [
    ("cylinder", "Cylinder on a machine or a wall"),
    ("sequence", "Several cylinders, one after the other"),
    ("manifold", "Two-bank manifold with automatic change-over"),
    ("pipeline", "Pipeline outlet"),
    ("concentrator", "Oxygen concentrator"),
    ("liquid", "Liquid oxygen"),
]

#: Which fields belong to which kind; the others are not asked.
_FOR_KIND = {
    "cylinder": {"reserve_of", "trapped_ml", "fall_limit", "fall_limit_min"},
    "sequence": {"reserve_of", "trapped_ml", "fall_limit", "fall_limit_min"},
    "manifold": {"reserve_of", "change_over", "trapped_ml", "fall_limit", "fall_limit_min"},
    "pipeline": {"line_gauge"},
    "concentrator": {"flow_limit", "oxygen_percent", "line_gauge"},
    "liquid": {"liquid_l", "daily_loss_percent"},
}
_SOME = set().union(*_FOR_KIND.values())

#: A concentrator and liquid oxygen give oxygen only.
_OXYGEN_ONLY = {"concentrator", "liquid"}


class KindForm(forms.Form):
    """What kind of source it is; the next page asks what belongs to it."""

    kind = forms.ChoiceField(
        label="What does the gas come from?",
        choices=KINDS,
        widget=Choices,
        error_messages={"required": "Choose what the gas comes from."},
    )


class SourceForm(SiteForm):
    """The facts of one source of a kind."""

    name = forms.CharField(
        label="Name", max_length=80, error_messages={"required": "Give it a name."}
    )
    gas = forms.ChoiceField(
        label="Gas", choices=[(one.value, one.value.capitalize()) for one in Gas]
    )
    room = forms.ChoiceField(label="Room", required=False)
    machines = forms.MultipleChoiceField(label="Which machines does it feed?", required=False)
    reserve_of = forms.ChoiceField(
        label="Does it stand behind another source?",
        required=False,
        help_text="A reserve is drawn on only when that one fails; keep its valve closed.",
    )
    line_gauge = QuantityField(
        "pressure",
        label="Pressure at the outlet",
        required=False,
        allowed=Within(0.05, 15.0, "bar"),
    )
    change_over = QuantityField(
        "pressure",
        label="Changes over at",
        required=False,
        allowed=Within(1.0, 100.0, "bar"),
        help_text="The cylinder pressure at which it turns to the other bank.",
    )
    flow_limit = QuantityField(
        "flow", label="Gives at most", required=False, allowed=Within(0.1, 100.0, "L/min")
    )
    oxygen_percent = QuantityField(
        "share", unit="%", label="Oxygen it gives", required=False, allowed=Within(21.0, 100.0, "%")
    )
    liquid_l = QuantityField(
        "volume", label="Liquid it holds", required=False, allowed=Within(0.1, 50_000.0, "L")
    )
    daily_loss_percent = QuantityField(
        "share", unit="%", label="Loses a day", required=False, allowed=Within(0.0, 20.0, "%")
    )
    trapped_ml = QuantityField(
        "volume",
        unit="mL",
        label="Trapped behind the closed valve",
        required=False,
        allowed=Within(1.0, 500.0, "mL"),
        help_text="Between cylinder valve and regulator; about 20 mL is taken, from memory.",
    )
    fall_limit = QuantityField(
        "pressure",
        label="Rule for close and watch: may fall less than",
        required=False,
        allowed=Within(0.1, 100.0, "bar"),
    )
    fall_limit_min = QuantityField(
        "time", unit="min", label="in", required=False, allowed=Within(1.0, 60.0, "min")
    )

    def __init__(
        self,
        *args: Any,
        site: Site,
        kind: str,
        machines: list[tuple[str, str]],
        before: list[tuple[str, str]],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, site=site, **kwargs)
        self.kind = kind
        self.rooms = {str(one.pk): one for one in rooms_of(site)}
        choose(self, "room", [("", "None"), *((pk, r.name) for pk, r in self.rooms.items())])
        choose(self, "machines", machines)
        self.fields["machines"].widget = Ticks(choices=machines)
        choose(self, "reserve_of", [("", "No"), *before])
        for name in _SOME - _FOR_KIND[kind]:
            del self.fields[name]
        if kind in _OXYGEN_ONLY:
            choose(self, "gas", [(Gas.OXYGEN.value, "Oxygen")])
            self.fields["gas"].initial = Gas.OXYGEN.value
        if not machines:
            del self.fields["machines"]

    def clean(self) -> dict[str, Any]:
        """Liquid oxygen needs its amount; a fall needs its minutes."""
        typed = super().clean() or self.cleaned_data
        if (
            self.kind == "liquid"
            and typed.get("liquid_l") is None
            and "liquid_l" not in self.errors
        ):
            self.add_error("liquid_l", "Write how much liquid it holds.")
        if typed.get("fall_limit") and not typed.get("fall_limit_min"):
            self.add_error("fall_limit_min", "Write in how many minutes.")
        return typed

    def facts(self) -> dict[str, Any]:
        """The facts by the names a service wants, rows left to the view; on a valid form."""
        kept = self.cleaned_data
        return {
            "name": kept["name"],
            "kind": self.kind,
            "gas": kept["gas"],
            "room": self.rooms.get(kept["room"]),
            "flow_limit_l_min": kept.get("flow_limit"),
            "oxygen_fraction": kept.get("oxygen_percent"),
            "liquid_l": kept.get("liquid_l"),
            "daily_loss_share": kept.get("daily_loss_percent"),
            "line_gauge_kpa": kept.get("line_gauge"),
            "change_over_kpa": kept.get("change_over"),
            "trapped_ml": _ml(kept.get("trapped_ml")),
            "fall_limit_kpa": kept.get("fall_limit"),
            "fall_limit_min": kept.get("fall_limit_min"),
        }


def _ml(litres: float | None) -> float | None:
    return None if litres is None else litres * 1000.0


class FlowForm(SiteForm):
    """The flow that runs from a source now."""

    flow = QuantityField(
        "flow",
        label="Flow now, all machines together",
        allowed=Within(0.01, 200.0, "L/min"),
        error_messages={"required": "Write the flow that is set."},
    )
    why = forms.CharField(
        label="For what?",
        max_length=120,
        required=False,
        help_text="The animal or the work, in a word.",
    )
