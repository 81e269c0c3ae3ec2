"""What is asked at the steps of a check, and what a site sets for its checks.

The form of a step is made from the fields of its kind: a new kind of measurement needs no form.
"""

from collections.abc import Iterator, Mapping
from typing import Any
from uuid import uuid4

from django import forms
from django.forms.boundfield import BoundField

from ullage.answers.checks import ChangeKind, CheckField, CheckStep, Limit
from ullage.core.units import KINDS
from ullage.web.checks.tiles import TILES
from ullage.web.shared.attachments import AttachmentField
from ullage.web.shared.fields import QuantityField, Within
from ullage.web.shared.forms import Choices, Segments, SiteForm
from ullage.web.shared.units import unit_at
from ullage.web.sites.selectors import Site

__all__ = [
    "ChangeForm",
    "EndForm",
    "FileForm",
    "LimitForm",
    "LookForm",
    "OwnLeakForm",
    "StepForm",
    "step_form",
]

_YES_NO = (("yes", "Yes"), ("no", "No"))
#: Units that a site has of its own; the rest are typed as the step shows them.
_OF_THE_SITE = frozenset({"psi", "bar"})
_CODE = "code"


def _number(asked: CheckField, site: Site) -> QuantityField:
    unit = asked.shown_unit
    if unit in _OF_THE_SITE:
        unit = unit_at(site, asked.quantity)
    share = KINDS[asked.quantity][unit]
    high = asked.high if asked.high is not None else float("inf")
    return QuantityField(
        asked.quantity,
        unit=unit,
        allowed=Within(round(asked.low / share, 6), round(high / share, 6), unit),
        label=asked.question,
        required=asked.required,
        help_text=asked.hint,
    )


def _field(asked: CheckField, site: Site) -> forms.Field:
    if asked.kind == "number":
        return _number(asked, site)
    choices = (
        _YES_NO if asked.kind == "yes or no" else [(one, one.capitalize()) for one in asked.words]
    )
    return forms.ChoiceField(
        label=asked.question,
        choices=choices,
        widget=Segments,
        required=asked.required,
        help_text=asked.hint,
        error_messages={"required": "Look at it, then answer."},
    )


class StepForm(SiteForm):
    """The measurement of one step; the code makes one entry of it, however often it is sent."""

    code = forms.UUIDField(widget=forms.HiddenInput)
    note = forms.CharField(
        label="Note",
        max_length=240,
        required=False,
        help_text="Anything that the next one should know.",
    )

    def __init__(self, *args: Any, step: CheckStep, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.step = step
        self.fields["note"].optional_word = "if there is one"  # type: ignore[attr-defined]  # ours
        for asked in step.fields:
            self.fields[asked.name] = _field(asked, self.site)
        self.order_fields([_CODE, *(one.name for one in step.fields), "note"])
        self.fields[_CODE].initial = uuid4
        self.is_absent = step.may_be_absent and self.data.get("good") == "absent"
        if self.is_absent:
            for asked in step.fields:
                self.fields[asked.name].required = False

    def ways(self) -> Iterator[tuple[str, list[tuple[BoundField, tuple[str, ...]]]]]:
        """The fields by way of measuring, each with its tiles, in their order."""
        found: dict[str, list[tuple[BoundField, tuple[str, ...]]]] = {}
        for asked in self.step.fields:
            tiles = TILES.get((self.step.kind, asked.name), ())
            found.setdefault(asked.way, []).append((self[asked.name], tiles))
        yield from found.items()

    def given(self) -> dict[str, Any]:
        """What was entered, as the answers take it; what was left empty is not there."""
        if self.is_absent:
            return {"absent": True}
        typed = self.cleaned_data
        found: dict[str, Any] = {}
        for asked in self.step.fields:
            value = typed.get(asked.name)
            if value not in {None, ""}:
                found[asked.name] = value == "yes" if asked.kind == "yes or no" else value
        return found


class LookForm(forms.Form):
    """A step that is answered by looking; which button was pressed is the answer."""

    code = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
    good = forms.ChoiceField(
        choices=(("yes", "As it should be"), ("no", "Not so"), ("absent", "Has none")),
        error_messages={"required": "Look at it, then answer."},
    )
    note = forms.CharField(label="Note", max_length=240, required=False)

    def __init__(self, *args: Any, step: CheckStep, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.step = step
        self.fields["note"].optional_word = "if there is one"  # type: ignore[attr-defined]  # ours

    def given(self) -> dict[str, Any]:
        """What was said, as the answers take it."""
        word = self.cleaned_data["good"]
        return {"absent": True} if word == "absent" else {"good": word == "yes"}


def step_form(step: CheckStep, site: Site, data: Mapping[str, Any] | None = None) -> Any:
    """The form of a step: buttons where one looks, fields where one measures."""
    kind = StepForm if step.measures else LookForm
    return kind(data, step=step, site=site)


class EndForm(forms.Form):
    """A check is ended early; what was entered stays."""

    reason = forms.CharField(
        label="Why does it end here?",
        max_length=240,
        error_messages={"required": "Say why, in a few words."},
    )


class FileForm(forms.Form):
    """A picture or a paper for the check."""

    file = AttachmentField(label="File")


class ChangeForm(forms.Form):
    """What was changed on the machine."""

    kind = forms.ChoiceField(
        label="What was changed?",
        widget=Choices,
        choices=[
            (one.value, one.value.capitalize()) for one in ChangeKind if one is not ChangeKind.CASE
        ],
        error_messages={"required": "Choose what was changed."},
    )
    note = forms.CharField(label="Note", max_length=240, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["note"].optional_word = "if there is one"  # type: ignore[attr-defined]  # ours


class LimitForm(forms.Form):
    """One of the published limits."""

    choice = forms.ChoiceField(
        label="Limit", widget=Choices, error_messages={"required": "Choose one of them."}
    )

    def __init__(self, *args: Any, offered: tuple[Limit, ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["choice"].choices = [(one.key, one.label) for one in offered]  # type: ignore[attr-defined]  # a choice field


class OwnLeakForm(SiteForm):
    """A leak limit of the site's own."""

    flow_l_min = QuantityField(
        "flow", unit="mL/min", allowed=Within(0, 2000, "mL/min"), label="At most"
    )
    at_kpa = QuantityField(
        "pressure", unit="cmH2O", allowed=Within(5, 60, "cmH2O"), label="At a pressure of"
    )
    reason = forms.CharField(
        label="Where does it come from?",
        max_length=240,
        error_messages={"required": "Say where the limit comes from."},
    )
