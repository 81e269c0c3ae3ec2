"""Readings are kept as seen, asked about, amended by another, never overwritten."""

from datetime import timedelta

import pytest
from django.utils import timezone

from ullage.core.errors import InvalidQuantity, RuleBroken
from ullage.web.supply.models import CylinderEvent, Reading
from ullage.web.supply.selectors import in_force, latest_reading, reading_lines, valve_said
from ullage.web.supply.services import (
    Seen,
    cylinder_return,
    reading_amend,
    reading_answer,
    reading_save,
    reading_set_aside,
    valve_say,
)

pytestmark = pytest.mark.web


def seen(bar: float, **more) -> Seen:
    return Seen(
        typed=f"{bar:g} bar", at=more.pop("at", timezone.now()), gauge_kpa=bar * 100, **more
    )


def test_a_reading_keeps_what_was_typed(alder, operator):
    kept = reading_save(cylinder=alder, seen=seen(71), by=operator)

    assert (kept.typed, kept.gauge_kpa, kept.is_late) == ("71 bar", 7100.0, False)
    assert latest_reading(alder) == kept


def test_saving_twice_with_one_code_keeps_one_reading(alder, operator):
    once = seen(71)
    first = reading_save(cylinder=alder, seen=once, by=operator)
    second = reading_save(cylinder=alder, seen=once, by=operator)

    assert first.pk == second.pk
    assert Reading.objects.count() == 1


def test_an_entry_of_another_page_is_refused_in_words(alder, hazel, operator):
    once = seen(71)
    reading_save(cylinder=alder, seen=once, by=operator)

    with pytest.raises(RuleBroken, match="belongs to another page"):
        reading_save(cylinder=hazel, seen=once, by=operator)
    assert not hazel.readings.exists()


def test_a_reading_older_than_the_last_is_kept_as_late(alder, read):
    read(alder, 71)
    late = read(alder, 90, hours_ago=5)

    assert late.is_late
    assert [one.typed for one in in_force(alder)] == ["71 bar", "90 bar"]


@pytest.mark.parametrize("bar", [-1.0, float("nan"), float("inf"), 208.0])
def test_what_no_gauge_here_can_show_is_refused(bar, alder, operator):
    allowed = r"a gauge reads 0 or more|no more than|past the end|a finite number"
    with pytest.raises((RuleBroken, InvalidQuantity), match=allowed):
        reading_save(cylinder=alder, seen=seen(bar), by=operator)

    assert not Reading.objects.exists()


def test_a_weight_below_the_tare_is_refused(nitrous, operator):
    light = Seen(typed="5 kg", at=timezone.now(), weight_kg=5.0)

    with pytest.raises(RuleBroken, match=r"weighs 5 kg, less than its tare of 6 kg"):
        reading_save(cylinder=nitrous, seen=light, by=operator)


def test_a_time_that_has_not_come_is_refused(alder, operator):
    with pytest.raises(RuleBroken, match="has not come yet"):
        reading_save(
            cylinder=alder, seen=seen(71, at=timezone.now() + timedelta(hours=1)), by=operator
        )


def test_a_reading_of_one_handed_back_is_refused_or_kept_as_a_note(hazel, operator):
    cylinder_return(cylinder=hazel, by=operator)

    with pytest.raises(RuleBroken, match="belongs to no fitted cylinder"):
        reading_save(cylinder=hazel, seen=seen(71), by=operator)
    note = reading_save(cylinder=hazel, seen=seen(71), by=operator, only_note=True)

    assert not note.counts
    assert not in_force(hazel).exists()


def test_an_amendment_stands_in_front_and_the_first_stays_readable(alder, read, operator):
    wrong = read(alder, 17, hours_ago=1)
    better = reading_amend(
        reading=wrong, seen=seen(71, at=wrong.at), reason="Digits swapped.", by=operator
    )

    wrong.refresh_from_db()
    (line,) = reading_lines(alder)
    assert wrong.typed == "17 bar"
    assert (line.reading, line.before) == (better, (wrong,))
    assert [one.pk for one in in_force(alder)] == [better.pk]
    assert not better.is_late


def test_an_amendment_needs_a_reason_and_comes_once(alder, read, operator):
    wrong = read(alder, 17)

    with pytest.raises(RuleBroken, match="Say why it is amended"):
        reading_amend(reading=wrong, seen=seen(71), reason=" ", by=operator)
    reading_amend(reading=wrong, seen=seen(71), reason="Swapped.", by=operator)
    with pytest.raises(RuleBroken, match="amend the one that stands"):
        reading_amend(reading=wrong, seen=seen(72), reason="Again.", by=operator)


def test_an_amendment_can_itself_be_amended_and_all_stay(alder, read, operator):
    first = read(alder, 17)
    second = reading_amend(reading=first, seen=seen(70), reason="Swapped.", by=operator)
    third = reading_amend(reading=second, seen=seen(71), reason="Seen again.", by=operator)

    (line,) = reading_lines(alder)
    assert line.reading == third
    assert line.before == (second, first)


def test_a_note_is_shown_and_used_in_no_sum(alder, read, operator):
    wrong = read(alder, 71)
    reading_set_aside(reading=wrong, reason="It was Hazel.", by=operator)

    assert not in_force(alder).exists()
    assert reading_lines(alder)[0].reading.typed == "71 bar"


def test_the_answer_to_a_question_is_written_once(alder, read, operator):
    asked = read(alder, 71)
    Reading.objects.filter(pk=asked.pk).update(asked="Another cylinder, or a warmer room?")
    assert not in_force(alder).exists()

    reading_answer(reading=asked, said="A warmer room", by=operator)

    assert in_force(alder).get().said == "A warmer room"
    with pytest.raises(RuleBroken, match="answered before"):
        reading_answer(reading=asked, said="Another", by=operator)


def test_the_last_word_about_the_valve_counts_and_the_first_stays(alder, read, operator):
    reading = read(alder, 71)
    valve_say(cylinder=alder, valve="open", by=operator)
    valve_say(cylinder=alder, valve="closed", by=operator)

    assert valve_said(alder) == {str(reading.code): "closed"}
    assert CylinderEvent.objects.filter(kind="valve said").count() == 2


def test_nobody_is_asked_about_a_valve_before_the_first_reading(alder, operator):
    with pytest.raises(RuleBroken, match="Alder has no reading yet"):
        valve_say(cylinder=alder, valve="open", by=operator)
