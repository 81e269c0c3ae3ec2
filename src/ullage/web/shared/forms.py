"""How every form looks: renderer, widgets, and a form that knows its site's units."""

from typing import Any

from django import forms
from django.forms.renderers import TemplatesSetting

from ullage.web.shared.fields import QuantityField
from ullage.web.shared.units import unit_at
from ullage.web.sites.selectors import Site

__all__ = ["Choices", "Look", "Segments", "SiteForm", "Ticks"]


class Look(TemplatesSetting):
    """Label, entry, help and sentence in our look; a list with links on top."""

    form_template_name = "shared/form.html"
    field_template_name = "shared/field.html"


class Segments(forms.RadioSelect):
    """A few short choices side by side."""

    template_name = "shared/widgets/segments.html"


class Choices(forms.RadioSelect):
    """Choices with whole sentences, one under the other."""

    template_name = "shared/widgets/choices.html"


class Ticks(forms.CheckboxSelectMultiple):
    """Any number of choices, one under the other."""

    template_name = "shared/widgets/choices.html"


class SiteForm(forms.Form):
    """A form that speaks the units of a site; other units may be typed."""

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.site = site
        for field in self.fields.values():
            if isinstance(field, QuantityField) and not field.is_unit_fixed:
                field.use_unit(unit_at(site, field.kind))

    def clean(self) -> dict[str, Any]:
        """A quantity that was left as shown keeps its stored value, not its rounded words."""
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        for name, field in self.fields.items():
            shown = self.get_initial_for_field(field, name)
            if isinstance(field, QuantityField) and name in typed and isinstance(shown, float):
                typed[name] = typed[name] if name in self.changed_data else shown
        return typed

    def words(self, name: str, value: Any) -> str:
        """A stored value of a field as it is read out."""
        field = self.fields[name]
        if isinstance(field, QuantityField):
            return field.words(value)
        if isinstance(field, forms.ChoiceField):
            return str(dict(field.choices).get(value, value))  # type: ignore[arg-type]  # flat
        if isinstance(value, bool):
            return "yes" if value else "no"
        return str(value) if value not in {None, ""} else "not set"
