"""Charts name their layers, state their result and bring no colour or style of their own."""

import re
from datetime import datetime, timedelta
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from ullage.web.shared.charts import (
    GaugeChart,
    GaugeEvent,
    GaugeExpected,
    GaugeReading,
    gauge_chart,
)

START = datetime(2026, 6, 5, 8)  # noqa: DTZ001  # charts are drawn on the clock of the place


def at(hours):
    return START + timedelta(hours=hours)


def chart(**more):
    readings = tuple(
        GaugeReading(at=at(hours), value=value)
        for hours, value in ((0, 137.0), (2, 125.0), (90, 71.0))
    )
    expected = tuple(
        GaugeExpected(at=at(hours), low=low, middle=low + 4, high=low + 8)
        for hours, low in ((0, 133.0), (2, 121.0), (90, 75.0))
    )
    known = {"unit": "bar", "label": "Gauge of Alder", "readings": readings, "expected": expected}
    return GaugeChart(**{**known, **more})


def layers(svg):
    return set(re.findall(r"(\w+)_marks", svg))


def test_every_layer_carries_its_name():
    assert layers(gauge_chart(chart())) == {"band", "pred", "readl", "read"}


def test_late_amended_and_odd_readings_have_shapes_of_their_own():
    marked = (
        GaugeReading(at=at(0), value=137.0, is_late=True),
        GaugeReading(at=at(2), value=125.0, is_amended=True),
        GaugeReading(at=at(90), value=71.0, is_odd=True),
    )
    svg = gauge_chart(chart(readings=marked, events=(GaugeEvent(at=at(0), number=1),)))

    assert {"late", "amended", "odd", "ev", "evd", "evn"} <= layers(svg)


def test_the_label_states_the_result_and_is_escaped():
    svg = gauge_chart(chart(label='Last one "71 bar" < expected'))

    assert 'role="img"' in svg
    assert 'aria-label="Last one &quot;71 bar&quot; &lt; expected"' in svg
    assert ElementTree.fromstring(svg).get("class") == "chart"  # noqa: S314  # our own drawing


def test_nothing_in_it_needs_a_style_that_the_content_policy_forbids():
    svg = gauge_chart(chart())

    assert "style" not in svg
    assert "<script" not in svg
    assert "url(" not in svg
    assert "font-family" not in svg


def test_amounts_that_come_near_nothing_start_at_zero():
    low = (GaugeReading(at=at(0), value=137.0), GaugeReading(at=at(5), value=10.0))

    assert re.search(r">0</text>", gauge_chart(chart(readings=low, expected=())))
    assert not re.search(r">0</text>", gauge_chart(chart()))


def test_what_is_kept_back_is_tinted_and_named_where_the_axis_reaches_it():
    low = (GaugeReading(at=at(0), value=137.0), GaugeReading(at=at(5), value=10.0))

    assert "kept back" in gauge_chart(chart(readings=low, expected=(), kept_back=14.0))
    assert "kept back" not in gauge_chart(chart(kept_back=14.0))


@pytest.mark.parametrize(
    ("hours", "words"), [(3, r">\d\d:\d\d<"), (90, r">(Fri|Sat|Sun|Mon) \d+<"), (900, r">\d+ Jun<")]
)
def test_the_clock_of_the_axis_fits_its_length(hours, words):
    readings = (GaugeReading(at=at(0), value=137.0), GaugeReading(at=at(hours), value=120.0))

    assert re.search(words, gauge_chart(chart(readings=readings, expected=())))


def test_one_reading_is_drawn_without_an_expectation():
    svg = gauge_chart(chart(readings=(GaugeReading(at=at(0), value=71.0),), expected=()))

    assert layers(svg) == {"readl", "read"}


def test_words_on_the_axis_do_not_run_into_each_other():
    readings = tuple(GaugeReading(at=at(24 * day), value=150.0 - day) for day in range(13))
    drawn = re.findall(
        r"translate\(([\d.]+),[\d.]+\)\"[^>]*>(\d+ \w+)</text>",
        gauge_chart(chart(readings=readings, expected=())),
    )
    places = sorted(float(x) for x, _ in drawn)

    assert len(places) >= 2
    assert min(b - a for a, b in pairwise(places)) > 48
