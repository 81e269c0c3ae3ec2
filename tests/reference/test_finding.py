import pytest

from ullage.core.errors import UnknownReference
from ullage.reference import (
    all_tables,
    conflicts,
    fact_rows,
    search,
    sources,
    table,
    tables,
    value_counts,
)


def places(*asked, **only):
    return [one.place for one in search(*asked, **only)]


def test_all_words_must_be_there_in_any_order_and_any_case():
    assert "supply:whistle_kpa" in places("whistle STARTS")
    assert places("starts whistle") == places("whistle starts")
    assert places("whistle nowhere-at-all") == []


def test_values_come_before_facts_and_facts_before_conflicts():
    order = [all_tables().index(one.table) for one in search("oxygen")]

    assert order == sorted(order)
    assert all_tables().index("conflicts") > all_tables().index("supply_checks")


def test_a_search_sees_conflicts_trade_rules_and_sources():
    assert "conflicts:K-16" in places("flush", only="conflicts")
    assert "disagreements:TP-06" in places("E at 1 L/min")
    assert "sources:supply_S33" in places("ISO 407")
    assert "rules:CP-15" in places("CP-15")


def test_a_search_for_nothing_finds_every_row():
    everything = len(search(""))
    held = sum(len(table(name)) for name in tables())

    assert len(search("", only="trade_rules")) == len(fact_rows("trade_rules"))
    assert len(search("", only="sources")) == len(sources())
    assert everything > held + len(sources()) + len(conflicts())


def test_memory_can_be_searched_for_by_its_words():
    found = search("from memory, not confirmed", only="connections")

    assert found
    assert all(one.mark == "from memory, not confirmed" for one in found)


def test_a_row_of_values_tells_its_source_its_band_and_its_mark():
    one = search("whistle starts", only="supply")[0]

    assert (one.value, one.unit, one.number) == ("200", "kPa", 200.0)
    assert one.spread == "179 to 221, a limit, taken as uniform"
    assert one.source.startswith("supply_S18: ")
    assert one.mark == "seen in print"


def test_what_is_no_value_has_no_mark():
    assert {one.mark for one in search("", only="sources")} == {""}
    assert {one.mark for one in search("", only="conflicts")} == {""}


def test_an_unknown_table_is_answered_with_the_tables():
    with pytest.raises(UnknownReference, match=r"No table 'suply'. Tables: .*supply"):
        search("flush", only="suply")


def test_the_counts_of_values_are_those_of_their_tables():
    for name in tables():
        counted = [one for one in value_counts() if one.table == name]
        assert sum(one.loaded for one in counted) == len(table(name))
        assert all(one.left_out == 0 for one in counted)
