"""A day plan written as TOML: what is read, and how each slip is named by line and key."""

from pathlib import Path

import pytest

from ullage.answers import day_supply
from ullage.answers.dayfile import day_from_toml
from ullage.answers.plan import Drive, SourceKind
from ullage.answers.toml_lines import line_of
from ullage.core.errors import PlanUnreadable
from ullage.core.gas import F70, Gas

EXAMPLE = Path(__file__).parents[2] / "examples" / "day.toml"

SMALL = """\
[day]
name = "Fennel Lane"
elevation = "60 m"

[[machines]]
name = "Wren"

[[sources]]
name = "Alder"
feeds = "Wren"
size = "E"
gauge = "71 bar"
read = "07:52"

[[cases]]
name = "Clover"
machine = "Wren"
start = "10:30"
phases = [
    { name = "prepare", minutes = "20 min", oxygen = "1.7 L/min" },
    { name = "operate", minutes = "75 min", oxygen = "1.7 L/min" },
]
"""


def with_line(old, new):
    assert old in SMALL
    return SMALL.replace(old, new)


def test_the_small_plan_is_read_in_our_units():
    plan = day_from_toml(SMALL)
    alder, clover = plan.sources[0], plan.cases[0]

    assert plan.name == "Fennel Lane"
    assert plan.place.barometric_kpa == pytest.approx(100.6, abs=0.1)
    assert alder.cylinders[0].reading.gauge_kpa == pytest.approx(7100.0)
    assert alder.cylinders[0].reading.at_min == 472.0
    assert alder.cylinders[0].cylinder.water_capacity_l == 4.76
    assert (clover.start_min, clover.end_min) == (630.0, 725.0)
    assert [phase.name for phase in clover.phases] == ["prepare", "operate"]


def test_the_example_is_read_whole_and_answers():
    plan = day_from_toml(EXAMPLE.read_text(encoding="utf-8"))
    kinds = {source.kind for source in plan.sources}
    heron = next(one for one in plan.machines if one.name == "Heron")
    bracken = next(one for one in plan.cases if one.name == "Bracken")

    assert kinds >= {SourceKind.CYLINDER, SourceKind.SEQUENCE, SourceKind.MANIFOLD}
    assert kinds >= {SourceKind.PIPELINE, SourceKind.CONCENTRATOR}
    assert heron.ventilator is Drive.OXYGEN
    assert bracken.phases[1].nitrous_oxide_l_min == 1.2
    assert bracken.ventilation.phases == ("procedure",)
    assert (
        day_supply(plan, draws=64).source("Alder").lasts_until.todo
        == "Fit a full one before Sorrel."
    )


def test_a_case_may_be_one_duration_with_its_flows():
    short = SMALL[: SMALL.index("phases")] + 'duration = "1 h 35"\noxygen = "1,7 L/min"\n'
    case = day_from_toml(short).cases[0]

    assert case.minutes == 95.0
    assert case.phases[0].oxygen_l_min == 1.7


def test_everything_that_may_be_told_of_a_case_is_kept():
    told = SMALL + (
        'species = "rabbit"\nweight = "3400 g"\nsystem = "T-piece"\nflushes = 2\nchecked = true\n'
        'duration_error = "5 %"\n[cases.chamber]\nvolume = "10 L"\nfills = 2\npurges = 0\n'
        '[cases.ventilation]\nminute_volume = "600 mL/min"\n'
    )
    case = day_from_toml(told).cases[0]

    assert (case.species, case.weight_kg, case.system) == ("rabbit", 3.4, "T-piece")
    assert (case.flushes, case.checked, case.minutes_sd_share) == (2, True, 0.05)
    assert (case.chamber.volume_l, case.chamber.fills, case.chamber.purges) == (10.0, 2, 0)
    assert case.ventilation.minute_volume_l_min == pytest.approx(0.6)


def test_a_place_may_be_told_by_its_barometer_its_warmth_and_its_litres():
    told = with_line(
        'elevation = "60 m"',
        'barometer = "805 hPa"\ntemperature = "68 F"\nlitres = "70F"\n'
        'pressure_unit = "psi"\nnow = 09:31:00',
    )
    plan = day_from_toml(told)

    assert plan.place.barometric_kpa == pytest.approx(80.5)
    assert plan.place.temperature_k == pytest.approx(293.15)
    assert (plan.place.temperature_given, plan.place.temperature_band_k) == (True, 1.0)
    assert (plan.place.condition, plan.place.pressure_unit) == (F70, "psi")
    assert plan.now_min == 571.0


def test_a_liquefied_gas_is_planned_by_its_weight():
    told = SMALL + (
        '[[sources]]\nname = "Juniper"\ngas = "nitrous oxide"\nfeeds = "Wren"\nwater = "4.7 L"\n'
        'weight = "7.9 kg"\ntare = "6.2 kg"\n'
    )
    juniper = day_from_toml(told).sources[1]

    assert juniper.gas is Gas.NITROUS_OXIDE
    assert juniper.cylinders[0].reading.weight_kg == 7.9


def test_liquid_oxygen_may_be_told_by_mass():
    told = SMALL.replace(
        'size = "E"\ngauge = "71 bar"', 'kind = "liquid"\nliquid_mass = "11.42 kg"'
    )
    # 1 L of liquid weighs 1.142 kg (supply section 6, S57).
    assert day_from_toml(told).sources[0].liquid_l == pytest.approx(10.0)


SLIPS = [
    ('gauge = "71 bar"', 'gauge = "71"', 12, "gauge", "needs its unit"),
    ('gauge = "71 bar"', "gauge = 71", 12, "gauge", "must be text with its unit"),
    ('gauge = "71 bar"', 'gauge = "-3 bar"', 12, "gauge", "must be 0 or more"),
    ('gauge = "71 bar"', 'gauge = "nan bar"', 12, "gauge", "is not a pressure"),
    ('gauge = "71 bar"', "gauge = nan", 12, "gauge", "must be text with its unit"),
    ('gauge = "71 bar"', 'gauge = "71 furlong"', 12, "gauge", "is not a unit of pressure"),
    ('gauge = "71 bar"', 'gauge = "99 bar"\nscale = "90 bar"', 12, "gauge", "past the end of"),
    ('gauge = "71 bar"', 'gauge = "250 bar"', 12, "gauge", "such a cylinder is tested to"),
    ('gauge = "71 bar"', 'guage = "71 bar"', 12, "guage", "the nearest is 'gauge'"),
    ('gauge = "71 bar"\n', "", 8, "gauge", "say what the gauge reads"),
    ('size = "E"', 'size = "G"', 11, "size", "may mean G (US)"),
    ('size = "E"', 'size = "Q"', 11, "size", "No cylinder size 'Q'"),
    ('size = "E"\n', "", 8, "size", "say which cylinder"),
    ('size = "E"', 'size = "E"\nkind = "barrel"', 12, "kind", "known are cylinder, sequence"),
    ('size = "E"', 'size = "E"\ngas = "nitrus oxide"', 12, "gas", "nearest is 'nitrous oxide'"),
    ('size = "E"', 'size = "E"\ngas = "nitrous oxide"', 13, "gauge", "cannot tell what is left"),
    ('feeds = "Wren"', 'feeds = "Wern"', 10, "feeds", "the nearest is 'Wren'"),
    ('read = "07:52"', 'read = "7 o clock"', 13, "read", "must be a time of day"),
    ('read = "07:52"', 'read = "27:52"', 13, "read", "must be a time of day"),
    ('read = "07:52"', 'reserve_of = "Wall"', 13, "reserve_of", "is no source of this file"),
    ('elevation = "60 m"', 'elevation = "60 km"', 3, "elevation", "is not a unit of length"),
    ('elevation = "60 m"', 'litres = "25C"', 3, "litres", "write one of 70F, 15C, 0C"),
    ('elevation = "60 m"', 'temperature = "200 C"', 3, "temperature", "at most 338.15 K"),
    ('machine = "Wren"', 'machine = "Robin"', 17, "machine", "is no machine of this file"),
    ('start = "10:30"\n', "", 15, "start", "needs a start"),
    ('start = "10:30"', 'start = "10:30"\nflushes = -1', 19, "flushes", "from 0 to 1000"),
    ('start = "10:30"', 'start = "10:30"\nduration = "2 h"', 19, "duration", "add up to 95 min"),
    ('start = "10:30"', 'start = "10:30"\nweight = "0 kg"', 19, "weight", "must be above 0"),
    ('minutes = "75 min"', 'minutes = "0 min"', 21, "minutes", "must be above 0"),
    ('minutes = "75 min"', 'mins = "75 min"', 21, "mins", "nearest is 'minutes'"),
    ('minutes = "75 min", ', "", 21, "minutes", "needs 'minutes'"),
    ('start = "10:30"', 'begin = "10:30"', 15, "start", "needs a start"),
    ('start = "10:30"', 'statr = "10:30"', 18, "statr", "the nearest is 'start'"),
    ('minutes = "75 min"', 'minutes = "75 min", hue = "x"', 21, "hue", "is not a key here"),
    ('minutes = "75 min", oxygen = "1.7 L/min"', 'minutes = "75 min", oxygen = "900 L/min"',
     21, "oxygen", "at most 200 L/min"),
    ('name = "Alder"\n', "", 8, "name", "This source needs 'name'"),
    ('name = "Wren"', "name = 5", 6, "name", "must be words in quotation marks"),
    ('name = "Wren"', 'name = "Wren"\noxygen_alarm = "maybe"', 7, "oxygen_alarm", "true, false or"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "line", "key", "said"), SLIPS)
def test_a_slip_is_named_by_its_line_and_its_key(old, new, line, key, said):
    with pytest.raises(PlanUnreadable, match=rf"^Line {line}, {key}: ") as refusal:
        day_from_toml(with_line(old, new))

    assert said in str(refusal.value)
    assert str(refusal.value).count("\n") == 0


@pytest.mark.parametrize("text", ["", "   \n\n", "# only words\n"])
def test_an_empty_file_says_what_it_needs(text):
    with pytest.raises(PlanUnreadable, match=r"Line 1.*needs"):
        day_from_toml(text)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[day]\nname = "x\n', r"Line 2, name: .*not valid TOML"),
        ("[day\n", r"Line 1: .*not valid TOML"),
        ('[day]\nname = "x"\nname = "y"\n', r"Line 3, name: .*not valid TOML"),
        ("just words\n", r"Line 1: .*not valid TOML"),
    ],
)
def test_what_is_no_toml_is_named_by_its_line(text, said):
    with pytest.raises(PlanUnreadable, match=said):
        day_from_toml(text)


def test_a_name_used_twice_is_refused_at_its_second_place():
    twice = SMALL + '[[sources]]\nname = "Alder"\nfeeds = []\nsize = "E"\ngauge = "9 bar"\n'

    with pytest.raises(PlanUnreadable, match=r"Line 24, name: 'Alder' is used twice"):
        day_from_toml(twice)


def test_two_sources_of_one_gas_for_one_machine_are_refused():
    twice = SMALL + '[[sources]]\nname = "Elm"\nfeeds = "Wren"\nsize = "E"\ngauge = "9 bar"\n'

    with pytest.raises(PlanUnreadable, match=r"Line 25, feeds: Alder and Elm both feed oxygen"):
        day_from_toml(twice)


def test_a_manifold_needs_both_banks():
    one = SMALL.replace('size = "E"\ngauge = "71 bar"\nread = "07:52"', 'kind = "manifold"')
    banked = one + '[sources.duty]\nsize = "E"\ngauge = "9 bar"\n'

    with pytest.raises(PlanUnreadable, match=r"Line 8, duty: a manifold has two banks"):
        day_from_toml(one)
    with pytest.raises(PlanUnreadable, match=r"standby: a manifold has two banks"):
        day_from_toml(one.replace("[[cases]]", banked.removeprefix(one) + "[[cases]]"))


def test_what_is_missing_altogether_is_said():
    without = SMALL[: SMALL.index("[[cases]]")]

    with pytest.raises(PlanUnreadable, match=r"no \[\[cases\]\]; it needs at least one"):
        day_from_toml(without)


def test_flows_beside_phases_are_refused():
    with pytest.raises(PlanUnreadable, match=r"Line 19, oxygen: flows stand in the phases"):
        day_from_toml(with_line('start = "10:30"', 'start = "10:30"\noxygen = "1 L/min"'))


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("day", "name"), 2),
        (("sources", 0, "gauge"), 12),
        (("cases", 0, "phases", 0, "oxygen"), 20),
        (("cases", 0, "phases", 1, "oxygen"), 21),
        (("cases", 0, "nothing"), 15),
        (("nothing",), 1),
    ],
)
def test_the_line_of_a_key_is_found_or_that_of_what_holds_it(path, line):
    assert line_of(SMALL, path) == line
