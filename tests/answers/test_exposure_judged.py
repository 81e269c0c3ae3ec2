"""Waste gas against limits: chosen by the site, all sides shown; badges; what helps most."""

import pytest

from tests.answers.exposure_examples import ISO, KNOWN, LAB, MORNING, OPENED, PAST, UNKNOWN
from ullage.answers import (
    BadgeRead,
    LimitKind,
    Scavenging,
    Verdict,
    WorkRoom,
    against_limit,
    badge,
    badge_agrees,
    task_average,
    what_helps_most,
)
from ullage.answers.exposure import Zone, day_average
from ullage.answers.exposure_helps import helps_ranked
from ullage.answers.exposure_judged import measured, measures_of
from ullage.answers.exposure_things import EscapeKind, flow_escapes
from ullage.core.errors import InvalidQuantity, UnknownReference
from ullage.reference import fact


def day_of(level):
    return {LimitKind.DAY: measured(LimitKind.DAY, level, "Badge of the whole day.")}


def test_until_the_site_chooses_there_is_no_verdict_and_every_side_is_shown():
    found = against_limit(ISO, None, measures_of(KNOWN, MORNING, ISO), "GB")

    assert found.verdict is Verdict.NOT_YET
    assert found.settles == "Which limit does this site follow?"
    assert not any(one.chosen for one in found.views)
    results = " ".join(one.result for one in found.views)
    assert all(f"{one:g} ppm" in results for one in (2, 5, 10, 50, 0.5))
    assert "United Kingdom" in found.views[0].label
    assert {one.how_known for one in found.views} >= {"seen", "memory"}


@pytest.mark.parametrize(
    ("level", "verdict"), [(1.9, Verdict.FINE), (2.0, Verdict.FINE), (2.1, Verdict.STOP)]
)
def test_a_measured_day_is_judged_by_the_chosen_limit(level, verdict):
    assert against_limit(ISO, "california_isoflurane", day_of(level)).verdict is verdict


def test_a_band_across_the_limit_is_looked_at_again():
    measures = measures_of(LAB, MORNING, ISO)
    found = against_limit(ISO, "niosh_by_custom", measures)

    assert found.low < 2.0 < found.high
    assert found.verdict is Verdict.LOOK_AGAIN
    assert found.todo.startswith("Measure with a badge")


# Definition (fact table row WG14): 10 ppm for an hour are under a mean of 2 ppm, over a ceiling.
def test_an_hour_can_be_within_the_mean_and_above_the_ceiling():
    told = fact("machine_checks", "WG14").number
    hour = {LimitKind.CEILING: measured(LimitKind.CEILING, 10.0, "Sample of an hour.")}

    assert against_limit(ISO, "california_isoflurane", day_of(told)).verdict is Verdict.FINE
    assert against_limit(ISO, "niosh_by_custom", hour).verdict is Verdict.STOP


def test_a_badge_of_a_day_says_nothing_of_a_ceiling():
    found = against_limit(ISO, "niosh_by_custom", day_of(1.0))

    assert found.verdict is Verdict.NOT_YET
    assert "ceiling" in found.settles


def test_a_limit_of_another_agent_is_no_limit():
    found = against_limit("halothane", "acgih_isoflurane", day_of(1.0))

    assert found.verdict is Verdict.NOT_YET
    assert "not for halothane" in found.sentence
    with pytest.raises(UnknownReference, match="No limit 'mars'"):
        against_limit(ISO, "mars", {})


def test_an_agent_without_any_limit_says_so():
    found = against_limit("xenon", None, {})

    assert found.views == ()
    assert "No limit of xenon" in found.sentence


def test_an_unknown_room_is_asked_about_before_any_verdict():
    found = against_limit(ISO, "acgih_isoflurane", measures_of(UNKNOWN, MORNING, ISO))

    assert (found.verdict, found.settles) == (Verdict.NOT_YET, "How large is Lab?")


@pytest.mark.parametrize(
    ("key", "mass", "celsius"),
    [("uk_wel", "383 mg/m³", "20 °C"), ("acgih_isoflurane", "377 mg/m³", "25 °C")],
)
def test_both_units_are_said_at_the_temperature_of_the_table(key, mass, celsius):
    reason = against_limit(ISO, key, day_of(1.0)).reasons[0]

    assert mass in reason
    assert celsius in reason


# 2 ppm over 480 min with a procedure of 45 min: 21 ppm in it (fact table row WG13).
def test_a_badge_speaks_of_eight_hours_and_of_the_task():
    read = BadgeRead(agent=ISO, level_ppm=2.0, worn_min=480.0, task_min=45.0)

    assert read.task_ppm == pytest.approx(fact("machine_checks", "WG13").number, abs=0.1)
    assert badge(read).value == pytest.approx(2.0)
    short = badge(BadgeRead(agent=ISO, level_ppm=8.0, worn_min=60.0))
    assert short.value == pytest.approx(1.0)
    long = badge(BadgeRead(agent=ISO, level_ppm=2.0, worn_min=720.0))
    assert long.value == pytest.approx(3.0)


@pytest.mark.parametrize(
    "wrong",
    [
        {"level_ppm": -1.0, "worn_min": 60.0},
        {"level_ppm": 1.0, "worn_min": 0.0},
        {"level_ppm": 1.0, "worn_min": 60.0, "task_min": 61.0},
        {"level_ppm": float("nan"), "worn_min": 60.0},
    ],
)
def test_a_badge_that_cannot_be_is_refused(wrong):
    with pytest.raises(InvalidQuantity, match="must be"):
        BadgeRead(agent=ISO, **wrong)


def predicted(room):
    task = (500.0, 620.0)
    return [task_average(room, MORNING, ISO, task, zone) for zone in (Zone.WORK, Zone.ROOM)]


@pytest.mark.parametrize(
    ("share", "verdict", "words"),
    [
        (0.5, Verdict.FINE, "agrees"),
        (2.0, Verdict.LOOK_AGAIN, "does not agree"),
    ],
)
def test_a_badge_agrees_or_does_not(share, verdict, words):
    work, room = predicted(LAB)
    read = BadgeRead(agent=ISO, level_ppm=share * work.high, worn_min=120.0)

    found = badge_agrees(read, work, room)

    assert found.verdict is verdict
    assert words in found.sentence


def test_a_badge_below_the_air_of_the_room_does_not_agree():
    work, room = predicted(LAB)
    read = BadgeRead(agent=ISO, level_ppm=0.5 * room.low, worn_min=120.0)

    assert badge_agrees(read, work, room).verdict is Verdict.LOOK_AGAIN


def test_a_badge_without_a_room_has_nothing_to_agree_with():
    work, room = predicted(UNKNOWN)
    read = BadgeRead(agent=ISO, level_ppm=1.0, worn_min=120.0)

    found = badge_agrees(read, work, room)

    assert (found.verdict, found.settles) == (Verdict.NOT_YET, "How large is Lab?")


def test_what_helps_is_ranked_by_what_it_takes_away():
    helps = helps_ranked(LAB, MORNING, ISO)
    names = [one.name for one in helps]

    assert [one.share for one in helps] == sorted((one.share for one in helps), reverse=True)
    assert names[0] == "work under a hood"
    assert {"seal the mask", "purge the chamber", "more fresh air"} <= set(names)
    assert not {"scavenge", "recover elsewhere", "find the leak"} & set(names)


def test_a_help_is_the_day_without_what_it_takes_away():
    helps = {one.name: one for one in helps_ranked(LAB, MORNING, ISO)}
    whole = day_average(LAB, MORNING, ISO).high
    # The day must stay as long as it was, so the mask is kept and lets nothing past.
    sealed = day_average(LAB, [OPENED, PAST.times(0.0)], ISO).high

    assert helps["seal the mask"].eight_hours_ppm == pytest.approx(sealed, rel=1e-9)
    assert helps["seal the mask"].share == pytest.approx(1.0 - sealed / whole, rel=1e-9)


def test_more_air_helps_the_air_at_the_work_less_than_that_of_the_room():
    told = (EscapeKind.MASK, "past the mask", ISO)
    mask = flow_escapes(told, (1.0, 1.0, 1.0), 0.02, (480.0, 400.0))
    well = WorkRoom(room_m3=45.0, air_changes_per_h=20.0, mixing_factor=1.0)
    helps = {one.name: one for one in helps_ranked(well, [mask], ISO)}

    assert helps["more fresh air"].share < 0.5
    assert helps["halve the flow"].share == pytest.approx(0.5, rel=1e-6)


def test_evidence_is_named_beside_the_ranking():
    found = what_helps_most(LAB, MORNING, ISO)

    assert {"machine_S130", "machine_S133", "machine_S07"} <= set(found.sources)
    assert len(found.steps) >= 4


def test_nothing_helps_where_nothing_escapes_or_the_room_is_unknown():
    assert what_helps_most(LAB, [], ISO).value == 0.0
    assert what_helps_most(UNKNOWN, MORNING, ISO).settles == "How large is Lab?"
    assert Scavenging("charcoal") is Scavenging.CHARCOAL
