"""Limits in the air, side by side as bodies and countries print them."""

import pytest

from ullage.core.errors import UnknownReference
from ullage.reference import HowKnown, sourced, table
from ullage.reference.exposure_limits import (
    LimitKind,
    exposure_limit,
    exposure_limits,
    no_limit_words,
)
from ullage.reference.side_by_side import conflict


# ACGIH since 2022 (AIHA course), California (thesis record), NIOSH for nitrous oxide (OSHA).
@pytest.mark.published("machine_S115")
@pytest.mark.parametrize(
    ("key", "agent", "level", "kind", "year"),
    [
        ("acgih_isoflurane", "isoflurane", 50.0, LimitKind.DAY, "2022"),
        ("california_isoflurane", "isoflurane", 2.0, LimitKind.DAY, ""),
        ("niosh_by_custom", "isoflurane", 2.0, LimitKind.CEILING, "1977"),
        ("niosh_nitrous_oxide", "nitrous oxide", 25.0, LimitKind.TASK, ""),
        ("niosh_with_nitrous_oxide", "isoflurane", 0.5, LimitKind.CEILING, ""),
        ("uk_wel", "isoflurane", 50.0, LimitKind.DAY, ""),
        ("uk_wel_nitrous_oxide", "nitrous oxide", 100.0, LimitKind.DAY, ""),
    ],
)
def test_a_limit_is_the_printed_one(key, agent, level, kind, year):
    found = exposure_limit(key)

    assert (found.level_ppm(agent), found.kind, found.year) == (level, kind, year)
    assert agent in found.agents
    assert found.row.how_known is HowKnown.SEEN


# EH40 prints 50 ppm and 383 mg/m³; the Dutch page 153 mg/m³ and 20 ppm, and twice that in 15 min.
@pytest.mark.published("machine_S120")
def test_both_units_of_a_limit_belong_to_its_own_temperature():
    assert exposure_limit("uk_wel").mass_mg_m3("isoflurane") == pytest.approx(383.0, abs=1.0)
    dutch, short = exposure_limit("netherlands"), exposure_limit("netherlands_short")
    assert dutch.level_ppm("isoflurane") == pytest.approx(20.0, abs=0.1)
    assert short.mass_mg_m3("isoflurane") == 2.0 * dutch.mass_mg_m3("isoflurane")
    assert dutch.row.unit == "mg/m³"


# NIOSH 77-140 prints 16.15 and 15.1 mg/m³ beside 2 ppm.
@pytest.mark.published("machine_S110")
@pytest.mark.parametrize(("agent", "printed"), [("halothane", 16.15), ("enflurane", 15.1)])
def test_the_us_limit_in_mass(agent, printed):
    limit = exposure_limit("niosh_halogenated")

    assert limit.mass_mg_m3(agent) == pytest.approx(printed, abs=0.02)


def test_every_side_of_the_conflict_is_offered():
    offered = {round(one.level_ppm("isoflurane")) for one in exposure_limits("isoflurane")}

    assert {2, 10, 20, 50} <= offered
    assert {"2 ppm ceiling", "2 ppm 8-h mean", "10 ppm", "20 ppm", "50 ppm"} <= set(
        conflict("K-32").values
    )
    assert any("no limit" in one.text for one in no_limit_words())


def test_the_limits_of_the_country_stand_first():
    assert exposure_limits("isoflurane", "NL")[0].country == "NL"
    assert exposure_limits("isoflurane", "US")[0].country == "US"
    assert len(exposure_limits("isoflurane", "NL")) == len(exposure_limits("isoflurane"))


def test_what_is_recalled_says_so():
    for key in ("sweden", "finland", "switzerland", "norway", "denmark", "uk_wel_halothane"):
        row = exposure_limit(key).row
        assert (row.how_known, row.source) == (HowKnown.MEMORY, "waste_memory")
    assert sourced("waste", "mixing.high").how_known is HowKnown.MEMORY


def test_a_limit_nobody_set_is_refused_by_name():
    with pytest.raises(UnknownReference, match=r"No limit 'osha'\. Limits: acgih_"):
        exposure_limit("osha")


def test_an_agent_without_limits_has_none():
    assert exposure_limits("xenon") == ()


# Passive relief as three texts print it (conflict K-34).
@pytest.mark.published("machine_S145")
def test_three_texts_differ_about_relief():
    sides = [
        tuple(sourced("waste", f"relief.{one}.{end}_cmh2o").value for end in ("high", "low"))
        for one in "abc"
    ]

    assert sides == [(10.0, -0.5), (5.0, -0.5), (5.0, -0.25)]
    assert conflict("K-34").values == tuple(f"+{a:g}/{b:g} cmH2O" for a, b in sides)


def test_cuts_are_worked_out_from_what_was_measured():
    cut = {key: sourced("waste", f"cut.{key}_percent").value for key in ("extracted_mask", "mask")}

    assert cut["extracted_mask"] == pytest.approx(100.0 * (1.0 - 5.0 / 250.0))
    assert cut["mask"] == pytest.approx(100.0 * (1.0 - 9.5 / 100.0))
    scavenged = 100.0 * (1.0 - 7.2 / 31.0 * 0.5 / 2.5)
    assert sourced("waste", "cut.scavenged_percent").value == pytest.approx(scavenged, abs=0.05)
    assert "measured.hood" in table("waste")
