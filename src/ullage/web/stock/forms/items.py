"""What people say about a thing in store, and what happened to it."""

from collections.abc import Iterable
from typing import Any

from django import forms

from ullage.answers.things import Gas
from ullage.web.shared.fields import QuantityField, Within
from ullage.web.shared.forms import Segments, SiteForm
from ullage.web.sites.selectors import Room, Site
from ullage.web.stock.forms.entries import Timed, code_field, count_field, when_field
from ullage.web.stock.selectors import ItemKind, MoveKind
from ullage.web.stock.services import ItemFacts

__all__ = [
    "CancelForm",
    "ItemForm",
    "MoveForm",
    "OrderForm",
    "ReceiveForm",
    "RuleForm",
    "UseOneForm",
]

#: What a piece of each kind is called, alone and in number.
_PIECES = {
    ItemKind.CYLINDER: ("cylinder", "cylinders"),
    ItemKind.ABSORBENT: ("filling", "fillings"),
    ItemKind.CANISTER: ("canister", "canisters"),
    ItemKind.AGENT: ("bottle", "bottles"),
    ItemKind.SEAL: ("seal", "seals"),
    ItemKind.OTHER: ("piece", "pieces"),
}


def _days(label: str, help_text: str, high: float = 365, **known: Any) -> QuantityField:
    return QuantityField(
        "time", unit="d", allowed=Within(0, high, "d"), label=label, help_text=help_text, **known
    )


class ItemForm(SiteForm):
    """One thing in store; days are typed as days."""

    name = forms.CharField(
        label="Name", max_length=60, help_text="As people say it: Isoflurane 250 mL, Oxygen E."
    )
    gas = forms.ChoiceField(
        label="Gas",
        required=False,
        choices=[("", "Not said"), *((one.value, one.value.capitalize()) for one in Gas)],
    )
    size = forms.CharField(
        label="Size",
        max_length=40,
        required=False,
        help_text="As it is written on the cylinders under Supplies. Left empty: every size.",
    )
    room = forms.ChoiceField(label="Room", required=False)
    place = forms.CharField(
        label="Place in it", max_length=80, required=False, help_text="Such as a shelf or a cage."
    )
    usual_days = _days(
        "A delivery usually takes", "From the order to the shelf, weekends counted.", required=False
    )
    longest_days = _days("And at most", "What only one delivery in twenty exceeds.", required=False)
    every_days = _days("One order shall last", "At least so long after it has come.")
    look_days = _days("The shelf is looked at every", "0: each time one is taken.", required=False)
    pack = count_field("Come in packs of")
    usual_per_week = QuantityField(
        "count",
        allowed=Within(0, 5000, "1"),
        label="Usually used in a week",
        required=False,
        help_text="Taken until four weeks are written down. Left empty: only what is written.",
    )
    code = code_field()

    def __init__(
        self, *args: Any, site: Site, kind: str, rooms: Iterable[Room], **kwargs: Any
    ) -> None:
        super().__init__(*args, site=site, **kwargs)
        self.kind = ItemKind(kind)
        self.rooms = {str(room.pk): room for room in rooms}
        choices = [(key, room.name) for key, room in self.rooms.items()]
        self.fields["room"].choices = [("", "No room said"), *choices]  # type: ignore[attr-defined]  # a ChoiceField
        if self.kind != ItemKind.CYLINDER:
            del self.fields["gas"], self.fields["size"]

    def clean(self) -> dict[str, Any]:
        """The longest delivery is no shorter than the usual one; cylinders have a gas."""
        typed = super().clean()
        usual, longest = typed.get("usual_days"), typed.get("longest_days")
        if longest is not None and (usual is None or longest < usual):
            said = "Write the usual time first." if usual is None else "It is below the usual time."
            self.add_error("longest_days", said)
        if self.kind == ItemKind.CYLINDER and not typed.get("gas"):
            self.add_error("gas", "Say which gas is in these cylinders.")
        return typed

    def facts(self) -> ItemFacts:
        """What was typed, for the service; minutes become days again."""
        typed = self.cleaned_data
        days = {
            name: None if typed[name] is None else typed[name] / 1440.0
            for name in ("usual_days", "longest_days", "every_days", "look_days")
        }
        piece, pieces = _PIECES[self.kind]
        return ItemFacts(
            name=typed["name"],
            room=self.rooms.get(typed["room"] or ""),
            place=typed["place"],
            gas=typed.get("gas", ""),
            size=typed.get("size", ""),
            piece=piece,
            pieces=pieces,
            usual_days=days["usual_days"],
            longest_days=days["longest_days"],
            every_days=days["every_days"] or 0.0,
            look_days=days["look_days"] or 0.0,
            pack=typed["pack"],
            usual_per_week=typed["usual_per_week"],
            code=typed["code"],
        )

    @staticmethod
    def shown(item: Any) -> dict[str, Any]:
        """A thing as this form shows it: days as minutes, a room as its key."""
        known = {
            name: getattr(item, name)
            for name in ("name", "gas", "size", "place", "pack", "usual_per_week")
        }
        for name in ("usual_days", "longest_days", "every_days", "look_days"):
            value = getattr(item, name)
            known[name] = None if value is None else value * 1440.0
        known["room"] = str(item.room_id or "")
        return known


class MoveForm(Timed):
    """What happened at a shelf."""

    kind = forms.ChoiceField(
        label="What happened?",
        choices=[
            (MoveKind.USED.value, "Used"),
            (MoveKind.RECEIVED.value, "Received"),
            (MoveKind.COUNTED.value, "Counted"),
            (MoveKind.RETURNED.value, "Sent back full"),
            (MoveKind.EMPTIES.value, "Empties sent back"),
            (MoveKind.DISCARDED.value, "Thrown away"),
        ],
    )
    count = count_field("How many?", least=0)
    why = forms.CharField(label="Why, or a note", max_length=160, required=False)
    at = when_field()
    code = code_field()


class UseOneForm(forms.Form):
    """One piece was taken: one touch."""

    code = code_field()


class OrderForm(forms.Form):
    """Something was ordered."""

    count = count_field("How many were ordered?")
    expected_on = forms.DateField(
        label="Expected on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    note = forms.CharField(
        label="Number or note", max_length=120, required=False, help_text="As on the order."
    )
    code = code_field()


class ReceiveForm(Timed):
    """What came of an order."""

    count = count_field("How many came?")
    at = when_field()
    code = code_field()


class CancelForm(forms.Form):
    """Why an order is cancelled."""

    why = forms.CharField(label="Why is it cancelled?", max_length=120)


class RuleForm(SiteForm):
    """The service that a site chooses for its shelves."""

    service = forms.ChoiceField(
        label="Share of order cycles in which nobody asks for a piece that is not there",
        choices=[
            ("0.9", "90 %"),
            ("0.95", "95 %"),
            ("0.98", "98 %"),
            ("0.99", "99 %"),
            ("", "None chosen"),
        ],
        widget=Segments,
        required=False,
        help_text="A higher share asks for more in store. Until one is chosen no reorder point is "
        "given.",
    )

    def share(self) -> float | None:
        """The share, or none."""
        chosen = self.cleaned_data["service"]
        return float(chosen) if chosen else None
