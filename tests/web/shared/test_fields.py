"""Entry of quantities in the unit people think in, or with any unit typed."""

import pytest
from django import forms
from hypothesis import given
from hypothesis import strategies as st

from ullage.core.units import KINDS, read_quantity
from ullage.web.shared.fields import QuantityField, Within, entry_text
from ullage.web.shared.forms import SiteForm
from ullage.web.sites.models import Site

pytestmark = pytest.mark.web

PSI_SITE = Site(name="High Saddle", pressure_unit="psi", temperature_unit="°F")


class Gauge(SiteForm):
    gauge = QuantityField("pressure", allowed=Within(0, 230, "bar"), label="Gauge")
    room = QuantityField("temperature", label="Room", required=False)
    air = QuantityField("pressure", unit="hPa", label="Air", required=False)


def test_a_plain_number_is_in_the_unit_of_the_site():
    form = Gauge({"gauge": "1900", "room": "70", "air": "1013"}, site=PSI_SITE)

    assert form.is_valid()
    # 1900 psi is 13 100.04 kPa and 70 °F is 294.261 K by definition.
    assert form.cleaned_data["gauge"] == pytest.approx(13_100.04, abs=0.01)
    assert form.cleaned_data["room"] == pytest.approx(294.2611, abs=1e-4)
    assert form.cleaned_data["air"] == pytest.approx(101.3)


def test_a_unit_that_is_typed_comes_before_the_unit_of_the_site():
    form = Gauge({"gauge": "131 bar"}, site=PSI_SITE)

    assert form.is_valid()
    assert form.cleaned_data["gauge"] == pytest.approx(13_100.0)


def test_the_unit_stands_behind_the_entry():
    shown = str(Gauge(site=PSI_SITE))

    assert '<span class="sfx">psi</span>' in shown
    assert '<span class="sfx">hPa</span>' in shown


def test_nothing_typed_is_none_where_it_may_be_and_a_sentence_where_not():
    form = Gauge({"room": ""}, site=PSI_SITE)

    assert not form.is_valid()
    assert form.cleaned_data["room"] is None
    assert form.errors["gauge"] == ["This field is required."]


@pytest.mark.parametrize("typed", ["nan", "inf", "-inf", "1e999", "twelve", "psi"])
def test_what_is_no_number_is_refused(typed):
    with pytest.raises(forms.ValidationError, match="is not a pressure"):
        QuantityField("pressure", unit="bar").clean(typed)


def test_what_is_outside_is_refused_in_the_words_typed_and_with_what_is_allowed():
    field = QuantityField("pressure", unit="psi", allowed=Within(0, 230, "bar"), label="Gauge")

    with pytest.raises(
        forms.ValidationError, match=r"typed as 4000; it must be between 0 and 230 bar\."
    ):
        field.clean("4000")


def test_an_error_stands_under_the_field_and_in_the_list_on_top():
    shown = str(Gauge({"gauge": "400 bar"}, site=PSI_SITE))

    assert "One thing to mend before this saves" in shown
    assert '<a href="#id_gauge">Gauge</a>' in shown
    assert 'id="id_gauge_error"' in shown
    assert 'aria-describedby="id_gauge_error"' in shown
    assert 'value="400 bar"' in shown


@pytest.mark.parametrize(
    ("value", "kind", "unit", "text"),
    [
        (1378.9514586336722, "pressure", "psi", "200"),
        (1400.0, "pressure", "bar", "14"),
        (293.15, "temperature", "°C", "20"),
        (0.0005, "flow", "mL/min", "0.5"),
        (0.00001, "flow", "L/min", "0.00001"),
        (0.1, "share", "%", "10"),
        (0.3125, "pressure", "hPa", "3.1250"),
    ],
)
def test_a_stored_number_stands_as_it_would_be_typed(value, kind, unit, text):
    assert entry_text(value, kind, unit) == text


@given(
    value=st.floats(min_value=0.01, max_value=1e6),
    unit=st.sampled_from([unit for unit in KINDS["pressure"] if unit != "Pa"]),
)
def test_what_is_shown_reads_back_to_six_figures(value, unit):
    shown = entry_text(value, "pressure", unit)

    assert read_quantity(shown, "pressure", unit=unit) == pytest.approx(value, rel=1e-5, abs=1e-4)


def test_a_number_left_as_shown_keeps_its_last_digit():
    stored = 1234.567890123
    shown = QuantityField("pressure", unit="bar").prepare_value(stored)
    form = Gauge({"gauge": shown}, initial={"gauge": stored}, site=Site(pressure_unit="bar"))

    assert form.is_valid()
    assert form.cleaned_data["gauge"] == stored
    assert "gauge" not in form.changed_data


def test_stored_values_are_read_out_in_words():
    form = Gauge(site=PSI_SITE)

    assert form.words("gauge", 13_100.04) == "1900 psi"
    assert form.words("room", None) == "not set"
