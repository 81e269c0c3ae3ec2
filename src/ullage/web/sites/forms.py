"""What people set for their site and its rooms."""

from typing import Any
from zoneinfo import available_timezones

from django import forms

from ullage.answers.chain_links.storage import CODES
from ullage.reference import sourced
from ullage.web.shared.choices import (
    COLOURS,
    CONDITIONS,
    COUNTRIES,
    PRESSURE_UNITS,
    TEMPERATURE_UNITS,
)
from ullage.web.shared.fields import QuantityField, Within
from ullage.web.shared.forms import Choices, Segments, SiteForm

__all__ = [
    "LockForm",
    "PlaceForm",
    "ReadingsForm",
    "ReserveForm",
    "RoomForm",
    "StorageForm",
    "UnitsForm",
]

_BAND_K = sourced("supply", "temperature_band_k").value
_BEGIN_PSI = sourced("supply", "begin_psi").value


class PlaceForm(SiteForm):
    """Where the site is and how its air is."""

    name = forms.CharField(label="Name", max_length=120)
    elevation_m = QuantityField(
        "length",
        unit="m",
        allowed=Within(-450, 5500, "m"),
        label="Height above sea level",
        required=False,
        help_text="The air is thinner higher up. Feet may be typed too: 6200 ft.",
    )
    barometric_kpa = QuantityField(
        "pressure",
        unit="hPa",
        allowed=Within(500, 1100, "hPa"),
        label="Air pressure read here",
        required=False,
        help_text="Not reduced to sea level. It is used instead of the height.",
    )
    temperature_k = QuantityField(
        "temperature",
        allowed=Within(-10, 50, "°C"),
        label="Usual room temperature",
        help_text="Taken where a room has none of its own, with "
        f"{_BAND_K:g} °C either way allowed for.",
    )
    country = forms.ChoiceField(label="Country", choices=COUNTRIES)
    time_zone = forms.ChoiceField(
        label="Time zone",
        choices=[(zone, zone.replace("_", " ")) for zone in sorted(available_timezones())],
    )


class UnitsForm(SiteForm):
    """What people here think in."""

    pressure_unit = forms.ChoiceField(label="Gauges read", choices=PRESSURE_UNITS, widget=Segments)
    temperature_unit = forms.ChoiceField(
        label="Temperature", choices=TEMPERATURE_UNITS, widget=Segments
    )
    condition = forms.ChoiceField(
        label="Litres are free gas at",
        choices=CONDITIONS,
        widget=Choices,
        help_text="A flowmeter is taken to read litres at 70 °F; minutes do not depend on this.",
    )
    gas_colours = forms.ChoiceField(
        label="Gas colours",
        choices=COLOURS,
        widget=Choices,
        help_text="The name of the gas stands beside its colour, always.",
    )


class ReserveForm(SiteForm):
    """What is kept back; all left empty means the proposal."""

    reserve_kpa = QuantityField(
        "pressure",
        allowed=Within(0, 100, "bar"),
        label="Keep back this pressure",
        required=False,
    )
    reserve_l = QuantityField(
        "volume", allowed=Within(0, 20_000, "L"), label="Keep back this much gas", required=False
    )
    reserve_min = QuantityField(
        "time",
        allowed=Within(0, 1440, "min"),
        label="Keep back this long",
        required=False,
        help_text="Minutes of the whole present demand, drive gas included.",
    )
    begin_kpa = QuantityField(
        "pressure",
        allowed=Within(0, 300, "bar"),
        label="Do not begin below",
        required=False,
        help_text="Without a second source. Left empty: about "
        f"{_BEGIN_PSI:g} psi, as training texts say.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            if isinstance(field, QuantityField):
                field.optional_word = "if it is a rule here"


class ReadingsForm(SiteForm):
    """When a gauge is to be read, and when a reading is too old."""

    reading_interval_min = QuantityField(
        "time",
        allowed=Within(5, 480, "min"),
        label="Read the gauge every",
        help_text="While a source is in use. Machines without an oxygen-failure alarm get these "
        "times in the day plan.",
    )
    reading_stale_h = QuantityField(
        "time",
        unit="h",
        allowed=Within(1, 336, "h"),
        label="A reading is old after",
        help_text="What is worked out from an old reading shows as an estimate.",
    )

    @staticmethod
    def shown(facts: dict[str, Any]) -> dict[str, Any]:
        """Stored facts as this form takes them: minutes."""
        return facts | {
            "reading_interval_min": float(facts["reading_interval_min"]),
            "reading_stale_h": facts["reading_stale_h"] * 60.0,
        }

    def clean(self) -> dict[str, Any]:
        """Whole minutes and whole hours, as they are stored."""
        typed = super().clean()
        if typed.get("reading_interval_min") is not None:
            typed["reading_interval_min"] = round(typed["reading_interval_min"])
        if typed.get("reading_stale_h") is not None:
            typed["reading_stale_h"] = max(1, round(typed["reading_stale_h"] / 60.0))
        return typed

    def words(self, name: str, value: Any) -> str:
        """Stored hours are read out as hours."""
        return f"{value} h" if name == "reading_stale_h" else super().words(name, float(value))


class LockForm(SiteForm):
    """When a screen at the table locks."""

    quick_lock_min = forms.IntegerField(
        label="Lock the screen after minutes without a touch",
        min_value=1,
        max_value=60,
        help_text="One to 60. The lock hides names and history; who locked it opens it in one step "
        "with a PIN, a passkey or the password.",
    )


class StorageForm(SiteForm):
    """By which code stored cylinders are counted."""

    storage_code = forms.ChoiceField(
        label="Storage code",
        choices=[*((key, name) for key, (name, _) in CODES.items()), ("", "No code chosen")],
        widget=Choices,
        required=False,
        help_text="The thresholds of each belong to that code alone. Your local code decides; "
        "where it is not in this list, choose none and keep to it.",
    )


class RoomForm(SiteForm):
    """A room: how much air, how often renewed, is there a magnet."""

    name = forms.CharField(label="Name", max_length=80, help_text="As people say it aloud.")
    volume_m3 = QuantityField(
        "room volume",
        allowed=Within(1, 100_000, "m³"),
        label="Volume",
        required=False,
        help_text="Length × width × height. Cubic feet may be typed too: 2100 cu ft.",
    )
    air_changes_per_h = QuantityField(
        "rate",
        allowed=Within(0, 100, "/h"),
        label="Air changes",
        required=False,
        help_text="How often an hour the ventilation renews the air of the room.",
    )
    temperature_k = QuantityField(
        "temperature",
        allowed=Within(-20, 50, "°C"),
        label="Usual temperature",
        required=False,
        help_text="Left empty, the usual one of the site is taken.",
    )
    is_magnet = forms.BooleanField(
        label="There is a magnet in this room",
        required=False,
        help_text="Steel cylinders and unmarked regulators then read Stop.",
    )
