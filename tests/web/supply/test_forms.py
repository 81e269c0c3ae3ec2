"""What people type at a gauge, in any unit they think in, becomes the same reading."""

from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ullage.answers import things
from ullage.web.supply.forms import (
    AmendForm,
    CheckForm,
    IdentifyForm,
    NeedleForm,
    ReadingForm,
    ReceiveForm,
    SealForm,
    SourceForm,
)
from ullage.web.supply.forms.cylinders import assumed_scale_kpa, region_of, size_meant

pytestmark = pytest.mark.web

OXYGEN = things.Cylinder(gas=things.Gas.OXYGEN, water_capacity_l=4.7, full_scale_kpa=25_000.0)
NITROUS = things.Cylinder(gas=things.Gas.NITROUS_OXIDE, water_capacity_l=4.7, tare_kg=6.0)
KPA = {"bar": 100.0, "psi": 6.894757293168361, "MPa": 1000.0}

no_reset = settings(
    deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def reading(site, thing=OXYGEN, **typed):
    known = {"number": "71", "unit": site.pressure_unit, "code": str(uuid4())}
    return ReadingForm({**known, **typed}, site=site, thing=thing)


def units(form):
    return [value for value, _ in form.fields["unit"].choices]


@pytest.mark.parametrize(
    ("own", "offered"),
    [
        ("bar", ["bar", "psi", "MPa"]),
        ("psi", ["psi", "bar", "MPa"]),
        ("kPa", ["kPa", "bar", "psi", "MPa"]),
        ("kgf/cm²", ["kgf/cm²", "bar", "psi", "MPa"]),
    ],
)
def test_the_unit_of_the_site_comes_first(own, offered, site):
    site.pressure_unit = own

    assert units(reading(site)) == offered


def test_a_scale_speaks_kilograms_first_and_its_needle_pressures_only(site):
    assert units(reading(site, thing=NITROUS)) == ["kg", "lb", "bar"]
    assert units(NeedleForm(site=site, thing=NITROUS)) == ["bar", "psi", "MPa"]


@pytest.mark.parametrize(
    ("typed", "gauge_kpa", "kept"),
    [
        ({"number": "71"}, 7100.0, "71 bar"),
        ({"number": "71.5"}, 7150.0, "71.5 bar"),
        ({"number": "71,5"}, 7150.0, "71,5 bar"),
        ({"number": " 71 "}, 7100.0, "71 bar"),
        ({"number": "1030", "unit": "psi"}, 1030 * 6.894757293168361, "1030 psi"),
        ({"number": "1,900", "unit": "psi"}, 1900 * 6.894757293168361, "1,900 psi"),
        ({"number": "13.7", "unit": "MPa"}, 13_700.0, "13.7 MPa"),
        ({"number": "1900 psig"}, 1900 * 6.894757293168361, "1900 psig"),
        ({"number": "13.7 MPa"}, 13_700.0, "13.7 MPa"),
        ({"number": "0"}, 0.0, "0 bar"),
    ],
)
def test_a_gauge_is_read_as_people_write_it(typed, gauge_kpa, kept, site):
    form = reading(site, **typed)

    assert form.is_valid(), form.errors
    assert form.seen()["gauge_kpa"] == pytest.approx(gauge_kpa)
    assert form.seen()["typed"] == kept


@pytest.mark.parametrize(
    ("number", "unit", "weight_kg"),
    [("7.6", "kg", 7.6), ("16.8", "lb", 16.8 * 0.45359237), ("7600 g", "kg", 7.6)],
)
def test_a_scale_is_read_as_people_write_it(number, unit, weight_kg, site):
    form = reading(site, thing=NITROUS, number=number, unit=unit)

    assert form.is_valid(), form.errors
    assert form.seen()["weight_kg"] == pytest.approx(weight_kg)
    assert "gauge_kpa" not in form.seen()


@no_reset
@given(st.floats(0, 240).map(lambda bar: round(bar, 1)), st.sampled_from(sorted(KPA)))
def test_one_pressure_in_any_unit_is_one_reading(site, bar, unit):
    number = f"{bar * 100.0 / KPA[unit]:.10g}"
    form = reading(site, number=number, unit=unit)

    assert form.is_valid(), form.errors
    assert form.seen()["gauge_kpa"] == pytest.approx(bar * 100.0, abs=1e-4)


@no_reset
@given(st.floats(allow_nan=True, allow_infinity=True))
def test_no_number_at_all_ends_in_an_error_of_the_server(site, number):
    form = reading(site, number=repr(number))

    if form.is_valid():
        assert 0.0 <= form.seen()["gauge_kpa"] <= 25_000.0 * 1.001
    else:
        assert form.errors["number"]


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"number": "260"}, "past the end of its scale at 250 bar"),
        ({"number": "4000", "unit": "psi"}, "past the end of its scale at 3626 psi"),
        ({"number": "-1"}, "a gauge reads 0 or more"),
        ({"number": "71 L"}, "is not a unit of pressure"),
        ({"number": "mPa"}, "is not a pressure"),
    ],
)
def test_a_refusal_speaks_the_unit_that_was_typed(typed, sentence, site):
    form = reading(site, **typed)

    assert not form.is_valid()
    assert sentence in " ".join(form.errors["number"]).replace("\u202f", "")


def test_the_time_of_an_entry_is_on_the_clock_of_the_site(site):
    from zoneinfo import ZoneInfo

    from django.utils import timezone

    with timezone.override(ZoneInfo("America/Denver")):
        form = reading(site, at="2026-06-09T07:52")
        assert form.is_valid(), form.errors

    assert form.seen()["at"].astimezone(ZoneInfo("UTC")).hour == 13


def test_a_form_made_twice_has_two_codes(site):
    one, other = (ReadingForm(site=site, thing=OXYGEN) for _ in range(2))

    assert one["code"].value() != other["code"].value()


def test_an_amendment_asks_for_its_reason(site):
    form = AmendForm(
        {"number": "71", "unit": "bar", "code": str(uuid4()), "reason": "  "},
        site=site,
        thing=OXYGEN,
    )

    assert not form.is_valid()
    assert "first reading stays readable" in form.errors["reason"][0]


# ---- what stamp and label say


@pytest.mark.parametrize(
    ("country", "region"), [("US", "US"), ("GB", "UK/ISO"), ("DE", "UK/ISO"), ("CN", "China")]
)
def test_letters_are_those_of_the_country(country, region, site):
    site.country = country

    assert region_of(site) == region


def test_a_letter_is_taken_from_the_own_region_where_it_has_one():
    assert size_meant("E", None, "UK/ISO").region == "UK/ISO"
    assert size_meant("E", None, "US").region == "US"
    assert size_meant("E", "US", "UK/ISO").region == "US"
    assert size_meant("HX", None, "US").region == "UK/ISO"


def test_an_unread_scale_is_the_usual_one_or_reaches_beyond_the_fill():
    usual = 3000 * 6.894757293168361

    assert assumed_scale_kpa(None) == pytest.approx(usual)
    assert assumed_scale_kpa(13_700.0) == pytest.approx(usual)
    assert assumed_scale_kpa(23_000.0) == pytest.approx(34_500.0)


@no_reset
@given(st.floats(0.5, 100), st.floats(20, 230))
def test_a_label_made_from_a_capacity_gives_that_capacity_back(site, capacity_l, fill_bar):
    from ullage.answers import cylinder_contents
    from ullage.web.supply.forms.cylinders import label_place

    thing = things.Cylinder(
        gas=things.Gas.OXYGEN, water_capacity_l=capacity_l, full_scale_kpa=40_000.0
    )
    held = cylinder_contents(
        thing, things.Reading(at_min=0.0, gauge_kpa=fill_bar * 100), label_place(site)
    )
    typed = {"name": "Yew", "gas": "oxygen", "capacity_known": "label"}
    typed |= {"label_l": f"{held.value:.9g}", "fill_gauge": f"{fill_bar:.9g} bar"}
    form = ReceiveForm(typed, site=site)

    assert form.is_valid(), form.errors
    assert form.facts()["water_capacity_l"] == pytest.approx(capacity_l, rel=1e-4)


def test_what_nobody_read_stays_empty(site):
    form = ReceiveForm(
        {"name": "Yew", "gas": "oxygen", "capacity_known": "stamp", "water_capacity": "10"},
        site=site,
    )
    assert form.is_valid(), form.errors

    facts = form.facts()
    unread = ("label_l", "fill_gauge_kpa", "test_pressure_kpa", "test_due", "tare_kg")
    assert {facts[name] for name in unread} == {None}
    assert facts["gauge_error_share"] is None
    assert form.chosen_room() is None


def test_the_class_of_the_gauge_becomes_its_share(site):
    typed = {"name": "Yew", "gas": "oxygen", "capacity_known": "stamp", "water_capacity": "10"}
    form = ReceiveForm({**typed, "gauge_error_share": "0.016"}, site=site)

    assert form.is_valid(), form.errors
    assert form.facts()["gauge_error_share"] == 0.016


# ---- steps and sources


def test_a_check_that_was_not_looked_at_is_no_check(site):
    form = CheckForm({"cylinder": str(uuid4()), "label_gas": "oxygen"}, full_ones=[])

    assert not form.is_valid()
    for name in ("label_agrees", "size_agrees", "outlet_clean"):
        assert form.errors[name] == ["Look at it, then answer."]


@pytest.mark.parametrize(
    ("typed", "fine"),
    [
        ({"seal": "new"}, True),
        ({"seal": "old", "reason": "No new one."}, True),
        ({"seal": "old"}, False),
        ({"seal": "both"}, False),
    ],
)
def test_exactly_one_seal_and_a_reason_for_an_old_one(typed, fine):
    assert SealForm(typed).is_valid() is fine


@pytest.mark.parametrize("kind", ["concentrator", "liquid"])
def test_a_concentrator_and_a_tank_give_oxygen_only(kind, site):
    form = SourceForm(site=site, kind=kind, machines=[], before=[])

    assert [value for value, _ in form.fields["gas"].choices] == ["oxygen"]


def test_a_share_is_typed_in_percent(site):
    typed = {"name": "Tank", "gas": "oxygen", "liquid_l": "40", "daily_loss_percent": "1.5"}
    form = SourceForm(typed, site=site, kind="liquid", machines=[], before=[])

    assert form.is_valid(), form.errors
    assert form.facts()["daily_loss_share"] == pytest.approx(0.015)
    assert form.facts()["liquid_l"] == 40.0


def test_a_trapped_volume_is_typed_in_millilitres(site):
    typed = {"name": "Wren", "gas": "oxygen", "trapped_ml": "20"}
    form = SourceForm(typed, site=site, kind="cylinder", machines=[], before=[])

    assert form.is_valid(), form.errors
    assert form.facts()["trapped_ml"] == pytest.approx(20.0)


def test_lengths_are_taken_in_inches_in_the_us_and_in_centimetres_elsewhere(site):
    metric = IdentifyForm({"height": "76"}, site=site)
    site.country = "US"
    customary = IdentifyForm({"height": "30"}, site=site)

    assert metric.is_valid()
    assert customary.is_valid()
    assert metric.clues()["height_m"] == pytest.approx(0.76)
    assert customary.clues()["height_m"] == pytest.approx(0.762)
