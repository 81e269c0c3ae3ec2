"""Tags and filters of every page: verdicts, answers, bars, gases, how a value is known."""

import json
from typing import Any

from django import forms, template
from django.forms.boundfield import BoundField
from django.template.context import Context
from django.utils.safestring import SafeString

from ullage.answers import CAUTION_LINE, Answer, Verdict
from ullage.answers.chain_links.storage import CODES
from ullage.answers.words import number
from ullage.web.accounts.selectors import User
from ullage.web.shared import display
from ullage.web.shared.bars import Level, Span
from ullage.web.shared.bars_svg import level_svg
from ullage.web.shared.choices import CONDITIONS, COUNTRIES
from ullage.web.shared.units import Speaks
from ullage.web.sites.selectors import Site

__all__ = ["register"]

register = template.Library()

_LOOKS = {
    Verdict.FINE: "fine",
    Verdict.LOOK_AGAIN: "look",
    Verdict.STOP: "stop",
    Verdict.NOT_YET: "wait",
}
_GASES = {
    "oxygen": ("o2", "Oxygen"),
    "air": ("air", "Air"),
    "nitrogen": ("n2", "Nitrogen"),
    "helium": ("he", "Helium"),
    "carbon_dioxide": ("co2", "Carbon dioxide"),
    "nitrous_oxide": ("n2o", "Nitrous oxide"),
}
_SCHEMES = {"iso32": ("iso", "ISO 32"), "us": ("us", "US")}
_SAID = {
    "success": ("fine", "fine"),
    "warning": ("look", "look"),
    "error": ("stop", "stop"),
}


@register.filter
def as_json(value: Any) -> str:
    """A value for a script, inside an attribute; the template escapes it as any text."""
    return json.dumps(value)


@register.simple_tag
def caution() -> str:
    """The caution line, also where no context processor ran."""
    return CAUTION_LINE


@register.inclusion_tag("shared/verdict.html")
def verdict(value: Verdict | str | None, word: str = "", look: str = "") -> dict[str, Any]:
    """The mark of a verdict with its word; ``word`` may say more, ``look`` is pill or big."""
    if not value:
        return {}
    found = Verdict(value)
    return {"kind": _LOOKS[found], "word": word or found.value, "look": look}


@register.filter
def verdict_look(value: Verdict | str | None) -> str:
    """The last part of the style names of a verdict: fine, look, stop or wait."""
    return _LOOKS[Verdict(value)] if value else "wait"


@register.filter
def message_look(message: Any) -> str:
    """The look of a message by its level."""
    return _SAID.get(message.level_tag, ("note", "wait"))[0]


@register.filter
def message_shape(message: Any) -> str:
    """The shape of a message by its level."""
    return _SAID.get(message.level_tag, ("note", "wait"))[1]


@register.simple_tag
def level_bar(bar: Level | None = None, **numbers: Any) -> SafeString:
    """A level bar: give a `Level`, or its fields by name."""
    return level_svg(bar or Level(**numbers))


@register.inclusion_tag("shared/span_bar.html")
def span_bar(bar: Span | None = None, **numbers: Any) -> dict[str, Any]:
    """A span: give a `Span`, or its fields by name."""
    return {"bar": bar or Span(**numbers)}


@register.filter
def is_level(bar: object) -> bool:
    """Say whether a bar is a level, not a span."""
    return isinstance(bar, Level)


@register.inclusion_tag("shared/gas.html", takes_context=True)
def gas(context: Context, name: str, scheme: str = "") -> dict[str, Any]:
    """The shoulder of a cylinder in the site's colours, its name beside it."""
    found, words = _SCHEMES.get(scheme or _site_value(context, "gas_colours", "iso32"), ("iso", ""))
    key, title = _GASES.get(
        str(name).replace(" ", "_"), ("none", str(name).replace("_", " ").capitalize())
    )
    return {"style": f"{key}-{found}", "name": title, "scheme": words}


@register.filter
def gas_name(name: str) -> str:
    """The name of a gas as it is written: ``Nitrous oxide``."""
    return _GASES.get(str(name).replace(" ", "_"), ("", str(name).replace("_", " ").capitalize()))[
        1
    ]


@register.inclusion_tag("shared/known.html")
def known(how_known: str, source: str = "") -> dict[str, str]:
    """The mark and the words for how a value is known; a reading was not seen in print."""
    mark, words = display.known_as(str(how_known), source)
    return {"mark": mark, "words": words}


def _site_value(context: Context, name: str, otherwise: str) -> str:
    site = context.get("site")
    return str(getattr(site, name, otherwise) or otherwise) if site else otherwise


@register.simple_tag(takes_context=True)
def number_of(context: Context, answer: Answer) -> list[tuple[str, str]]:
    """The number of an answer taken apart into numbers and units."""
    text = display.answer_number(answer, context.get("site"))
    return display.number_parts(text) if text else []


@register.simple_tag(takes_context=True)
def range_of(context: Context, answer: Answer) -> str:
    """The band of an answer in the site's unit."""
    return display.answer_range(answer, context.get("site"))


@register.filter
def pressure_of(gauge_kpa: float | None, site: Speaks) -> str:
    """A pressure in the site's unit; a dash where there is none."""
    return "–" if gauge_kpa is None else display.pressure(gauge_kpa, site)


@register.filter
def temperature_of(temperature_k: float | None, site: Speaks) -> str:
    """A temperature in the site's unit; a dash where there is none."""
    return "–" if temperature_k is None else display.temperature(temperature_k, site)


@register.filter
def figure_of(value: float | None, unit: str = "") -> str:
    """Any number with three significant figures and its unit."""
    return "–" if value is None else number(value, unit)


@register.filter
def per_kg(flow_l_min_kg: float | None) -> str:
    """A flow for each kilogram; a dash where there is none."""
    return "–" if flow_l_min_kg is None else number(1000.0 * flow_l_min_kg, "mL/kg/min")


@register.filter
def clock_of(at: Any) -> str:
    """The time of day at the site."""
    return display.clock(at) if at else "–"


@register.filter
def when(at: Any) -> str:
    """The time of day, with its day where that is not today."""
    return display.day_and_clock(at) if at else "–"


@register.filter
def initials(user: User) -> str:
    """The initials a person chose, or the letters of their name."""
    return user.initials or display.initials_of(user.full_name, user.username)


@register.filter
def site_facts(site: Site) -> str:
    """What the footer says of a site."""
    scheme = _SCHEMES.get(site.gas_colours, ("", site.gas_colours))[1]
    return f"{site.name} · gas colours: {scheme} · pressure in {site.pressure_unit}"


@register.filter
def site_brief(site: Site) -> str:
    """The facts of a site that stand on its tag."""
    place = "" if site.elevation_m is None else f"{site.elevation_m:.0f} m above sea level · "
    return f"{place}gauges in {site.pressure_unit} · {_SCHEMES[site.gas_colours][1]} colours"


@register.filter
def hpa_of(absolute_kpa: float) -> str:
    """An air pressure in the unit of barometers."""
    return f"{absolute_kpa * 10:.0f} hPa"


@register.filter
def country_name(code: str) -> str:
    """The country of a site in words."""
    return dict(COUNTRIES).get(code, code)


@register.filter
def condition_name(code: str) -> str:
    """The condition at which litres are shown, in words."""
    return dict(CONDITIONS).get(code, code).partition(":")[0]


@register.filter
def code_name(code: str) -> str:
    """The storage code of a site in words."""
    return CODES[code][0] if code in CODES else code or "no code chosen"


@register.filter
def clean_zone(zone: str) -> str:
    """A time zone as it is read out."""
    return zone.replace("_", " ")


@register.filter
def alarm_words(value: str) -> str:
    """Whether a machine has an oxygen-failure alarm, in words."""
    return {"yes": "yes", "no": "none"}.get(value, "not known")


@register.filter
def ventilator_words(value: str) -> str:
    """What drives a ventilator, in words."""
    known = {"none": "none", "oxygen": "driven by oxygen", "air": "driven by air"}
    return known.get(value, value)


@register.filter
def in_order(parts: list[dict[str, Any]]) -> int:
    """How many parts of a chain are fine."""
    return sum(1 for part in parts if part["answer"].verdict == Verdict.FINE)


@register.filter
def part_words(name: str) -> str:
    """The name of a part of the chain as it is read out."""
    return name.replace("_", " ")


@register.filter
def counted(count: int, words: str) -> str:
    """A count with its word: ``{{ 1|counted:"room,rooms" }}`` is ``1 room``."""
    single, _, plural = words.partition(",")
    return f"{count or 'no'} {single if count == 1 else plural}"


@register.filter
def entry_kind(field: BoundField) -> str:
    """How a field is drawn: tick, number or text."""
    widget = field.field.widget
    if isinstance(widget, forms.CheckboxInput):
        return "tick"
    is_number = isinstance(widget, forms.NumberInput) or "data-quantity" in widget.attrs
    return "number" if is_number else "text"


@register.filter
def fields_to_mend(form: forms.BaseForm) -> list[BoundField]:
    """The fields that were refused, in their order."""
    return [field for field in form if field.errors]


@register.filter
def to_mend(form: forms.BaseForm) -> str:
    """How many things stand between the form and being saved."""
    count = len(fields_to_mend(form)) + len(form.non_field_errors())
    words = {1: "One thing", 2: "Two things", 3: "Three things"}
    return f"{words.get(count, f'{count} things')} to mend before this saves"


@register.filter
def is_question(words: str) -> bool:
    """Say whether what would settle an answer is asked, not told."""
    return words.rstrip().endswith("?")


@register.filter
def safe_svg(svg: str) -> SafeString:
    """An SVG that our own chart or QR builder drew, into the page as it is."""
    return SafeString(svg)
