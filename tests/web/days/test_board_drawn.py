"""The board as it is drawn: positions worked out on paper from the times, words escaped."""

import re
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from ullage.web.days.drawing import hours_svg, lane_svg
from ullage.web.days.lanes import Band, Block, Clock, clock_for, lane
from ullage.web.days.models import CaseState, PlannedCase
from ullage.web.days.selectors.case_lanes import LaneOf, case_lane, clock_of
from ullage.web.sites.models import Site

pytestmark = pytest.mark.web

LONDON = ZoneInfo("Europe/London")
DAY = date(2026, 6, 9)
SITE = Site(name="Fennel Lane", time_zone="Europe/London")


def at(hour, minute=0, day=DAY):
    """As it comes from the base: in UTC."""
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=LONDON).astimezone(UTC)


NOW = at(9, 31)


def case(name="Clover", hour=10, minute=30, **more):
    known = {"name": name, "species": "rabbit", "starts_at": at(hour, minute), "minutes": 110.0}
    return PlannedCase(**{**known, **more})


def lane_of(*cases, now=NOW, change=None, note="", is_halted=False, site=SITE):
    of = LaneOf(name="Wren", site=site, day=DAY, now=now, cases=cases, is_halted=is_halted)
    return case_lane(of, clock_of(site, DAY, cases, now), change=change, note=note)


def test_a_planned_case_stands_at_its_time_and_is_as_long_as_it_takes():
    """10:30 to 12:20 on a clock from 7 to 18: 3.5 and 1 5/6 of 11 hours."""
    (block,) = lane_of(case()).blocks

    assert (block.look, block.small) == ("plan", "rabbit")
    assert block.x == pytest.approx(100 * 3.5 / 11, abs=0.01)
    assert block.width == pytest.approx(100 * (110 / 60) / 11, abs=0.02)
    assert block.done_percent == 0.0


def test_a_running_case_stands_where_it_began_and_is_filled_up_to_now():
    """Begun at 9:00 for 110 min; at 9:31 31 of 110 minutes have run."""
    running = case(state=CaseState.RUNNING, began_at=at(9), starts_at=at(8, 45))
    (block,) = lane_of(running).blocks

    assert block.x == pytest.approx(100 * 2 / 11, abs=0.01)
    assert block.done_percent == pytest.approx(100 * 31 / 110, abs=0.3)


def test_a_case_that_takes_longer_than_planned_reaches_now():
    running = case(state=CaseState.RUNNING, began_at=at(9), minutes=20.0)
    late = lane_of(running, now=at(11))

    assert late.blocks[0].width == pytest.approx(100 * 2 / 11, abs=0.02)
    assert late.blocks[0].done_percent == 100.0
    assert "Clover 09:00 to 11:00, running" in late.words


def test_a_done_case_is_as_long_as_it_took_and_wholly_filled():
    done = case(state=CaseState.DONE, began_at=at(8), ended_at=at(8, 40))
    (block,) = lane_of(done).blocks

    assert block.width == pytest.approx(100 * (40 / 60) / 11, abs=0.02)
    assert block.done_percent == 100.0


def test_what_is_planned_on_a_machine_out_of_use_is_blocked_and_what_ran_is_not():
    done = case("Bracken", state=CaseState.DONE, began_at=at(8), ended_at=at(8, 40))
    looks = [(one.look, one.small) for one in lane_of(done, case(), is_halted=True).blocks]

    assert looks == [("done", "rabbit"), ("halt", "blocked")]


def test_a_lane_says_the_day_in_words_for_who_cannot_see_it():
    told = lane_of(case(), case("Sorrel", 13, 0), note="change over by 12:40").words

    assert told == (
        "Wren: Clover 10:30 to 12:20, planned; Sorrel 13:00 to 14:50, planned; change over by 12:40"
    )


def test_a_machine_without_cases_is_free_today():
    free = lane_of()

    assert free.is_free
    assert free.words == "Wren: free today"
    assert "Free today" in lane_svg(free)


def test_a_case_past_midnight_widens_the_clock_to_its_end():
    late = case(hour=22, minute=0, minutes=240.0)
    clock = clock_of(SITE, DAY, [late], NOW)

    assert (clock.first_h, clock.last_h) == (7, 26)
    # 22:00 is 15 of 19 hours; 2:00 is the end.
    assert clock.x(22 * 60) == pytest.approx(100 * 15 / 19, abs=0.01)
    assert clock.x(26 * 60) == 100.0


def test_now_stands_on_its_own_day_alone():
    assert clock_of(SITE, DAY, [], NOW).now_words == "09:31"
    assert clock_of(SITE, DAY, [], NOW + timedelta(days=1)).now_x is None
    assert clock_of(SITE, DAY, [], NOW - timedelta(days=1)).now_x is None


def test_the_clock_is_that_of_the_site_and_not_of_the_server():
    """The same moment is 3:31 in a site six hours west."""
    west = Site(name="West", time_zone="Etc/GMT+5")
    clock = clock_of(west, DAY, [], NOW)

    assert clock.now_words == "03:31"
    assert clock.first_h == 3


def test_on_the_day_clocks_go_forward_a_case_stands_by_the_wall_clock():
    """29 March 2026: 00:30 and 90 minutes end at 03:00 by the wall, since 1:00 is 2:00."""
    day = date(2026, 3, 29)
    early = case(starts_at=at(0, 30, day), minutes=90.0)
    of = LaneOf(name="Wren", site=SITE, day=day, now=NOW, cases=(early,))

    assert of.span(early) == (30.0, 180.0)


@pytest.mark.parametrize(
    ("change", "x", "width", "middle"),
    [
        # 12:00 to 13:06, likeliest 12:33: 5, 6.1 and 5.55 of 11 hours.
        ((720.0, 753.0, 786.0), 45.45, 10.0, 50.45),
        # Exactly known: as wide as can still be seen.
        ((720.0, 720.0, 720.0), 45.45, 0.6, 45.45),
        # Reaching past the evening: cut at the edge.
        ((1020.0, 1060.0, 2000.0), 90.91, 9.09, 96.97),
    ],
)
def test_the_change_over_band_stands_from_its_early_to_its_late_end(change, x, width, middle):
    band = lane_of(case(), change=change).band

    assert (band.x, band.at) == (pytest.approx(x, abs=0.01), pytest.approx(middle, abs=0.01))
    assert band.width == pytest.approx(width, abs=0.01)


@pytest.mark.parametrize(
    ("change", "note_x", "ends"),
    [
        ((480.0, 500.0, 520.0), 15.15, False),
        ((960.0, 970.0, 980.0), 81.82, True),
        (None, 100.0, True),
    ],
)
def test_the_words_stand_beside_the_band_on_the_side_that_has_room(change, note_x, ends):
    drawn = lane_of(case(), change=change, note="change over")

    assert drawn.note_x == pytest.approx(note_x, abs=0.02)
    assert drawn.note_ends is ends


def test_the_svg_holds_the_numbers_as_attributes_and_no_style():
    svg = lane_svg(lane_of(case(), change=(720.0, 753.0, 786.0), note="change over by 12:00"))

    assert 'x="31.82%"' in svg
    assert '<rect class="dayl__chg" x="45.45%"' in svg
    assert "style=" not in svg
    assert svg.count("<svg") == svg.count("</svg>") == 2


@pytest.mark.parametrize(
    ("word", "shown"),
    [
        ("<b>Clover</b>", "&lt;b&gt;Clover&lt;/b&gt;"),
        ('Clo"ver', "Clo&quot;ver"),
        ("Clover & Co", "Clover &amp; Co"),
        ("</svg><script>", "&lt;/svg&gt;&lt;script&gt;"),
    ],
)
def test_what_people_typed_is_never_markup(word, shown):
    svg = lane_svg(lane_of(case(word, species=word), note=word))

    assert word not in svg
    # Once as name, species and note, and twice more in the words of the lane.
    assert svg.count(shown) == 5


def test_a_running_block_draws_its_words_twice_so_that_they_read_on_both_colours():
    running = case(state=CaseState.RUNNING, began_at=at(9))
    svg = lane_svg(lane_of(running))

    assert svg.count(">Clover<") == 2
    assert re.search(r'<svg class="blk__on" width="28\.\d+%"', svg)


def test_a_block_that_has_no_width_has_not_run():
    assert Block(name="x", small="", look="run", x=0.0, width=0.0, done_width=1.0).done_percent == 0


def test_the_right_edge_of_a_band_is_its_left_and_its_width():
    assert Band(x=10.1, width=5.25, at=12.0).end == 15.35


def test_the_hours_are_drawn_once_each_and_now_in_two_lengths():
    svg = hours_svg(Clock(first_h=7, last_h=18, now_min=571.0))

    assert svg.count("now 09:31") == 1
    assert svg.count(">09:31<") == 1
    assert ">07</text>" in svg
    # 9 and 10 lie under the words of now.
    assert ">09</text>" not in svg
    assert ">10</text>" not in svg
    assert ">11</text>" in svg


def test_without_now_every_hour_has_its_number():
    svg = hours_svg(Clock(first_h=7, last_h=18))

    assert re.findall(r">(\d\d)</text>", svg) == [f"{one:02d}" for one in range(7, 18)]
    assert svg.count('class="odd"') == 5


def test_hours_past_midnight_start_again():
    svg = hours_svg(clock_for([(22 * 60, 26 * 60)]))

    assert re.findall(r">(\d\d)</text>", svg)[-3:] == ["23", "00", "01"]


def test_a_clock_reaches_no_further_than_the_next_midnight_but_one():
    assert clock_for([(0.0, 9000.0)]).last_h == 48
    assert clock_for([(-700.0, 60.0)]).first_h == 0


def test_a_lane_keeps_the_order_of_its_cases():
    places = {"a": 9.0, "b": 3.0}
    blocks = [Block(name=one, small="", look="plan", x=x, width=5.0) for one, x in places.items()]
    drawn = lane(Clock(first_h=7, last_h=18), blocks)

    assert [one.name for one in drawn.blocks] == ["a", "b"]
