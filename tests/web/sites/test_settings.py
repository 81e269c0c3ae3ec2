"""Settings of a site: seen by all, changed by those who may, with every change kept."""

import pytest
from django.urls import reverse

from ullage.web.sites.models import Site, SiteChange

pytestmark = [pytest.mark.web, pytest.mark.django_db]

PLACE = {
    "name": "Fennel Lane",
    "elevation_m": "60",
    "barometric_kpa": "",
    "temperature_k": "20",
    "country": "GB",
    "time_zone": "Europe/London",
}
RESERVE = {"reserve_kpa": "", "reserve_l": "", "reserve_min": "", "begin_kpa": ""}


@pytest.fixture
def settings_page():
    return reverse("sites:settings")


def section(name: str) -> str:
    return reverse("sites:section", args=[name])


def test_settings_say_what_they_come_to(as_viewer, settings_page):
    shown = as_viewer.get(settings_page).content.decode()

    assert "What is the air pressure here?" in shown
    assert "A proposal, since this site has no rule yet: 200 psi" in shown
    assert "Change place" not in shown


def test_a_site_without_a_height_is_asked_for_it(as_lead, site, settings_page):
    Site.objects.update(elevation_m=None)

    shown = as_lead.get(settings_page).content.decode()

    assert "No answer yet: How high above the sea is this site" in shown


def test_the_air_of_a_high_site_is_that_of_the_standard_atmosphere(as_lead, site, settings_page):
    Site.objects.update(elevation_m=1900.0)

    # ICAO standard atmosphere, 1900 m: 805 hPa to three figures, by its defining formula.
    assert '<span class="num">805</span><span class="unit">hPa</span>' in (
        as_lead.get(settings_page).content.decode()
    )


def test_a_barometer_that_does_not_fit_the_height_is_asked_about(as_lead, site, settings_page):
    Site.objects.update(elevation_m=1900.0, barometric_kpa=101.3)

    shown = as_lead.get(settings_page).content.decode()

    assert "does not fit 1\u202f900 m above the sea" in shown
    assert "Look again" in shown


@pytest.mark.parametrize("name", ["place", "units", "reserve", "readings", "storage"])
def test_every_part_opens_for_a_lead_with_what_is_stored(as_lead, name):
    assert as_lead.get(section(name)).status_code == 200


@pytest.mark.parametrize("name", ["place", "reserve"])
@pytest.mark.parametrize("who", ["as_viewer", "as_operator"])
def test_too_small_a_role_is_told_who_may(request, name, who):
    response = request.getfixturevalue(who).post(section(name), PLACE | RESERVE)

    assert response.status_code == 403
    assert "A lead or a veterinarian can." in response.content.decode()


def test_a_part_that_is_not_there(as_lead):
    assert as_lead.get(section("weather")).status_code == 404


def test_another_method_is_refused(as_lead):
    assert as_lead.delete(section("place")).status_code == 405


def test_a_stranger_changes_only_their_own_site(as_stranger, site, other_site):
    as_stranger.post(section("place"), PLACE | {"name": "Renamed"})

    assert Site.objects.get(pk=site.pk).name == "Fennel Lane"
    assert Site.objects.get(pk=other_site.pk).name == "Renamed"


def test_a_pressure_is_kept_in_the_unit_people_think_in_or_any_other(as_lead, site):
    as_lead.post(section("reserve"), RESERVE | {"reserve_kpa": "14", "begin_kpa": "1000 psi"})

    site.refresh_from_db()
    assert site.reserve_kpa == pytest.approx(1400.0)
    # 1 psi is 6.894757 kPa: definitions of the pound, the inch and standard gravity.
    assert site.begin_kpa == pytest.approx(6894.757, rel=1e-6)


def test_the_rule_replaces_the_proposal(as_lead, settings_page):
    as_lead.post(section("reserve"), RESERVE | {"reserve_min": "20"})

    shown = as_lead.get(settings_page).content.decode()
    assert "Kept back by the rule of this site" in shown
    assert "A proposal" not in shown


def test_each_change_is_kept_with_who_and_what_it_was(as_lead, lead, site):
    as_lead.post(section("reserve"), RESERVE | {"reserve_kpa": "14"})
    as_lead.post(section("reserve"), RESERVE | {"reserve_kpa": "20"})

    kept = SiteChange.objects.filter(site=site).first()
    shown = as_lead.get(section("reserve")).content.decode()
    assert (kept.by, kept.before, kept.after) == (
        lead,
        {"reserve_kpa": 1400.0},
        {"reserve_kpa": 2000.0},
    )
    assert "<del>14 bar</del> <b>20 bar</b>" in shown
    assert "<del>not set</del> <b>14 bar</b>" in shown


def test_saving_what_is_shown_changes_nothing_not_even_the_last_digit(as_lead, site):
    Site.objects.update(reserve_kpa=1378.951458633, temperature_k=294.261111111)
    shown = as_lead.get(section("reserve")).context["form"]
    typed = {name: shown[name].value() or "" for name in RESERVE}
    placed = as_lead.get(section("place")).context["form"]
    where = {name: placed[name].value() or "" for name in PLACE}

    as_lead.post(section("reserve"), typed)
    as_lead.post(section("place"), where)

    site.refresh_from_db()
    assert site.reserve_kpa == 1378.951458633
    assert site.temperature_k == 294.261111111
    assert not SiteChange.objects.exists()


def test_a_site_in_fahrenheit_and_psi_types_and_reads_them(as_lead, site):
    Site.objects.update(temperature_unit="°F", pressure_unit="psi")

    as_lead.post(section("place"), PLACE | {"temperature_k": "70"})

    site.refresh_from_db()
    # 70 °F is 294.26 K: (70 - 32) / 1.8 + 273.15.
    assert site.temperature_k == pytest.approx(294.2611, abs=1e-4)
    assert 'value="70"' in as_lead.get(section("place")).content.decode()


@pytest.mark.parametrize(
    ("name", "typed", "sentence"),
    [
        ("place", PLACE | {"barometric_kpa": "29.9 ells"}, "is not a unit of pressure"),
        ("place", PLACE | {"barometric_kpa": "1.01"}, "must be between 500 and 1100 hPa"),
        ("place", PLACE | {"elevation_m": "-600"}, "must be between -450 and 5500 m"),
        ("place", PLACE | {"temperature_k": ""}, "This field is required"),
        ("reserve", RESERVE | {"reserve_kpa": "-1"}, "must be between 0 and 100 bar"),
        ("reserve", RESERVE | {"reserve_kpa": "nan"}, "is not a pressure"),
        ("reserve", RESERVE | {"reserve_l": "inf"}, "is not a volume"),
        (
            "readings",
            {"reading_interval_min": "1 s", "reading_stale_h": "24"},
            "must be between 5 and 480 min",
        ),
    ],
)
def test_what_cannot_be_is_refused_and_kept_as_typed(as_lead, site, name, typed, sentence):
    response = as_lead.post(section(name), typed)
    shown = response.content.decode()

    assert response.status_code == 422
    assert sentence in shown
    assert 'aria-invalid="true"' in shown
    assert not SiteChange.objects.exists()
    for value in filter(None, typed.values()):
        assert f'value="{value}"' in shown


def test_a_time_zone_that_is_not_there_is_refused(as_lead, site):
    response = as_lead.post(section("place"), PLACE | {"time_zone": "Mars/Olympus"})

    assert response.status_code == 422
    assert "Mars/Olympus is not one of the available choices" in response.content.decode()


def test_intervals_are_kept_as_whole_minutes_and_hours(as_lead, site):
    as_lead.post(section("readings"), {"reading_interval_min": "20 min", "reading_stale_h": "2 d"})

    site.refresh_from_db()
    assert (site.reading_interval_min, site.reading_stale_h) == (20, 48)
    assert "<del>24 h</del> <b>48 h</b>" in as_lead.get(section("readings")).content.decode()


def test_a_storage_code_is_one_that_is_known_or_none(as_lead, site, settings_page):
    as_lead.post(section("storage"), {"storage_code": "nfpa99"})

    assert "NFPA 99, a smoke compartment" in as_lead.get(settings_page).content.decode()
    assert as_lead.post(section("storage"), {"storage_code": "mine"}).status_code == 422


def test_units_change_what_pages_show(as_lead, settings_page):
    as_lead.post(
        section("units"),
        {
            "pressure_unit": "psi",
            "temperature_unit": "°F",
            "condition": "70F",
            "gas_colours": "us",
        },
    )

    shown = as_lead.get(settings_page).content.decode()
    assert "pressure in psi" in shown
    assert "gas--o2-us" in shown
    assert "68 °F" in shown
