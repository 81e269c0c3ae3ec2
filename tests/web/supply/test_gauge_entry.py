"""What is read at a gauge or a scale, in every unit people write; doubts are asked, then kept."""

from datetime import timedelta
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from ullage.core.errors import RuleBroken, UllageError
from ullage.core.units import convert, read_quantity
from ullage.web.supply.forms import NeedleForm, ReadingForm
from ullage.web.supply.models import Reading
from ullage.web.supply.selectors import cylinder_thing
from ullage.web.supply.selectors.readings import in_force, waiting
from ullage.web.supply.services import (
    Seen,
    reading_amend,
    reading_answer,
    reading_save,
    reading_set_aside,
)

pytestmark = pytest.mark.web


@pytest.fixture
def typed(alder, site):
    def read(number, unit="bar", cylinder=None):
        thing = cylinder_thing(cylinder or alder)
        data = {"number": number, "unit": unit, "code": str(uuid4())}
        return ReadingForm(data, site=site, thing=thing)

    return read


@pytest.fixture
def save(as_operator, alder):
    """Send the form of the page; back comes the reading that was kept."""

    def send(number, unit="bar", **more):
        address = reverse("supply:read", kwargs={"code": alder.code})
        code = str(uuid4())
        reply = as_operator.post(address, {"number": number, "unit": unit, "code": code, **more})
        assert reply.status_code == 302, reply.content.decode()[:400]
        return Reading.objects.get(code=code)

    return send


@pytest.mark.parametrize(
    ("number", "unit", "kpa"),
    [
        # 1 psi = 6.894757 kPa, 1 kgf/cm2 = 98.0665 kPa (exact by definition, SI brochure).
        ("71", "bar", 7100.0),
        ("71.5", "bar", 7150.0),
        ("71,5", "bar", 7150.0),
        (" 71 ", "bar", 7100.0),
        ("1030", "psi", 7101.6),
        ("7.1", "MPa", 7100.0),
        ("1030 psi", "bar", 7101.6),
        ("1030psi", "bar", 7101.6),
        ("7100 kPa", "bar", 7100.0),
        ("72.4 kgf/cm²", "bar", 7100.0),
        ("72.4 kg/cm2", "bar", 7100.0),
        ("7.1 MPa", "psi", 7100.0),
        ("0", "bar", 0.0),
    ],
)
def test_a_pressure_is_read_in_the_unit_typed(typed, number, unit, kpa):
    form = typed(number, unit)

    assert form.is_valid(), form.errors
    assert form.cleaned_data["value"] == pytest.approx(kpa, abs=0.5)


@pytest.mark.parametrize(
    ("number", "unit", "words"),
    [("71", "bar", "71 bar"), ("1030 psi", "bar", "1030 psi"), (" 7.1 ", "MPa", "7.1 MPa")],
)
def test_what_was_typed_is_kept_with_its_unit_once(number, unit, words):
    assert NeedleForm.words(number, unit) == words


@pytest.mark.parametrize(
    ("number", "sentence"),
    [
        ("", "Write what the needle shows."),
        ("-1", "a gauge reads 0 or more"),
        ("inf", "is not a pressure"),
        ("1e999", ""),
        ("7O", ""),
        ("71 L", "is not a unit of pressure"),
        ("71 kg", "is not a unit of pressure"),
        ("71 72", ""),
        ("300", "207 bar"),
        ("7100", "207 bar"),
    ],
)
def test_what_is_none_or_cannot_be_is_refused_in_a_sentence(typed, number, sentence):
    form = typed(number)

    assert not form.is_valid()
    said = " ".join(form.errors["number"])
    assert sentence in said
    assert said.endswith((".", "?"))


def test_a_slip_of_the_unit_beyond_the_test_pressure_names_what_was_meant(typed):
    """1030 bar cannot be; 1030 psi is 71 bar."""
    said = " ".join(typed("1030").errors["number"])

    assert "If it was psi, that is 71 bar." in said


def test_the_sentence_speaks_the_unit_typed(typed):
    """The test pressure of 207 bar is 3002 psi."""
    said = " ".join(typed("4000", "psi").errors["number"]).replace("\u202f", "")

    assert "no more than 3002 psi is allowed here" in said


@given(st.floats(0.0, 200.0), st.sampled_from(["bar", "psi", "MPa"]))
def test_a_number_shown_in_another_unit_reads_back_the_same(bar, unit):
    shown = convert(bar * 100.0, "kPa", "pressure", unit)

    assert read_quantity(f"{shown:.6f}", "pressure", unit=unit) == pytest.approx(
        bar * 100.0, abs=0.01
    )


@pytest.mark.parametrize(("own", "first"), [("psi", "psi"), ("MPa", "MPa"), ("bar", "bar")])
def test_the_unit_of_the_site_comes_first_and_once(alder, site, own, first):
    site.pressure_unit = own
    form = NeedleForm(site=site, thing=cylinder_thing(alder))
    units = [key for key, _ in form.fields["unit"].choices]

    assert units[0] == first
    assert len(set(units)) == len(units)


@pytest.mark.parametrize(
    ("number", "unit", "kg"),
    [("7.4", "kg", 7.4), ("16.31", "lb", 7.398), ("7400 g", "kg", 7.4), ("7,4", "kg", 7.4)],
)
def test_a_liquefied_gas_is_weighed_in_the_units_of_scales(typed, nitrous, number, unit, kg):
    form = typed(number, unit, nitrous)

    assert form.is_valid(), form.errors
    assert form.kind == "mass"
    assert form.cleaned_data["value"] == pytest.approx(kg, abs=0.001)


def test_a_scale_comes_before_a_gauge_for_a_liquefied_gas(site, nitrous):
    form = ReadingForm(site=site, thing=cylinder_thing(nitrous))

    assert [key for key, _ in form.fields["unit"].choices] == ["kg", "lb", "bar"]
    assert form.fields["number"].label == "Scale or gauge"


def test_the_needle_of_a_liquefied_gas_is_a_pressure_since_only_vapour_is_trapped(site, nitrous):
    form = NeedleForm(site=site, thing=cylinder_thing(nitrous))

    assert "kg" not in [key for key, _ in form.fields["unit"].choices]


def test_an_empty_scale_entry_speaks_of_the_scale(typed, nitrous):
    assert "Write what the scale shows." in typed("", "kg", nitrous).errors["number"]


@pytest.mark.parametrize(("number", "unit"), [("5.9", "kg"), ("0", "kg"), ("12.9", "lb")])
def test_less_than_the_tare_is_no_weight_of_this_cylinder(typed, nitrous, number, unit):
    assert "tare of 6 kg" in " ".join(typed(number, unit, nitrous).errors["number"])


@pytest.mark.parametrize(
    ("typed_k", "kelvin"), [("20", 293.15), ("68 °F", 293.15), ("-10", 263.15), ("", None)]
)
def test_a_room_temperature_is_taken_in_the_unit_typed(alder, site, typed_k, kelvin):
    data = {"number": "71", "unit": "bar", "code": str(uuid4()), "temperature": typed_k}
    form = ReadingForm(data, site=site, thing=cylinder_thing(alder))

    assert form.is_valid(), form.errors
    found = form.seen()["temperature_k"]
    assert found is None if kelvin is None else found == pytest.approx(kelvin)


def test_an_earlier_time_is_taken_on_the_clock_of_the_site(save, site, as_operator):
    earlier = timezone.localtime(timezone.now() - timedelta(hours=2))
    site.time_zone = "America/Denver"
    site.save()
    there = earlier.astimezone(ZoneInfo("America/Denver"))
    kept = save("71", at=there.strftime("%Y-%m-%dT%H:%M"))

    assert abs(kept.at - earlier) < timedelta(minutes=1)


def test_an_entry_without_the_code_of_its_form_is_refused_and_stays(as_operator, alder):
    address = reverse("supply:read", kwargs={"code": alder.code})
    reply = as_operator.post(address, {"number": "71", "unit": "bar", "code": "x"})

    assert reply.status_code == 422
    assert 'value="71"' in reply.content.decode()
    assert not Reading.objects.exists()


@pytest.mark.parametrize(
    ("bar", "why"),
    [
        # From 100 bar two hours ago, nothing running: ten times less; one and a half times more.
        (10.0, "a slip of ten"),
        (150.0, "a rise"),
    ],
)
def test_an_unlikely_reading_is_kept_asked_about_and_used_in_no_sum_until_answered(
    alder, read, operator, bar, why
):
    read(alder, 100.0, hours_ago=2.0)
    kept = read(alder, bar)

    assert kept.asked, why
    assert kept.asked.strip().endswith(("?", "."))
    assert waiting(alder) == kept
    assert kept not in in_force(alder)
    reading_answer(reading=kept, said="It is what the needle shows", by=operator)
    assert waiting(alder) is None
    assert in_force(alder).first() == kept


@pytest.mark.parametrize("bar", [100.0, 99.0, 101.0, 97.0])
def test_a_reading_within_the_error_of_gauge_and_room_is_kept_in_silence(alder, read, bar):
    read(alder, 100.0, hours_ago=1.0)

    assert read(alder, bar).asked == ""


@pytest.mark.parametrize(
    ("bar", "is_asked"),
    # Ten times 9.5 bar would be a cylinder in use; ten times 3 bar is far from any full one.
    [(137.0, False), (100.0, False), (9.5, True), (3.0, False)],
)
def test_the_first_reading_is_held_against_what_a_full_one_shows(alder, read, bar, is_asked):
    assert bool(read(alder, bar).asked) is is_asked


def test_psi_typed_as_bar_below_the_test_pressure_is_asked_about(alder, read, operator):
    """10 bar are 145 psi; written down as 145 bar they are 14.5 times as much."""
    low = read(alder, 10.0, hours_ago=1.0)
    reading_answer(reading=low, said="It is what the needle shows", by=operator)
    kept = read(alder, 145.0)

    assert kept.typed == "145 bar"
    assert "10 bar" in kept.asked


def test_an_answer_that_it_was_another_cylinder_leaves_a_note(as_operator, alder, read):
    read(alder, 100.0, hours_ago=2.0)
    asked = read(alder, 10.0)
    as_operator.post(reverse("supply:said", kwargs={"code": asked.code}), {"choice": "other"})

    note = Reading.objects.get(amends=asked)
    assert not note.counts
    assert (note.typed, note.gauge_kpa, note.at) == (asked.typed, asked.gauge_kpa, asked.at)
    assert [one.typed for one in in_force(alder)] == ["100 bar"]


def test_every_reading_ever_made_is_still_there(alder, read, operator, save):
    """Amended, noted, late, doubtful: seven numbers were typed, seven can be read."""
    first = read(alder, 100.0, hours_ago=5.0)
    read(alder, 96.0, hours_ago=3.0)
    save("98", at=(timezone.localtime() - timedelta(hours=4)).strftime("%Y-%m-%dT%H:%M"))
    doubtful = read(alder, 9.0)
    reading_set_aside(reading=doubtful, reason="Another cylinder.", by=operator)
    better = Seen(typed="101 bar", at=first.at, gauge_kpa=10_100.0)
    reading_amend(reading=first, seen=better, reason="Read the wrong mark.", by=operator)

    kept = list(Reading.objects.values_list("typed", flat=True))
    assert sorted(kept) == sorted(["100 bar", "96 bar", "98 bar", "9 bar", "9 bar", "101 bar"])
    assert [one.typed for one in in_force(alder)] == ["96 bar", "98 bar", "101 bar"]
    first.refresh_from_db()
    assert (first.typed, first.gauge_kpa, first.reason) == ("100 bar", 10_000.0, "")


def test_an_amendment_of_an_early_reading_is_not_late_by_itself(alder, read, operator):
    first = read(alder, 100.0, hours_ago=5.0)
    read(alder, 96.0, hours_ago=1.0)
    better = Seen(typed="101 bar", at=first.at, gauge_kpa=10_100.0)
    moved = Seen(typed="101 bar", at=first.at + timedelta(hours=1), gauge_kpa=10_100.0)
    kept = reading_amend(reading=first, seen=better, reason="Wrong mark.", by=operator)

    assert not kept.is_late
    again = reading_amend(reading=kept, seen=moved, reason="Wrong time.", by=operator)
    assert again.is_late


@pytest.mark.parametrize(
    ("seen", "match"),
    [
        ({}, "either what the gauge shows or what the scale shows"),
        ({"gauge_kpa": 100.0, "weight_kg": 7.0}, "either what the gauge shows"),
    ],
)
def test_a_reading_is_of_one_instrument(alder, operator, seen, match):
    with pytest.raises(RuleBroken, match=match):
        reading_save(cylinder=alder, seen=Seen(typed="?", at=timezone.now(), **seen), by=operator)


@pytest.mark.parametrize("kpa", [float("nan"), float("inf"), -1.0])
def test_what_is_no_number_never_reaches_the_base(alder, operator, kpa):
    with pytest.raises(UllageError, match=r"gauge"):
        reading_save(
            cylinder=alder, seen=Seen(typed="?", at=timezone.now(), gauge_kpa=kpa), by=operator
        )
    assert not Reading.objects.exists()
