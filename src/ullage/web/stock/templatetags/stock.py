"""Words of the pages of stock: notes, looks, shares, grams."""

from django import template

from ullage.answers.storage import KEPT
from ullage.answers.words import figure, minutes_text
from ullage.web.shared import display
from ullage.web.stock.selectors import FittedNote, StorageLook

__all__ = ["register"]

register = template.Library()

_FACTS = {
    "colour_share": "changed colour",
    "inspired_share": "carbon dioxide breathed in",
    "left_on_h": "left flowing",
    "hours_h": "used for",
    "liquid_ml": "of agent",
}
#: How the log names what was changed about a thing.
_WORDS = {
    "name": "name",
    "room": "room",
    "place": "place",
    "usual_days": "usual delivery",
    "longest_days": "longest delivery",
    "every_days": "how long an order lasts",
    "look_days": "how often it is looked at",
    "pack": "pack",
    "usual_per_week": "usual use",
    "retired_at": "whether it is kept",
    "gas": "gas",
    "size": "size",
}


@register.filter
def percent_of(share: float) -> str:
    """A share as it is read out: ``95 %``."""
    return f"{100 * share:g} %"


@register.filter
def grams_of(kg: float | None) -> str:
    """A weight in grams; words where nobody has said."""
    return "not said" if kg is None else f"{1000 * kg:.4g} g"


@register.filter
def words_of(name: str) -> str:
    """What was changed, in words."""
    return _WORDS.get(name, name.replace("_", " "))


@register.filter
def note_words(note: FittedNote) -> str:
    """What was written of a canister or a filling, in words."""
    facts = note.facts
    if note.kind == "weight":
        return grams_of(facts["weight_kg"])
    if note.kind == "flow":
        return (
            f"{figure(100 * facts['fraction'])} % {facts['agent']} in "
            f"{figure(facts['flow_l_min'])} L/min for {minutes_text(facts['minutes'])}"
        )
    return ", ".join(_look_facts(facts)) or "nothing"


def _look_facts(facts: dict[str, object]) -> list[str]:
    found = []
    for name, words in _FACTS.items():
        value = facts.get(name)
        if isinstance(value, (int, float)):
            unit = {"share": "%", "h": "h", "ml": "mL"}[name.rpartition("_")[2]]
            shown = figure(100 * value if unit == "%" else value)
            found.append(f"{shown} {unit} {words}")
    if facts.get("after_use") is not None and "colour_share" in facts:
        found.append("read right after use" if facts["after_use"] else "read at rest")
    found += ["lay on its side"] if facts.get("lay_down") else []
    found += ["nitrous oxide flowed to it"] if facts.get("nitrous_oxide") else []
    return found


@register.filter
def look_words(look: StorageLook) -> str:
    """How cylinders stood, in words."""
    said = [
        f"{KEPT[name].rstrip('?')}: {'yes' if value else 'no'}"
        for name, value in look.facts.items()
        if name in KEPT
    ]
    if "hottest_k" in look.facts:
        said.append(f"warmest {display.temperature(look.facts['hottest_k'], look.area.site)}")
    return "; ".join(said)
