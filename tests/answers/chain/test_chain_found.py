"""A chain from what was kept, or from a file: words with units, errors with line and key."""

from pathlib import Path

import pytest

from ullage.answers.answer import Verdict
from ullage.answers.chain import chain_by_part, chain_verdict
from ullage.answers.chain_file import chain_from_toml
from ullage.answers.chain_found import chain_from_found
from ullage.answers.chain_things import Hold, PlannedFlow
from ullage.answers.plan import SourceKind
from ullage.core.errors import InvalidQuantity, PlanUnreadable, UnreadableQuantity
from ullage.core.gas import Gas

EXAMPLE = (Path(__file__).parents[3] / "examples" / "chain.toml").read_text("utf-8")


def test_words_and_numbers_are_read_field_by_field():
    chain = chain_from_found(
        {
            "identity": {"label_gas": "oxygen", "adapted": False, "colour": ""},
            "secured": {"held": "chained to the wall"},
            "regulator": {"still_gauge_kpa": "50 psi", "flowing_gauge_kpa": 330},
            "flowmeter": {"flows": [{"flow_l_min": "500 mL/min", "system": "T-piece"}]},
        },
        source=SourceKind.MANIFOLD,
    )

    assert chain.identity.label_gas is Gas.OXYGEN
    assert chain.identity.colour is None
    assert chain.secured.held is Hold.CHAIN
    assert chain.regulator.still_gauge_kpa == pytest.approx(344.738, abs=1e-3)
    assert chain.regulator.flowing_gauge_kpa == 330.0
    assert chain.flowmeter.flows == (PlannedFlow(flow_l_min=0.5, system="T-piece"),)
    assert chain.source is SourceKind.MANIFOLD


@pytest.mark.parametrize(
    ("found", "error", "sentence"),
    [
        ({"engine": {}}, PlanUnreadable, "A chain has no part 'engine'"),
        ({"seal": {"colour": "red"}}, PlanUnreadable, "seal has no 'colour'; it has count"),
        ({"seal": {"count": "two"}}, UnreadableQuantity, "count: 'two' is not a count"),
        ({"seal": {"count": -1}}, InvalidQuantity, "count is -1"),
    ],
)
def test_what_a_chain_does_not_have_is_refused(found, error, sentence):
    with pytest.raises(error, match=sentence):
        chain_from_found(found)


def test_the_example_is_fine_but_for_the_one_open_question():
    chain = chain_from_toml(EXAMPLE)
    said = {name: one.verdict for name, one in chain_by_part(chain).items()}

    assert said.pop("magnet") is Verdict.NOT_YET
    assert set(said.values()) == {Verdict.FINE}
    assert chain_verdict(chain).settles == "Is the regulator marked for use near the magnet?"


def test_a_file_of_one_part_leaves_the_rest_open():
    chain = chain_from_toml("[seal]\ncount = 2\n")

    assert chain.seal.count == 2
    assert chain_verdict(chain).verdict is Verdict.STOP


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "Line 1: the file is empty; it needs a part"),
        ("[seal\n", "Line 1"),
        ("[seal]\nnwe = true\n", "Line 2, nwe: 'nwe' is not a key here; the nearest is 'new'"),
        ("[engine]\n", "Line 1, engine: 'engine' is not a key here"),
        ("[regulator]\nstill_gauge = 50\n", "Line 2, still_gauge: 50 must be text with its unit"),
        ('[regulator]\nkind = "loose"\n', "Line 2, kind: 'loose' is not known"),
        ('[identity]\nanalyser = "120 %"\n', "analyser_fraction is 1.2"),
        ('[chain]\nlitres = "20C"\n', "Line 2, litres: '20C' must be one of 70F, 15C, 0C"),
        ('[contents]\nsize = "D"\n', "Line 2, size: "),
        ('[[flowmeter.flows]]\nsystem = "mask"\n', "This also needs one or more of flow"),
    ],
)
def test_a_file_that_cannot_be_taken_is_refused_with_line_and_key(text, sentence):
    with pytest.raises(PlanUnreadable, match=sentence):
        chain_from_toml(text)


def test_a_cylinder_may_be_told_by_its_stamp():
    chain = chain_from_toml('[contents]\nwater_capacity = "4.7 L"\ngauge = "100 bar"\n')

    assert chain.contents.cylinder.water_capacity_l == 4.7
    assert chain.contents.reading.gauge_kpa == 10_000.0
