"""What stamp, label and gauge of a cylinder say, and where it goes next."""

from typing import Any

from django import forms

from ullage.answers import cylinder_contents, things
from ullage.core.errors import AmbiguousSize, UllageError, UnknownReference
from ullage.reference import CylinderSize, cylinder_size, cylinder_sizes, sourced
from ullage.web.shared.fields import QuantityField, Within
from ullage.web.shared.forms import Choices, SiteForm
from ullage.web.sites.selectors import Room, Site, rooms_of

__all__ = ["ConnectForm", "CorrectForm", "MoveForm", "ReceiveForm", "region_of"]

_GAUGE_CLASSES = [
    ("", "Not read: class 2.5 is assumed"),
    ("0.01", "Class 1.0"),
    ("0.016", "Class 1.6"),
    ("0.025", "Class 2.5"),
    ("0.04", "Class 4"),
]
_MATERIALS = [
    ("", "Not read"),
    ("steel", "Steel"),
    ("aluminium", "Aluminium"),
    ("composite", "Composite"),
]
_KNOWN = [
    ("preset", "By its size letter"),
    ("stamp", "By the water capacity stamped on it"),
    ("label", "By the litres on its label"),
]


def region_of(site: Site) -> str:
    """The world of letters that a site's suppliers speak."""
    return {"US": "US", "CN": "China"}.get(site.country, "UK/ISO")


class ReceiveForm(SiteForm):
    """A cylinder that arrives: its gas, its size, and what else can be read on it."""

    name = forms.CharField(
        label="Name",
        max_length=60,
        help_text="One word that can be called across a room; it stands on the QR label.",
        error_messages={"required": "Give it a name."},
    )
    gas = forms.ChoiceField(
        label="Gas on the label",
        choices=[("", "Read the label")]
        + [(one.value, one.value.capitalize()) for one in things.Gas],
        error_messages={"required": "Read the label and choose the gas."},
    )
    capacity_known = forms.ChoiceField(
        label="How is its size known?", choices=_KNOWN, widget=Choices, initial="preset"
    )
    size = forms.CharField(
        label="Size letter",
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs={"list": "sizes", "autocomplete": "off"}),
    )
    region = forms.ChoiceField(label="Which of these is it?", required=False, widget=Choices)
    water_capacity = QuantityField(
        "volume",
        label="Water capacity",
        required=False,
        allowed=Within(0.1, 2000.0, "L"),
        help_text="Stamped on the shoulder, often behind 'WC' or 'V'.",
    )
    label_l = QuantityField(
        "volume", label="Litres on the label", required=False, allowed=Within(1.0, 100_000.0, "L")
    )
    fill_gauge = QuantityField(
        "pressure",
        label="Filled to",
        required=False,
        allowed=Within(1.0, 350.0, "bar"),
        help_text="The pressure printed beside the litres, or of a full one.",
    )
    full_scale = QuantityField(
        "pressure",
        label="Its gauge ends at",
        required=False,
        allowed=Within(10.0, 700.0, "bar"),
        help_text="The last number on the dial.",
    )
    gauge_error_share = forms.ChoiceField(
        label="Class of the gauge", choices=_GAUGE_CLASSES, required=False
    )
    test_pressure = QuantityField(
        "pressure",
        label="Test pressure",
        required=False,
        allowed=Within(10.0, 700.0, "bar"),
        help_text="Stamped. A reading above it is refused.",
    )
    test_due = forms.DateField(
        label="Next test due", required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    tare = QuantityField(
        "mass",
        label="Empty weight (tare)",
        required=False,
        allowed=Within(0.1, 300.0, "kg"),
        help_text="Stamped. Needed for nitrous oxide and carbon dioxide: their gauge cannot tell.",
    )
    material = forms.ChoiceField(label="Made of", choices=_MATERIALS, required=False)
    serial = forms.CharField(label="Serial number", max_length=60, required=False)
    room = forms.ChoiceField(label="Where does it stand?", required=False)

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, site=site, **kwargs)
        self.rooms = {str(one.pk): one for one in rooms_of(site)}
        choose(
            self, "room", [("", "In the store"), *((pk, r.name) for pk, r in self.rooms.items())]
        )
        self.fields["gauge_error_share"].optional_word = "if read"  # type: ignore[attr-defined]  # ours
        asked = self._asked_size()
        if asked:
            choose(self, "region", [(one.region, size_words(one)) for one in asked])
        else:
            del self.fields["region"]

    @property
    def presets(self) -> list[CylinderSize]:
        """Sizes of the site's own world, for the list under the field."""
        return [one for one in cylinder_sizes() if one.region == region_of(self.site)]

    def _asked_size(self) -> list[CylinderSize]:
        """The cylinders that a letter may mean, where it means more than one."""
        letter = str(self.data.get(self.add_prefix("size"), "")).strip()
        known = self.data.get(self.add_prefix("capacity_known"), "preset")
        if not letter or known != "preset":
            return []
        try:
            cylinder_size(letter)
        except AmbiguousSize:
            folded = letter.upper()
            return [one for one in cylinder_sizes() if folded in one.names()]
        except UnknownReference:
            return []
        return []

    def clean(self) -> dict[str, Any]:
        """Find the water capacity by the way that was chosen, or ask for what is missing."""
        typed = super().clean() or self.cleaned_data
        way = {"preset": self._by_letter, "stamp": self._by_stamp, "label": self._by_label}
        found = way.get(typed.get("capacity_known", ""), lambda _: None)(typed)
        if found is not None:
            typed["found_l"] = found
        scale, fill = typed.get("full_scale"), typed.get("fill_gauge")
        if scale and fill and fill > scale:
            self.add_error("full_scale", "A full cylinder would go past the end of this dial.")
        if fill and typed.get("test_pressure") and fill > typed["test_pressure"]:
            self.add_error("test_pressure", "It is filled above this; read the stamp again.")
        return typed

    def _by_letter(self, typed: dict[str, Any]) -> float | None:
        letter = typed.get("size", "")
        if not letter:
            self.add_error("size", "Write the size letter, or choose another way.")
            return None
        try:
            size = size_meant(letter, typed.get("region") or None, region_of(self.site))
        except AmbiguousSize:
            self.add_error(
                "region" if "region" in self.fields else "size",
                f"{letter} means more than one cylinder; look at the stamp and choose.",
            )
            return None
        except UnknownReference as unknown:
            self.add_error("size", str(unknown))
            return None
        if not typed.get("fill_gauge") and typed.get("gas"):
            typed["fill_gauge"] = size.fill_gauge_kpa(things.Gas(typed["gas"]))
        typed["size"] = size.title
        return size.water_capacity_l

    def _by_stamp(self, typed: dict[str, Any]) -> float | None:
        found: float | None = typed.get("water_capacity")
        if found is None and "water_capacity" not in self.errors:
            self.add_error("water_capacity", "Write the water capacity stamped on the shoulder.")
        return found

    def _by_label(self, typed: dict[str, Any]) -> float | None:
        litres, fill = typed.get("label_l"), typed.get("fill_gauge")
        for name, value, what in (
            ("label_l", litres, "Write the litres on the label."),
            ("fill_gauge", fill, "Write the pressure that the label names for them."),
        ):
            if value is None and name not in self.errors:
                self.add_error(name, what)
        if litres is None or fill is None or not typed.get("gas"):
            return None
        return self._from_label(litres, fill, things.Gas(typed["gas"]))

    def _from_label(self, litres: float, fill_kpa: float, gas: things.Gas) -> float | None:
        """The water capacity that holds these litres at this pressure."""
        if gas.liquefied:
            self.add_error(
                "capacity_known",
                f"A label of {gas.value} names a weight; give the stamped water capacity.",
            )
            return None
        # A label is read, not a gauge: its fill may lie beyond the usual end of a dial.
        one_litre = things.Cylinder(
            gas=gas, water_capacity_l=1.0, full_scale_kpa=assumed_scale_kpa(fill_kpa)
        )
        seen = things.Reading(at_min=0.0, gauge_kpa=fill_kpa)
        try:
            per_litre = cylinder_contents(one_litre, seen, label_place(self.site)).value
        except UllageError as refusal:
            self.add_error("fill_gauge", str(refusal))
            return None
        return litres / per_litre if per_litre else None

    def facts(self) -> dict[str, Any]:
        """What is known of the cylinder, by the names a service wants; on a valid form."""
        kept = self.cleaned_data
        share = kept["gauge_error_share"]
        return {
            "name": kept["name"],
            "gas": kept["gas"],
            "size": kept["size"],
            "water_capacity_l": kept["found_l"],
            "capacity_known": kept["capacity_known"],
            "label_l": kept["label_l"],
            "fill_gauge_kpa": kept["fill_gauge"],
            "full_scale_kpa": kept["full_scale"] or assumed_scale_kpa(kept["fill_gauge"]),
            "gauge_error_share": float(share) if share else None,
            "test_pressure_kpa": kept["test_pressure"],
            "test_due": kept["test_due"],
            "tare_kg": kept["tare"],
            "material": kept["material"],
            "serial": kept["serial"],
        }

    def chosen_room(self) -> Room | None:
        """The room chosen; None for the store."""
        return self.rooms.get(self.cleaned_data["room"])


class CorrectForm(ReceiveForm):
    """The same, put right later, with the reason."""

    reason = forms.CharField(
        label="Why is it corrected?",
        max_length=240,
        error_messages={"required": "Say why; the old value stays readable in its history."},
    )


class ConnectForm(forms.Form):
    """The source that a cylinder goes on, and the bank of a manifold."""

    place = forms.ChoiceField(
        label="Where does it go on?",
        widget=Choices,
        error_messages={"required": "Choose the source it goes on."},
    )

    def __init__(self, *args: Any, places: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choose(self, "place", places)


class MoveForm(forms.Form):
    """The room that a cylinder stands in."""

    room = forms.ChoiceField(label="Where does it stand?", required=False)

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.rooms = {str(one.pk): one for one in rooms_of(site)}
        choose(
            self, "room", [("", "In the store"), *((pk, r.name) for pk, r in self.rooms.items())]
        )


def size_meant(letter: str, region: str | None, own: str) -> CylinderSize:
    """The size of a letter: of the region chosen, else of the site's own where it has one.

    Raises
    ------
    AmbiguousSize : the letter means two cylinders, and nobody has chosen.
    UnknownReference : no such letter.
    """
    anywhere = cylinder_size(letter, region)
    if region is not None:
        return anywhere
    try:
        return cylinder_size(letter, own)
    except UnknownReference:
        return anywhere


def assumed_scale_kpa(fill_kpa: float | None) -> float:
    """[kPa] The usual scale; one half above the fill where that would not reach."""
    usual = sourced("supply", "gauge_full_scale_psi").inside("pressure")
    return usual if fill_kpa is None or fill_kpa < 0.8 * usual else 1.5 * fill_kpa


def choose(form: forms.Form, name: str, choices: list[tuple[str, str]]) -> None:
    """Give a field the choices of this site."""
    field = form.fields[name]
    field.choices = choices  # type: ignore[attr-defined]  # a choice field


def size_words(size: CylinderSize) -> str:
    """A size in words, for a choice between two of one letter."""
    return (
        f"{size.title}: {size.water_capacity_l:g} L of water "
        f"({size.water_capacity.how_known.words})"
    )


def label_place(site: Site) -> things.Place:
    """A label counts litres at its own condition, 15 °C or 70 °F, in a cylinder as warm."""
    from ullage.answers.places import place_at

    condition = "70F" if site.country == "US" else "15C"
    kelvin = 294.26 if condition == "70F" else 288.15
    return place_at(temperature_k=kelvin, condition=condition, pressure_unit=site.pressure_unit)
