"""Numbers and times as a site shows them."""

from datetime import datetime

from django.utils import timezone

from ullage.answers import Answer
from ullage.answers.words import figure, number, span
from ullage.core.units import convert
from ullage.web.shared.units import Speaks

__all__ = [
    "KNOWN",
    "answer_number",
    "answer_range",
    "clock",
    "day_and_clock",
    "initials_of",
    "known_as",
    "number_parts",
    "pressure",
    "temperature",
]

#: How a value is known -> the mark of the design, and the words beside it.
KNOWN = {
    "reading": ("inst", "read on an instrument"),
    "instrument": ("inst", "read on an instrument"),
    "read": ("inst", "read on an instrument"),
    "seen": ("print", "seen in print"),
    "computed": ("comp", "computed"),
    "site": ("site", "site rule"),
    "common": ("prac", "common practice"),
    "memory": ("mem", "from memory, not confirmed"),
    "assumed": ("mem", "assumed"),
    "typed": ("inst", "typed by a person"),
}


#: What a person saw or typed was seen, and not in print.
SAID_BY_A_PERSON = {"reading": "reading", "entered": "typed"}


def known_as(how_known: str, source: str = "") -> tuple[str, str]:
    """The mark and the words for how a value is known; unknown words stand as they are.

    >>> known_as("seen"), known_as("seen", "reading")
    (('print', 'seen in print'), ('inst', 'read on an instrument'))
    """
    return KNOWN.get(SAID_BY_A_PERSON.get(source, how_known.lower()), ("mem", how_known))


def pressure(gauge_kpa: float, site: Speaks) -> str:
    """A pressure in the site's unit: ``71 bar``, ``1030 psi``."""
    return (
        f"{_plain(convert(gauge_kpa, 'kPa', 'pressure', site.pressure_unit))} {site.pressure_unit}"
    )


def temperature(temperature_k: float, site: Speaks) -> str:
    """A temperature in the site's unit, to a tenth: ``20 °C``."""
    shown = convert(temperature_k, "K", "temperature", site.temperature_unit)
    return f"{shown:.1f}".removesuffix(".0") + f" {site.temperature_unit}"


def _plain(value: float) -> str:
    """Three significant figures for a pressure, thousands unbroken as on a gauge."""
    return f"{round(value, -1):.0f}" if abs(value) >= 1000 else figure(value)


def clock(at: datetime) -> str:
    """The time of day at the site: ``07:52``."""
    return timezone.localtime(at).strftime("%H:%M")


def day_and_clock(at: datetime, now: datetime | None = None) -> str:
    """The time of day, with its day where that is not today: ``Fri 5 June, 16:40``."""
    local, today = timezone.localtime(at), timezone.localtime(now or timezone.now())
    if local.date() == today.date():
        return clock(at)
    year = f" {local.year}" if local.year != today.year else ""
    return f"{local:%a} {local.day} {local:%B}{year}, {clock(at)}"


def _in_unit(value: float, unit: str, site: Speaks | None) -> tuple[float, str]:
    """A pressure inside is kPa; on the page it stands in the site's unit."""
    if unit == "kPa" and site is not None:
        return convert(value, "kPa", "pressure", site.pressure_unit), site.pressure_unit
    if unit == "K" and site is not None:
        return convert(value, "K", "temperature", site.temperature_unit), site.temperature_unit
    return value, unit


def answer_number(answer: Answer, site: Speaks | None = None) -> str:
    """The number of an answer with its unit, in the site's unit; empty when there is none."""
    return "" if answer.value is None else number(*_in_unit(answer.value, answer.unit, site))


def answer_range(answer: Answer, site: Speaks | None = None) -> str:
    """The band of an answer in the site's unit; open at one end where only one is known.

    A band whose ends read the same as they are printed says nothing beside the number.
    """
    low, high = answer.low, answer.high
    if low is not None and high is not None:
        first, unit = _in_unit(low, answer.unit, site)
        last = _in_unit(high, answer.unit, site)[0]
        as_one = answer.value is not None and number(first, unit) == number(last, unit)
        return "" if as_one else span(first, last, unit)
    if low is not None:
        return f"at least {number(*_in_unit(low, answer.unit, site))}"
    if high is not None:
        return f"at most {number(*_in_unit(high, answer.unit, site))}"
    return ""


def number_parts(text: str) -> list[tuple[str, str]]:
    """A number in words taken apart: ``2 h 41 min`` is (2, h), (41, min).

    >>> number_parts("2 h 41 min"), number_parts("343 L"), number_parts("0.5")
    ([('2', 'h'), ('41', 'min')], [('343', 'L')], [('0.5', '')])
    """
    words = text.split(" ")
    if len(words) == 4 and words[1] == "h":
        return [(words[0], words[1]), (words[2], words[3])]
    return [(words[0], " ".join(words[1:]))]


def initials_of(full_name: str, username: str) -> str:
    """Two letters with points for the ring at the top: ``T.K.``."""
    words = full_name.split() or [username]
    firsts = [words[0][:1], *[one[:1] for one in words[-1:] if len(words) > 1]]
    return "".join(f"{letter.upper()}." for letter in firsts if letter)
