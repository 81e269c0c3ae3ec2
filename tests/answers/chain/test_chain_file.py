"""A chain from a file: every part in units as people write them, every slip by line and key."""

import re

import pytest

from ullage.answers.answer import Verdict
from ullage.answers.chain import chain_by_part, chain_verdict
from ullage.answers.chain_file import chain_from_toml
from ullage.answers.chain_things import Hold, RegulatorKind, SealKind
from ullage.answers.plan import SourceKind
from ullage.core.errors import PlanUnreadable
from ullage.core.gas import C0, C15, F70, Gas

PSI = 6.894757293168361

WHOLE = """\
[chain]
name = "Robin, theatre"
gas = "oxygen"
source = "manifold"
pressure_unit = "psi"
country = "gb"
elevation = "6234 ft"

[identity]
label_gas = "nitrous oxide"
analyser = "21 %"

[secured]
held = "chained to the wall"
upright = "yes"

[contents]
size = "E"
region = "US"
gauge = "1,900 psig"
temperature = "68 F"
needed = "10.6 cu ft"
second_source = true

[seal]
count = "1"
kind = "crush gasket"
new = "unknown"

[regulator]
kind = "flow-metering"
still_gauge = "3.5 bar"
flowing_gauge = "0.34 MPa"

[[flowmeter.flows]]
flow = "500 mL/min"
system = "T-piece"
weight = "3400 g"

[[flowmeter.flows]]
flow = "0,8 L/min"
places = 2

[room_air]
volume = "1059 cu ft"
changes = "6 ach"

[[storage.stored]]
gas = "oxygen"
contents = "24 cu ft"
count = 12
"""


@pytest.fixture(scope="module")
def chain():
    return chain_from_toml(WHOLE)


def test_the_heading_is_read(chain):
    assert (chain.name, chain.gas, chain.source) == (
        "Robin, theatre",
        Gas.OXYGEN,
        SourceKind.MANIFOLD,
    )
    assert (chain.country, chain.colour_scheme) == ("GB", "us")
    assert chain.place.condition == F70
    # 6234 ft are 1900 m: 80.5 kPa by the standard atmosphere.
    assert chain.place.barometric_kpa == pytest.approx(80.5, abs=0.05)


def test_words_become_the_things_they_name(chain):
    assert chain.identity.label_gas is Gas.NITROUS_OXIDE
    assert (chain.secured.held, chain.secured.upright) == (Hold.CHAIN, True)
    assert (chain.seal.kind, chain.seal.count, chain.seal.new) == (SealKind.CRUSH, 1, None)
    assert chain.regulator.kind is RegulatorKind.FLOW_METERING


def test_numbers_are_read_in_the_units_people_write(chain):
    assert chain.identity.analyser_fraction == pytest.approx(0.21)
    assert chain.contents.reading.gauge_kpa == pytest.approx(1900 * PSI)
    assert chain.contents.reading.temperature_k == pytest.approx(293.15)
    assert chain.contents.needed_l == pytest.approx(300.2, abs=0.1)
    assert chain.regulator.still_gauge_kpa == pytest.approx(350.0)
    assert chain.regulator.flowing_gauge_kpa == pytest.approx(340.0)
    assert chain.room_air.volume_m3 == pytest.approx(29.99, abs=0.01)
    assert chain.room_air.changes_per_h == 6.0


def test_lists_keep_their_order(chain):
    first, second = chain.flowmeter.flows

    assert (first.flow_l_min, first.system, first.weight_kg) == (0.5, "T-piece", 3.4)
    assert (second.flow_l_min, second.places, second.system) == (0.8, 2, "")
    assert chain.storage.stored[0].contents_l == pytest.approx(24 * 28.316846592)
    assert chain.storage.stored[0].count == 12


def test_what_the_file_leaves_out_stays_open(chain):
    assert chain.bag.present is None
    assert chain.ventilator.fitted is None
    assert chain_by_part(chain)["bag"].verdict is Verdict.NOT_YET


def test_a_file_of_stops_is_a_stop(chain):
    found = chain_verdict(chain)

    assert found.verdict is Verdict.STOP
    assert "identity of the gas" in found.sentence


@pytest.mark.parametrize(
    ("heading", "condition", "scheme"),
    [
        ('pressure_unit = "psi"', F70, "us"),
        ('pressure_unit = "bar"', C15, "iso32"),
        ('litres = "0C"', C0, "iso32"),
        ('pressure_unit = "psi"\nlitres = "15C"\ncolours = "iso32"', C15, "iso32"),
    ],
)
def test_units_choose_litres_and_colours_unless_they_are_named(heading, condition, scheme):
    found = chain_from_toml(f"[chain]\n{heading}\n[bag]\npresent = true\n")

    assert (found.place.condition, found.colour_scheme) == (condition, scheme)


def test_a_cylinder_needs_a_size_or_a_stamp_and_a_reading_a_gauge_or_a_weight():
    neither = chain_from_toml('[contents]\nneeded = "100 L"\n').contents
    stamped = chain_from_toml('[contents]\nwater_capacity = "4.7 L"\nweight = "9 kg"\n').contents

    assert (neither.cylinder, neither.reading) == (None, None)
    assert stamped.cylinder.capacity_source == "stamp"
    assert stamped.reading.weight_kg == 9.0


SLIPS = [
    ('[chain]\npressure_unit = "furlong"\n', 2, "pressure_unit", "write bar, psi, kPa or MPa"),
    ('[chain]\nlitres = "25C"\n', 2, "litres", "must be one of 70F, 15C, 0C"),
    ('[chain]\nbarometer = "5 kPa"\n', 2, "barometer", "at most 110 kPa"),
    ('[chain]\nbarometer = "1013 psi"\n', 2, "barometer", "at most 110 kPa"),
    ('[chain]\nelevation = "90000 ft"\n', 2, "elevation", "at most 6000"),
    ('[chain]\ntemperature = "200 C"\n', 2, "temperature", "at most 338.15 K"),
    ('[chain]\ncolours = "purple"\n', 2, "colours", "write us or iso32"),
    ('[chain]\ngas = "oxigen"\n', 2, "gas", "the nearest is 'oxygen'"),
    ('[chain]\nsource = "barrel"\n', 2, "source", "'barrel' is not known"),
    ("[chain]\nname = 5\n", 2, "name", "must be words in quotation marks"),
    ('[chain]\nnaem = "x"\n', 2, "naem", "the nearest is 'name'"),
    ('[seal]\ncount = "many"\n', 2, "count", "must be a whole number"),
    ("[seal]\ncount = -1\n", 2, "count", "from 0 to 1000"),
    ('[seal]\nnew = "perhaps"\n', 2, "new", "must be true, false or unknown"),
    ('[regulator]\nstill_gauge = "-50 psi"\n', 2, "still_gauge", "must be 0 or more"),
    ('[regulator]\nstill_gauge = "50"\n', 2, "still_gauge", "needs its unit"),
    ('[regulator]\nstill_gauge = "nan psi"\n', 2, "still_gauge", "is not a pressure"),
    ("[regulator]\nstill_gauge = inf\n", 2, "still_gauge", "must be text with its unit"),
    ('[secured]\nheld = "glue"\n', 2, "held", "'glue' is not known"),
    ('[contents]\nwater_capacity = "0 L"\n', 2, "water_capacity", "must be above 0"),
    ('[contents]\nsize = "G"\ngauge = "90 bar"\n', 2, "size", "may mean G (US)"),
    ('[contents]\nsize = "E"\ngauge = "900 bar"\n', 3, "gauge", "such a cylinder is tested to"),
    ('[contents]\nsize = "E"\ngauge = "90 bar"\ntemperature = "90 C"\n', 4, "temperature",
     "at most 338.15 K"),
    ('[contents]\nwater_capacity = "4.7 L"\nweight = "5 kg"\ntare = "6 kg"\n', 3, "weight",
     "less than its tare of 6 kg"),
    ('[[flowmeter.flows]]\nflow = "1 L/min"\n[[flowmeter.flows]]\nflow = "1 bar"\n', 4, "flow",
     "is not a unit of flow"),
    ('[[flowmeter.flows]]\nflow = "1 L/min"\nplaces = 0\n', 1, "", "places is 0"),
    ('[storage]\nstored = "twelve"\n', 2, "stored", "once for each"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "line", "key", "said"), SLIPS)
def test_a_slip_is_named_by_its_line_and_its_key(text, line, key, said):
    named = f", {key}" if key else ""

    with pytest.raises(PlanUnreadable, match=rf"^Line {line}{re.escape(named)}: ") as refusal:
        chain_from_toml(text)
    assert said in str(refusal.value)
    assert "\n" not in str(refusal.value)
