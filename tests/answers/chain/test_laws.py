"""Laws of the chain that hold whatever a person finds."""

from dataclasses import fields, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.answers.chain.sound import SOUND, with_part
from ullage.answers.answer import Answer, Verdict
from ullage.answers.chain import chain_by_part, chain_verdict
from ullage.answers.chain_links.flowmeter import flowmeter
from ullage.answers.chain_links.room_air import room_air
from ullage.answers.chain_links.storage import CODES, storage
from ullage.answers.chain_questions import QUESTIONS
from ullage.answers.chain_things import Chain, PlannedFlow, Stored
from ullage.core.gas import Gas

GRAVER = {Verdict.FINE: 0, Verdict.LOOK_AGAIN: 1, Verdict.NOT_YET: 1, Verdict.STOP: 2}

ANSWERED = [
    (part, name)
    for part in (one.name for one in fields(Chain))
    for name in QUESTIONS.get(type(getattr(SOUND, part)), {})
    if getattr(getattr(SOUND, part), name) is not None
]


@pytest.mark.parametrize(("part", "name"), ANSWERED, ids=[".".join(one) for one in ANSWERED])
def test_taking_an_answer_away_never_makes_a_chain_better(part, name):
    """What decides nothing by itself may stay fine; nothing turns into a stop or a second look."""
    answer = chain_by_part(with_part(part, **{name: None})).get(part)

    assert answer is not None
    assert answer.verdict in {Verdict.FINE, Verdict.NOT_YET}
    assert bool(answer.settles) is (answer.verdict is Verdict.NOT_YET)


@pytest.mark.parametrize("part", [one.name for one in fields(Chain) if one.name in
                                  {name for name, _ in ANSWERED}])  # fmt: skip
def test_a_part_about_which_nobody_said_anything_keeps_the_chain_from_being_fine(part):
    empty = replace(SOUND, **{part: type(getattr(SOUND, part))()})

    assert chain_verdict(empty).verdict is Verdict.NOT_YET


@given(st.floats(min_value=0.1, max_value=4.0), st.sampled_from(["T-piece", "mask", "Mapleson D"]))
def test_a_flow_on_the_scale_through_a_non_rebreathing_system_is_never_a_stop(l_min, system):
    flows = (PlannedFlow(flow_l_min=l_min, system=system, weight_kg=1.0),)
    verdict = flowmeter(with_part("flowmeter", flows=flows)).verdict

    assert verdict is (Verdict.LOOK_AGAIN if l_min < 0.5 else Verdict.FINE)


@given(st.floats(min_value=0.5, max_value=4.0), st.floats(min_value=0.02, max_value=60.0))
def test_the_views_name_the_flow_that_each_rule_gives_by_weight(l_min, kg):
    flows = (PlannedFlow(flow_l_min=l_min, system="T-piece", weight_kg=kg),)
    views = flowmeter(with_part("flowmeter", flows=flows)).views

    assert bool(views) is (kg > 2.5)
    assert not views or [view.chosen for view in views] == [True, False, False, False, False]


@given(
    st.sampled_from(sorted(CODES)),
    st.integers(min_value=0, max_value=400),
    st.integers(min_value=0, max_value=400),
)
def test_more_in_store_is_never_judged_milder(code, one, other):
    few, many = sorted((one, other))

    def judged(count):
        stored = (Stored(gas=Gas.OXYGEN, contents_l=660.0, count=count),)
        return storage(with_part("storage", stored=stored, code=code, enclosed=False)).verdict

    assert GRAVER[judged(few)] <= GRAVER[judged(many)]


@given(
    st.floats(min_value=5.0, max_value=500.0),
    st.floats(min_value=0.0, max_value=8000.0),
    st.floats(min_value=0.0, max_value=8000.0),
)
def test_more_oxygen_escaping_makes_the_room_richer(volume_m3, one, other):
    less, more = sorted((one, other))

    def after(litres):
        return room_air(with_part("room_air", volume_m3=volume_m3, escaping_l=litres)).value

    assert 20.95 - 1e-9 <= after(less) <= after(more) + 1e-9 <= 100.0 + 1e-9


@pytest.mark.parametrize("part", list(chain_by_part(SOUND)))
@pytest.mark.parametrize("chain", [SOUND, Chain()], ids=["sound", "unanswered"])
def test_an_answer_survives_being_stored(chain, part):
    answer = chain_by_part(chain)[part]

    assert Answer.from_dict(answer.as_dict()) == answer


def test_the_same_chain_is_judged_the_same():
    assert chain_verdict(SOUND) == chain_verdict(replace(SOUND))
