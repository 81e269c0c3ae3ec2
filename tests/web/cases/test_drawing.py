"""The chart of a case as it is drawn: marks at their places, legend, words, no style of its own."""

import re
from datetime import timedelta
from html import unescape
from xml.etree import ElementTree as ET
from zoneinfo import ZoneInfo

import pytest

from tests.web.records.world import (
    BEGAN,
    Case,
    EntryKind,
    EntryText,
    mice_case,
    sheep_case,
)
from ullage.answers.record.charted import ChartClock, case_charts
from ullage.answers.record.standing import record_standing
from ullage.web.cases.drawing import chart_label, chart_names, chart_svg, on_paper
from ullage.web.cases.glyphs import GLYPHS

pytestmark = pytest.mark.web

LONDON = ZoneInfo("Europe/London")


def drawn(case, of="Tansy", **more):
    lines = case.lines if isinstance(case, Case) else case
    return [chart_svg(one, LONDON, of) for one in case_charts(record_standing(lines), **more)]


def texts(svg):
    return [unescape(one) for one in re.findall(r"<text[^>]*>([^<]*)</text>", svg)]


@pytest.fixture(scope="module")
def sheep():
    return drawn(sheep_case())[0]


def one_reading(minute, key="heart_rate", typed="100 /min", **more):
    case = Case()
    case.read(minute, key, typed, **more)
    return drawn(case)[0]


def test_the_drawing_is_well_formed_and_has_no_style_of_its_own(sheep):
    ET.fromstring(sheep)  # noqa: S314  # ours

    assert "style" not in sheep
    assert re.fullmatch(r"[^<]*", "".join(texts(sheep)))


def test_a_mark_lies_at_its_real_time_and_value():
    svg = one_reading(7.5)  # the chart begins at minute 5 and ends 60 minutes later
    _, mark, _ = re.findall(r'class="read" d="M([\d.]+) ([\d.]+)a', svg)  # key, mark, legend
    axis = [float(one) for one in re.findall(r'y="([\d.]+)" text-anchor="end">(?:0|200)<', svg)]

    # The dot is a path from its left end, 4.6 px from the middle; labels lie 4 px under their line.
    assert float(mark[0]) + 4.6 == pytest.approx(150.0 + 586.0 * 2.5 / 60.0, abs=0.11)
    assert float(mark[1]) == pytest.approx(sum(axis) / 2 - 4.0, abs=0.11)


def test_times_stand_on_the_clock_of_the_place(sheep):
    assert "09:00" in texts(sheep)
    assert "08:15" not in texts(sheep)


def test_the_legend_names_every_sign_and_its_unit(sheep):
    words = " | ".join(texts(sheep))

    for named in (
        *("Heart rate, /min", "Respiratory rate, /min", "Systolic pressure in an artery, mmHg"),
        *("late entry", "amended entry, both values stay", "one value per box is drawn"),
        *("event, drug or note, numbered in the list", "≈ estimate", "Boxes of 5 minutes"),
    ):
        assert named in words


def test_what_is_thinned_is_said_only_where_it_is():
    words = " ".join(texts(one_reading(1)))

    assert "one value per box" not in words
    assert "late entry" in words


def test_a_late_reading_has_brackets_and_an_amended_one_two_lines():
    plain = one_reading(10)
    late = one_reading(10, late=9.0)
    case = Case()
    first = case.read(10, "heart_rate", "29 /min")
    case.amend(11, first.id, "digits swapped", "heart_rate", "92 /min")

    in_legend = len(re.findall('class="ink mark"', plain))
    assert len(re.findall('class="ink mark"', late)) == in_legend + 1
    assert len(re.findall('class="ink mark"', drawn(case)[0])) == in_legend + 1


def test_a_late_value_of_a_row_stands_in_brackets():
    assert "[96]" in texts(one_reading(3, "oxygen_saturation", "96 %", late=20.0))


def test_a_change_of_a_setting_is_written_even_where_it_is_tight():
    case = Case()
    for minute, dial in ((0, "2.0 %"), (1, "2.5 %"), (2, "2.0 %"), (240, "0 %")):
        case.read(minute, "dial", dial)

    assert [one for one in texts(drawn(case)[0]) if one in {"2.0", "2.5"}] == ["2.0", "2.5", "2.0"]


def test_what_has_no_room_is_a_tick_at_its_time():
    case = Case()
    for minute in range(60):
        case.read(minute, "oxygen_saturation", "97 %")
    svg = drawn(case)[0]
    shown = texts(svg).count("97")
    ticks = len(re.findall(r"M[\d.]+ [\d.]+v4(?![\d.])", svg))

    assert 5 < shown < 60
    assert shown + ticks == 60


def test_a_value_beyond_the_scale_is_at_its_edge_with_its_number():
    case = Case()
    for minute, typed in ((1, "92 /min"), (2, "90 /min"), (6, "9200 /min")):
        case.read(minute, "heart_rate", typed)
    svg = drawn(case)[0]

    assert {"9200", "beyond the scale, its number beside it", "200"} <= set(texts(svg))


def test_fast_hearts_have_a_scale_of_their_own():
    svg = drawn(mice_case(1), animal="M1")[0]

    assert {"heart /min", "500", "200", "Heart rate, /min, scale on the right"} <= set(texts(svg))


def test_now_and_due_are_lines_with_their_times():
    case = Case()
    case.read(0, "heart_rate", "92 /min")
    clock = ChartClock(now=BEGAN + timedelta(minutes=7), due=BEGAN + timedelta(minutes=10))
    svg = drawn(case, clock=clock)[0]

    assert {"now 09:07", "due 09:10"} <= set(texts(svg))
    assert 'class="box"' in svg
    assert 'class="now' not in one_reading(0)


def test_events_too_close_for_a_disc_each_share_one():
    case = Case()
    for number in range(6):
        case.add(EntryText, 1 + number / 10, kind=EntryKind.EVENT, what="moved", typed="")
    case.add(EntryText, 50, kind=EntryKind.EVENT, what="awake", typed="")

    assert {"1", "2", "3–6", "7"} <= set(texts(drawn(case)[0]))


def test_the_words_for_listeners_state_results_units_and_what_is_missing():
    case = Case()
    for minute, typed in ((1, "92 /min"), (6, "88 /min")):
        case.read(minute, "heart_rate", typed, late=9.0)
    (chart,) = case_charts(record_standing(case.lines))
    said = chart_label(chart, LONDON, "Tansy")

    assert said.startswith(
        "Chart of Tansy, 09:00 to 10:00, boxes of 5 minutes; Heart rate 88 to 92"
    )
    assert "not recorded: Mean pressure, SpO₂" in said
    assert said.endswith("0 numbered events, 2 late, 0 amended.")


def test_words_that_people_typed_cannot_become_marks():
    case = Case()
    case.read(1, "temperature", "38 °C", details={"site": '"><script>'})
    svg = drawn(case, of="<b>Tansy</b>")[0]

    assert "<script" not in svg
    assert "<b>" not in svg
    ET.fromstring(svg)  # noqa: S314  # ours


def test_on_paper_the_drawing_brings_its_ink(sheep):
    paper = on_paper(sheep)

    assert paper.startswith('<svg xmlns="http://www.w3.org/2000/svg"')
    assert paper.count("<style>") == 1
    ET.fromstring(paper)  # noqa: S314  # ours


def test_every_class_that_is_drawn_has_a_look_on_paper_and_on_the_page(sheep, sheets):
    looks = {look for one in re.findall(r'class="([^"]+)"', sheep) for look in one.split()}
    looks -= {"chart", "case-chart", "thin", "row", "dim"}
    paper = on_paper(sheep).partition("</style>")[0]

    assert {one for one in looks if f".{one}" not in paper} <= {"val"}
    assert not {one for one in looks if f".{one}" not in sheets}


@pytest.fixture(scope="module")
def sheets():
    from pathlib import Path

    import ullage.web.shared

    folder = Path(ullage.web.shared.__file__).parent / "static" / "shared"
    return "".join((folder / name).read_text("utf-8") for name in ("ullage.css", "charts.css"))


def test_the_names_at_the_edge_stand_where_the_drawing_has_them():
    chart = case_charts(record_standing(sheep_case()))[0]
    lines = re.compile(r"<text[^>]*>[^<]*</text>")
    whole, names = (
        lines.findall(one) for one in (chart_svg(chart, LONDON), chart_names(chart, LONDON))
    )

    assert set(names) <= set(whole)
    assert {f"{row.title} {row.unit}".strip() for row in chart.rows} <= set(texts("".join(names)))


def test_glyphs_are_in_one_table_and_each_has_words():
    assert all(one.words and one.strokes for one in GLYPHS.values())
