"""What stands in the logs of cylinders and sources: names people know, numbers with units."""

from datetime import date

import pytest
from django.urls import reverse

from ullage.web.sites.models import Site
from ullage.web.supply.models import Cylinder, CylinderEvent, CylinderState
from ullage.web.supply.selectors.words import gas_words, kind_words, size_words
from ullage.web.supply.services import (
    CylinderFacts,
    SourceFacts,
    cylinder_correct,
    cylinder_return,
    source_edit,
)
from ullage.web.supply.templatetags.supply import (
    capacity_words,
    event_title,
    event_words,
    pairs,
    percent,
)

pytestmark = pytest.mark.web

BAR, PSI = Site(pressure_unit="bar"), Site(pressure_unit="psi")


@pytest.mark.parametrize(
    ("site", "values", "words"),
    [
        (BAR, {"fall_limit_kpa": "500.0"}, "fall limit: 5 bar"),
        (PSI, {"fall_limit_kpa": 689.4757}, "fall limit: 100 psi"),
        (None, {"fall_limit_kpa": "500.0"}, "fall limit: 500 kPa"),
        (BAR, {"flow_limit_l_min": "8.0"}, "flow limit: 8 L/min"),
        (BAR, {"fall_limit_min": "5.0"}, "fall limit: 5 min"),
        (BAR, {"water_capacity_l": 4.7}, "water capacity: 4.7 L"),
        (BAR, {"trapped_ml": "20.0"}, "trapped: 20 mL"),
        (BAR, {"tare_kg": 6.4}, "tare: 6.4 kg"),
        (BAR, {"oxygen_fraction": "0.93"}, "oxygen: 93 %"),
        (BAR, {"gauge_error_share": 0.025}, "gauge error: 2.5 %"),
        (BAR, {"line_gauge_kpa": "None"}, "line gauge: none"),
        (BAR, {"tare_kg": None, "name": "Alder"}, "name: Alder, tare: none"),
        (BAR, {"machines": ""}, "machines: none"),
        (BAR, "Hazel", "Hazel"),
    ],
)
def test_what_was_changed_is_said_with_its_unit(site, values, words):
    assert pairs(values, site) == words


def test_the_page_of_a_source_says_a_change_in_the_unit_of_the_gauges(
    as_viewer, source, lead, machine
):
    facts = SourceFacts(
        name="Wren", kind="cylinder", gas="oxygen", room=source.room,
        fall_limit_kpa=500.0, fall_limit_min=5.0,
    )  # fmt: skip
    source_edit(source=source, facts=facts, by=lead, machines=[machine])
    page = as_viewer.get(reverse("supply:source", kwargs={"code": source.code})).content.decode()

    assert "was fall limit: none, fall limit: none" in page
    assert "now fall limit: 5 bar, fall limit: 5 min" in page
    assert "kpa" not in page.replace("data-", "")


def test_the_history_of_a_cylinder_says_a_correction_with_units(as_viewer, hazel, operator):
    facts = CylinderFacts(
        name="Hazel", gas="oxygen", size=hazel.size, water_capacity_l=4.6,
        fill_gauge_kpa=13_000.0, test_pressure_kpa=hazel.test_pressure_kpa,
    )  # fmt: skip
    cylinder_correct(cylinder=hazel, facts=facts, reason="Read again.", by=operator)
    page = as_viewer.get(reverse("supply:history", kwargs={"code": hazel.code})).content.decode()

    assert "was fill gauge: 137 bar, water capacity: 4.7 L" in page
    assert "now fill gauge: 130 bar, water capacity: 4.6 L" in page
    assert "Read again." in page


def test_a_date_that_was_corrected_is_kept_as_a_date(hazel, operator):
    facts = CylinderFacts(
        name="Hazel", gas="oxygen", size=hazel.size, water_capacity_l=4.7,
        test_due=date(2028, 5, 1),
        fill_gauge_kpa=hazel.fill_gauge_kpa, test_pressure_kpa=hazel.test_pressure_kpa,
    )  # fmt: skip
    cylinder_correct(cylinder=hazel, facts=facts, reason="Read on the ring.", by=operator)
    event = CylinderEvent.objects.get(kind="corrected")

    assert event.details["now"] == {"test_due": "2028-05-01"}
    assert event.details["was"] == {"test_due": None}


def test_where_it_was_handed_to_stands_in_its_history(hazel, operator):
    cylinder_return(cylinder=hazel, to="the depot", by=operator)

    assert event_words(CylinderEvent.objects.get(kind="returned")) == "to the depot"


@pytest.mark.parametrize(
    ("kind", "title"),
    [
        ("received", "Received."),
        ("taken off", "Taken off."),
        ("set apart", "Set apart."),
        ("check refused", "Full one looked at: did not pass."),
        ("watch ended", "Needle read again."),
        ("something new", "Something new."),
    ],
)
def test_what_happened_has_its_title(kind, title):
    assert event_title(CylinderEvent(kind=kind)) == title


@pytest.mark.parametrize(
    "step", ["animal", "flows", "check", "old", "seal", "open", "watch", "reopen"]
)
def test_every_step_of_a_change_has_its_words(step):
    title = event_title(CylinderEvent(kind=f"step {step}"))

    assert title.startswith("Change: ")
    assert len(title) > len(f"Change: {step}.") + 3


@pytest.mark.parametrize(("share", "words"), [(0.93, "93 %"), (0.005, "0.5 %"), (0.0, "0 %")])
def test_a_share_is_said_in_percent(share, words):
    assert percent(share) == words


@pytest.mark.parametrize(
    ("gas", "colours", "words"),
    [
        # Shoulder colours: ISO 32 (white, black and white, blue) and the US scheme.
        ("oxygen", "iso32", "Oxygen (white shoulder, ISO 32)"),
        ("oxygen", "us", "Oxygen (green shoulder, US)"),
        ("nitrous oxide", "us", "Nitrous oxide (blue shoulder, US)"),
    ],
)
def test_a_gas_is_named_with_its_colour_in_the_scheme_of_the_site(gas, colours, words):
    assert gas_words(gas, Site(gas_colours=colours)) == words


@pytest.mark.parametrize(
    ("size", "litres", "words"),
    [
        ("E (UK/ISO)", 4.7, "size E, 4.7 L"),
        ("", 10.0, "10 L of water"),
        ("J", 47.2, "size J, 47.2 L"),
    ],
)
def test_a_size_is_said_with_its_water_capacity(size, litres, words):
    assert size_words(Cylinder(size=size, water_capacity_l=litres)) == words


@pytest.mark.parametrize("state", [one for one in CylinderState if one != CylinderState.IN_USE])
def test_the_tag_says_what_a_cylinder_is_marked(state):
    assert kind_words(Cylinder(state=state)) == f"Cylinder, {state.label.lower()}"


def test_the_tag_says_where_it_is_and_names_a_room_once(alder, source, room):
    assert kind_words(alder) == "Cylinder on Wren, Theatre 1"
    source.name = "Wall of Theatre 1"
    alder.source = source
    assert kind_words(alder) == "Cylinder on Wall of Theatre 1"


@pytest.mark.parametrize(
    ("known", "words"),
    [
        ("preset", "confirm it on the stamp"),
        ("stamp", "stamped"),
        ("label", "label"),
        ("", "entered"),
    ],
)
def test_how_a_capacity_is_known_is_said(known, words):
    assert words in capacity_words(Cylinder(capacity_known=known))
