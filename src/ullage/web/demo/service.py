"""Service of the practice world: a vaporizer overdue, one that drifts, the rest in order.

Firms, readings and papers are invented; the picture that stands for a certificate says so.
"""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from io import BytesIO
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile

from ullage.answers import vaporizer_tested
from ullage.web.demo.rows import SiteRows
from ullage.web.machines.selectors import Machine, Part
from ullage.web.service.selectors import ServiceEvent, limit_at, output_test_of
from ullage.web.service.services import (
    EventSaid,
    event_add,
    interval_set,
    limit_set,
    service_history_write,
)
from ullage.web.shared.attachments import Kept, attachment_kept

__all__ = ["tell_service"]

_FIRM = "Marsh Instruments (invented)"
#: [d] ago: output tests of a vaporizer, with how far off its dial was, as a share of it.
_DRIFTS = ((1380, 0.005), (1010, -0.032), (650, -0.061), (285, -0.088), (60, -0.104))
_LATE = ((1110, 0.020), (760, 0.035), (401, 0.028))
_FEW = ((130, -0.015),)
_TESTS = {("Wren", "Isoflurane"): _DRIFTS, ("Heron", "Isoflurane"): _LATE}
#: [d] ago: the maker's service of the old ones, before the first of their tests.
_SERVICED_D = {("Heron", "Isoflurane"): 800}
_DIALS = (0.01, 0.02, 0.03)


def tell_service(world: SiteRows, parts: Sequence[Part], today: date) -> None:
    """What was done to the machines and vaporizers of a site in the years before the story."""
    if world.cast.region == "UK":
        why = "Rule of this practice, signed by its veterinarian."
        limit_set(site=world.site, key="policy", of_dial_share=None, why=why, by=world.people[0])
        why = "Five years by the papers of their maker (invented)."
        interval_set(
            site=world.site,
            thing="vaporizer",
            task="service",
            days=1826,
            why=why,
            by=world.people[0],
        )
    service_history_write(
        events=[*_inspections(world, today), *_of_vaporizers(world, parts, today)]
    )
    first = next(iter(world.machines.values()))
    said = EventSaid(
        kind="inspection",
        done_on=today - timedelta(days=96),
        done_by=_FIRM,
        note="Tight at 30 cmH2O, output true, sticker renewed.",
        file=_paper(),
    )
    event_add(thing=first, said=said, by=world.people[0])


def _inspections(world: SiteRows, today: date) -> Iterator[ServiceEvent]:
    """Each machine was inspected within the year."""
    for number, machine in enumerate(world.machines.values()):
        yield _event(world, machine, "inspection", today - timedelta(days=120 + 23 * number))


def _of_vaporizers(world: SiteRows, parts: Sequence[Part], today: date) -> Iterator[ServiceEvent]:
    for part in parts:
        if part.kind != "vaporizer" or part.machine is None:
            continue
        named = (part.machine.name, part.name)
        if named in _SERVICED_D:
            yield _event(world, part, "service", today - timedelta(days=_SERVICED_D[named]))
        for ago, error in _TESTS.get(named, _FEW):
            yield _test(world, part, today - timedelta(days=ago), error)


def _event(world: SiteRows, thing: Machine | Part, kind: str, on: date) -> ServiceEvent:
    return ServiceEvent(
        site=world.site,
        machine=thing if isinstance(thing, Machine) else None,
        part=thing if isinstance(thing, Part) else None,
        kind=kind,
        done_on=on,
        done_by=_FIRM,
        by=world.people[0],
    )


def _test(world: SiteRows, part: Part, on: date, error_share: float) -> ServiceEvent:
    """An output test at three dial settings, with what it came to."""
    from ullage.answers.places import place_at

    site = world.site
    air = place_at(elevation_m=site.elevation_m, barometric_kpa=site.barometric_kpa)
    thinner = 101.325 / air.barometric_kpa
    own = ("agent", "works_by", "flow_lowest_l_min", "flow_highest_l_min")
    facts: dict[str, Any] = {name: part.facts[name] for name in own}
    facts |= {
        "temperature_k": 294.15,
        "barometric_kpa": air.barometric_kpa,
        "fresh_gas_l_min": 3.0,
        "carrier": "oxygen",
        "calibrated_in": "oxygen",
        "analyser_share": 0.02,
        "nitrous_fraction": 0.0,
        "points": [[dial, round(dial * (1 + error_share) * thinner, 5)] for dial in _DIALS],
    }
    event = _event(world, part, "output_test", on)
    event.facts = facts
    event.answer = vaporizer_tested(output_test_of(facts, on), limit_at(site)).as_dict()
    return event


def _paper() -> Kept:
    """A picture of a sticker, invented."""
    from PIL import Image, ImageDraw

    drawn, written = Image.new("RGB", (420, 180), "white"), BytesIO()
    pen = ImageDraw.Draw(drawn)
    pen.rectangle((8, 8, 411, 171), outline="black", width=3)
    for line, words in enumerate(("INSPECTED", _FIRM, "Invented demo data, no certificate.")):
        pen.text((28, 34 + 42 * line), words, fill="black")
    drawn.save(written, format="PNG")
    return attachment_kept(SimpleUploadedFile("inspection-sticker.png", written.getvalue()))
