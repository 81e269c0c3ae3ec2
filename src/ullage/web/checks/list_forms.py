"""How a site edits a check list: steps kept or left out, and steps of its own."""

from typing import Any

from django import forms

from ullage.answers.checks import CheckList, list_to_mapping
from ullage.web.shared.forms import Ticks

__all__ = ["OWN_STEPS", "ListForm"]

#: How many steps of its own a site may add at a time.
OWN_STEPS = 3


class ListForm(forms.Form):
    """Which steps stay, what is left out and why, and what the site asks besides."""

    title = forms.CharField(label="Title", max_length=120)
    when = forms.CharField(label="When it is done", max_length=160, required=False)
    steps = forms.MultipleChoiceField(
        label="Steps",
        widget=Ticks,
        help_text="A step that must stay comes back by itself. The relief valve is always last.",
        error_messages={"required": "A list needs a step."},
    )
    reason = forms.CharField(
        label="Why does it change?",
        max_length=240,
        error_messages={"required": "Say why; it stands beside the new version."},
    )

    def __init__(self, *args: Any, check_list: CheckList, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.check_list = check_list
        for name in ("title", "when"):
            self.fields[name].initial = getattr(check_list, name)
        steps = self.fields["steps"]
        steps.choices = [(one.key, one.title) for one in check_list.steps]  # type: ignore[attr-defined]  # a choice field
        steps.initial = [one.key for one in check_list.steps]
        for number in range(1, OWN_STEPS + 1):
            self._ask_own(number)
        self.order_fields([*(name for name in self.fields if name != "reason"), "reason"])

    def _ask_own(self, number: int) -> None:
        title = forms.CharField(label=f"Step of your own, {number}", max_length=120, required=False)
        good = forms.CharField(
            label="What good looks like",
            max_length=240,
            required=False,
            help_text="What one sees when it is in order.",
        )
        for name, field in (("title", title), ("good", good)):
            field.optional_word = "if you want one"  # type: ignore[attr-defined]  # ours
            self.fields[f"own_{name}_{number}"] = field

    def clean(self) -> dict[str, Any]:
        """A step of one's own says what good looks like."""
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        for number in range(1, OWN_STEPS + 1):
            title, good = (typed.get(f"own_{name}_{number}", "") for name in ("title", "good"))
            if bool(title) != bool(good):
                missing = "good" if title else "title"
                self.add_error(
                    f"own_{missing}_{number}", "A step has a title and what good looks like."
                )
        return typed

    def written(self) -> dict[str, Any]:
        """The list as it is written down, its closing step last."""
        found = list_to_mapping(self.check_list)
        kept = set(self.cleaned_data["steps"])
        keys = [one.key for one in self.check_list.steps]
        steps = [one for key, one in zip(keys, found["steps"], strict=True) if key in kept]
        return found | {
            "title": self.cleaned_data["title"],
            "when": self.cleaned_data["when"],
            "steps": [*steps[:-1], *self._own(set(keys)), *steps[-1:]],
        }

    def _own(self, taken: set[str]) -> list[dict[str, Any]]:
        own = []
        for number in range(1, OWN_STEPS + 1):
            title = self.cleaned_data.get(f"own_title_{number}")
            if title:
                key = next(
                    name
                    for name in (f"own_{count}" for count in range(1, 999))
                    if name not in taken
                )
                taken.add(key)
                own.append(
                    {"key": key, "title": title, "good": self.cleaned_data[f"own_good_{number}"]}
                )
        return own
