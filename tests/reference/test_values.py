import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.core.errors import InvalidQuantity, UnknownReference, UnreadableQuantity
from ullage.reference import HowKnown, Sourced, Standing, sourced, stated, table
from ullage.reference.values import raw_table, row_from

ROW = {
    "value": 200,
    "unit": "kPa",
    "standing": "estimated",
    "source": "supply_S18",
    "where": "section 3.3",
    "how_known": "seen",
}


def test_an_unknown_key_is_answered_with_its_neighbours():
    with pytest.raises(UnknownReference, match="Similar: gauge_error_share"):
        sourced("supply", "gauge_eror_share")


def test_an_unknown_table_is_answered_with_the_tables():
    with pytest.raises(UnknownReference, match=r"No table 'suply'. Tables: .*supply"):
        table("suply")


def test_words_are_not_a_number_and_a_number_is_not_words():
    with pytest.raises(UnknownReference, match=r"'us.oxygen' in gas_colours is not a number"):
        sourced("gas_colours", "us.oxygen")
    with pytest.raises(UnknownReference, match=r"'begin_psi' in supply is a number: 1000 psi"):
        stated("supply", "begin_psi")


def test_the_two_schemes_of_colours_stand_side_by_side():
    assert stated("gas_colours", "us.oxygen").text == "green"
    assert stated("gas_colours", "iso.oxygen").text == "white"


# ISO 407 as cited by a pin index page.
@pytest.mark.published("supply_S33")
def test_the_pins_of_each_gas_differ():
    pins = {
        key: row.text for key, row in table("connections").items() if key.startswith("pin_index.")
    }

    assert pins["pin_index.oxygen"] == "2-5"
    assert pins["pin_index.nitrous_oxide"] == "3-5"
    assert len(set(pins.values())) == len(pins)


def test_a_printed_limit_and_a_printed_sd_are_told_apart():
    whistle = sourced("supply", "whistle_kpa").band()
    ventilator = sourced("ventilators", "study.stiff_l_h").band()

    assert (whistle.low, whistle.high) == (179, 221)
    assert "taken as uniform" in whistle.words
    assert (ventilator.low, ventilator.high) == (832, 864)
    assert "taken as normal" in ventilator.words


def test_a_value_without_a_printed_spread_gets_an_assumed_band_that_says_so():
    band = sourced("supply", "begin_psi").band(0.2)

    assert (band.low, band.high, band.published) == (800, 1200, False)
    assert band.words == "spread not published; 20 % either way is assumed"


def test_a_range_from_memory_does_not_count_as_published():
    band = sourced("fresh_gas", "mask.mouse_l_min").band()

    assert (band.low, band.high, band.published) == (0.1, 0.5, False)
    assert band.words == "range of the values given; from memory, not confirmed"


def test_the_assumed_share_has_its_home_in_the_data():
    share = sourced("supply", "unpublished_spread_share")
    band = sourced("supply", "begin_psi").band()

    assert share.standing is Standing.ASSUMED
    assert band.high / 1000 - 1 == pytest.approx(share.value)


@given(st.floats(-1e6, 1e6), st.floats(0, 10))
def test_an_assumed_band_always_holds_its_value(value, share):
    row = row_from("any", ROW | {"value": value})

    assert isinstance(row, Sourced)
    assert row.band(share).low <= value <= row.band(share).high


@pytest.mark.parametrize("share", [-0.1, float("nan"), float("inf")])
def test_an_impossible_share_is_refused(share):
    with pytest.raises(InvalidQuantity, match=r"assumed_share is .* must be 0 or more"):
        sourced("supply", "begin_psi").band(share)


def test_a_value_is_turned_into_the_unit_used_inside():
    assert sourced("supply", "begin_psi").inside("pressure") == pytest.approx(6894.757, rel=1e-6)
    with pytest.raises(UnreadableQuantity, match="'psi' is not a unit of flow"):
        sourced("supply", "begin_psi").inside("flow")


def test_a_whole_number_in_the_file_is_a_float_inside():
    assert isinstance(row_from("any", ROW).value, float)


@pytest.mark.parametrize(
    ("mark", "words"),
    [
        (HowKnown.MEMORY, "from memory, not confirmed"),
        (HowKnown.COMMON, "common practice, no source"),
        (HowKnown.SEEN, "seen in print"),
    ],
)
def test_each_mark_has_its_words(mark, words):
    assert mark.words == words


def test_what_is_not_a_row_is_not_loaded_as_one():
    assert "region" in raw_table("cylinder_sizes")["us_e"]
    assert not any("region" in key for key in table("cylinder_sizes"))


def test_a_value_and_a_size_are_read_without_the_fact_tables_and_the_citations():
    code = (
        "import sys; from ullage.reference import sourced, cylinder_size;"
        "from ullage.reference.values import raw_table, sources;"
        "sourced('supply', 'gauge_error_share'); cylinder_size('E');"
        "print(sources.cache_info().currsize, sorted({'csv', 'difflib', 'numpy', 'scipy',"
        " 'CoolProp', 'ullage.reference.facts'} & set(sys.modules)))"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert told.stdout == "0 []\n"
