"""The chart of a cylinder: what is drawn, the result in words, the same in numbers."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone

from ullage.web.supply.drawing import chart_of
from ullage.web.supply.models import Cylinder, Reading
from ullage.web.supply.selectors import curve_rows, cylinder_page
from ullage.web.supply.services import Seen, reading_amend, reading_save, valve_say
from ullage.web.supply.tasks import work_out_cylinder

pytestmark = pytest.mark.web


@pytest.fixture
def drawn(alder):
    """The chart as it is after the answers were worked out."""

    def draw():
        work_out_cylinder.call(alder.pk)
        alder.refresh_from_db()
        return chart_of(cylinder_page(alder))

    return draw


def test_a_reading_inside_its_range_says_so(drawn, alder, read):
    read(alder, 100, hours_ago=8)
    read(alder, 100, hours_ago=1)
    found = drawn()

    assert re.search(
        r"2 readings; the last one, 100 bar, is inside the likely range of", found.label
    )
    assert "odd_marks" not in found.svg
    assert "band_marks" in found.svg


def test_a_reading_below_its_range_gains_a_ring_and_says_so(drawn, alder, read):
    read(alder, 100, hours_ago=8)
    read(alder, 80, hours_ago=1)
    found = drawn()

    assert "is below the likely range of" in found.label
    assert "odd_marks" in found.svg


def test_one_reading_is_held_against_nothing(drawn, alder, read):
    read(alder, 100)

    assert drawn().label == "Gauge of Alder, 1 reading, the last one 100 bar."


def test_the_same_numbers_stand_in_the_rows_the_latest_first(drawn, alder, read):
    read(alder, 100, hours_ago=8)
    read(alder, 99, hours_ago=1)
    found = drawn()

    assert [row.read for row in found.rows] == ["99 bar", "100 bar"]
    assert re.fullmatch(r"\d+ to \d+", found.rows[0].expected)


def test_late_and_amended_readings_are_marked(drawn, alder, read, operator):
    read(alder, 99, hours_ago=1)
    read(alder, 100, hours_ago=8)
    first = read(alder, 98, hours_ago=0.5)
    reading_amend(
        reading=first,
        seen=Seen(typed="99 bar", at=first.at, gauge_kpa=9900.0),
        reason="Seen again.",
        by=operator,
    )
    found = drawn()

    assert [row.marks for row in found.rows] == [("amended",), (), ("late",)]
    assert "late_marks" in found.svg
    assert "amended_marks" in found.svg


def test_a_note_and_a_question_that_waits_are_not_drawn(drawn, alder, read):
    read(alder, 100, hours_ago=8)
    waits = read(alder, 99, hours_ago=2)
    Reading.objects.filter(pk=waits.pk).update(asked="Truly?")
    note = read(alder, 99, hours_ago=1)
    Reading.objects.filter(pk=note.pk).update(counts=False)

    assert [row.read for row in drawn().rows] == ["100 bar"]


def test_the_unit_of_the_site_is_drawn(drawn, alder, read, site):
    site.pressure_unit = "psi"
    site.save()
    read(alder, 100, hours_ago=8)
    read(alder, 99, hours_ago=1)
    found = drawn()

    assert ">psi</text>" in found.svg
    assert "1440 psi" in found.label.replace("\u202f", "")


def test_what_happened_is_numbered_and_explained(drawn, alder, read, operator):
    read(alder, 100, hours_ago=8)
    read(alder, 99, hours_ago=1)
    valve_say(cylinder=alder, valve="closed", by=operator)
    found = drawn()

    assert [(number, words) for number, _, words in found.events] == [
        (1, "connected"),
        (2, "valve before the reading: closed"),
    ]


def test_only_this_round_is_drawn(alder, read):
    read(alder, 30, hours_ago=60)
    read(alder, 130, hours_ago=1)

    assert [row.typed for row in curve_rows(alder).readings] == ["130 bar"]


def test_a_cylinder_in_store_shows_what_was_read_of_it(hazel, read):
    read(hazel, 137, hours_ago=60)

    assert [row.typed for row in curve_rows(hazel).readings] == ["137 bar"]


def test_weights_have_no_gauge_chart(nitrous, operator):
    weight = Seen(typed="7.6 kg", at=timezone.now(), weight_kg=7.6)
    reading_save(cylinder=nitrous, seen=weight, by=operator)

    assert chart_of(cylinder_page(nitrous)) is None


def test_nothing_that_is_expected_from_now_on_is_drawn(drawn, alder, read):
    Cylinder.objects.update(connected_at=timezone.now() - timedelta(days=3))
    alder.refresh_from_db()
    read(alder, 100, hours_ago=48)
    read(alder, 99, hours_ago=24)
    found = drawn()
    last = re.findall(r'band_marks"><path[^>]* d="([^"]+)"', found.svg)[0]
    rightmost = max(float(x) for x in re.findall(r"[ML]?([\d.]+),[\d.]+", last))
    dots = re.findall(r'read_marks".*?</g>', found.svg)[0]
    furthest = max(float(x) for x in re.findall(r"translate\(([\d.]+),", dots))

    assert rightmost == pytest.approx(furthest, abs=1.0)
