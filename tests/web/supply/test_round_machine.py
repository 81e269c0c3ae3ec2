"""Whatever people do in whatever order: rules hold, and nothing that was entered is lost."""

from contextlib import suppress
from datetime import timedelta

import pytest
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ullage.core.errors import UllageError
from ullage.web.supply.models import Cylinder, CylinderEvent, CylinderState, Reading
from ullage.web.supply.selectors import in_force, reading_lines, sources_of
from ullage.web.supply.services import (
    CylinderFacts,
    Seen,
    SourceFacts,
    cylinder_connect,
    cylinder_empty,
    cylinder_quarantine,
    cylinder_receive,
    cylinder_release,
    cylinder_return,
    cylinder_take_off,
    reading_amend,
    reading_answer,
    reading_save,
    reading_set_aside,
    source_add,
)

pytestmark = pytest.mark.web

_COUNT = iter(range(1, 1_000_000))

anything = settings(
    deadline=None, max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
moves = st.lists(
    st.tuples(
        st.sampled_from(["connect", "off", "off empty", "empty", "apart", "back", "return"]),
        st.integers(0, 1),
    ),
    max_size=14,
)


@pytest.fixture
def stage(site, lead, operator):
    """Two cylinders and one place that takes one at a time, anew for each run."""

    def make():
        number = next(_COUNT)
        facts = SourceFacts(name=f"Place {number}", kind="cylinder", gas="oxygen")
        place = source_add(site=site, facts=facts, by=lead)
        pair = [
            cylinder_receive(
                site=site,
                facts=CylinderFacts(name=f"{name} {number}", gas="oxygen", water_capacity_l=4.7),
                by=operator,
            )
            for name in ("Oak", "Ash")
        ]
        return place, pair

    return make


def move(kind, cylinder, place, by):
    """Do one thing; what is refused comes back as the sentence that says why."""
    steps = {
        "connect": lambda: cylinder_connect(cylinder=cylinder, source=place, by=by),
        "off": lambda: cylinder_take_off(cylinder=cylinder, by=by),
        "off empty": lambda: cylinder_take_off(cylinder=cylinder, by=by, is_empty=True),
        "empty": lambda: cylinder_empty(cylinder=cylinder, by=by),
        "apart": lambda: cylinder_quarantine(cylinder=cylinder, reason="Doubt.", by=by),
        "back": lambda: cylinder_release(cylinder=cylinder, reason="Looked at.", by=by),
        "return": lambda: cylinder_return(cylinder=cylinder, by=by),
    }
    try:
        steps[kind]()
    except UllageError as refusal:
        return str(refusal)
    return ""


@anything
@given(moves)
def test_a_place_never_holds_two_and_a_cylinder_is_never_on_two(stage, operator, order):
    place, pair = stage()
    for kind, which in order:
        cylinder = Cylinder.objects.get(pk=pair[which].pk)
        before = CylinderEvent.objects.filter(cylinder=cylinder).count()
        refused = move(kind, cylinder, place, operator)

        fitted = Cylinder.objects.filter(source=place, state=CylinderState.IN_USE)
        assert fitted.count() <= 1
        # Each thing that was done has its line; what was refused has none.
        after = CylinderEvent.objects.filter(cylinder=cylinder).count()
        assert after - before == (0 if refused else 1)
        assert not refused or refused.endswith(".")
    for one in Cylinder.objects.filter(pk__in=[each.pk for each in pair]):
        assert (one.source_id is not None) is (one.state == CylinderState.IN_USE)


@anything
@given(moves)
def test_the_log_alone_tells_where_a_cylinder_is(stage, operator, order):
    place, pair = stage()
    for kind, which in order:
        move(kind, Cylinder.objects.get(pk=pair[which].pk), place, operator)
    becomes = {
        "received": "full",
        "connected": "in_use",
        "empty": "empty",
        "set apart": "quarantine",
        "taken back": "part_used",
        "returned": "returned",
    }
    for one in Cylinder.objects.filter(pk__in=[each.pk for each in pair]):
        last = CylinderEvent.objects.filter(cylinder=one).order_by("pk").last()
        if last.kind == "taken off":
            told = last.details["tag"].replace(" ", "_")
        else:
            told = becomes[last.kind]
        assert told == one.state


words = st.lists(
    st.tuples(
        st.sampled_from(["read", "late", "amend", "note", "say"]),
        st.floats(1, 137).map(round),
        st.integers(0, 5),
    ),
    max_size=12,
)


def speak(kind, cylinder, bar, which, by):
    """Enter something about a cylinder's gauge, or about what was entered before."""
    now = timezone.now()
    at = now - timedelta(hours=9) if kind == "late" else now
    seen = Seen(typed=f"{bar} bar", at=at, gauge_kpa=bar * 100.0)
    if kind in {"read", "late"}:
        reading_save(cylinder=cylinder, seen=seen, by=by)
        return
    rows = list(Reading.objects.filter(cylinder=cylinder).order_by("pk"))
    if not rows:
        return
    row = rows[which % len(rows)]
    if kind == "amend":
        reading_amend(reading=row, seen=seen, reason="Seen again.", by=by)
    elif kind == "note":
        reading_set_aside(reading=row, reason="Another cylinder.", by=by)
    else:
        reading_answer(reading=row, said="It is what the needle shows", by=by)


@anything
@given(words)
def test_whatever_is_said_later_every_reading_stays_readable(stage, operator, order):
    place, (cylinder, _) = stage()
    cylinder_connect(
        cylinder=cylinder, source=place, by=operator, at=timezone.now() - timedelta(days=1)
    )
    seen = {}
    for kind, bar, which in order:
        with suppress(UllageError):
            speak(kind, cylinder, bar, which, operator)
        for row in Reading.objects.filter(cylinder=cylinder):
            # What was typed, when, by whom: never touched again.
            known = (row.typed, row.gauge_kpa, row.at, row.by_id, row.amends_id)
            assert seen.setdefault(row.pk, known) == known
        assert set(seen) == set(
            Reading.objects.filter(cylinder=cylinder).values_list("pk", flat=True)
        )
    shown = {row.pk for line in reading_lines(cylinder) for row in (line.reading, *line.before)}
    assert shown == set(seen)


@anything
@given(words)
def test_what_counts_is_neither_amended_nor_a_note_nor_waiting(stage, operator, order):
    place, (cylinder, _) = stage()
    cylinder_connect(
        cylinder=cylinder, source=place, by=operator, at=timezone.now() - timedelta(days=1)
    )
    for kind, bar, which in order:
        with suppress(UllageError):
            speak(kind, cylinder, bar, which, operator)
    rows = list(Reading.objects.filter(cylinder=cylinder))
    amended = {row.amends_id for row in rows}
    counted = [
        row
        for row in rows
        if row.pk not in amended and row.counts and not (row.asked and not row.said)
    ]
    expected = sorted(counted, key=lambda row: (row.at, row.pk), reverse=True)

    assert list(in_force(cylinder)) == expected
    assert [one.reading for one in reading_lines(cylinder)] == sorted(
        (row for row in rows if row.pk not in amended),
        key=lambda row: (row.at, row.pk),
        reverse=True,
    )


def test_the_stage_is_part_of_the_site(stage, site):
    place, _ = stage()

    assert place in sources_of(site)
