import pytest

from ullage.core.errors import UnknownReference
from ullage.reference import conflict, conflicts, disagreements, fact

#: Entries that point elsewhere for their values.
POINTERS = {"K-68", "K-76"}


def test_every_conflict_of_the_fact_base_is_held():
    assert [one.key for one in conflicts()] == [f"K-{number:02}" for number in range(1, 77)]


@pytest.mark.parametrize("one", conflicts(), ids=lambda one: one.key)
def test_a_conflict_keeps_its_values_side_by_side_and_suggests_a_default(one):
    assert one.topic
    assert one.where
    assert one.default
    assert len(one.values) >= 2 or one.key in POINTERS
    assert len(set(one.values)) == len(one.values)


def test_a_conflict_is_found_by_its_number():
    assert conflict("K-14").values[:3] == ("300 cu ft", "1500 cu ft", "3000 cu ft")
    with pytest.raises(UnknownReference, match="No conflict 'K-99'; they run from K-01 to K-76"):
        conflict("K-99")


def test_physics_and_the_rules_of_the_trade_part_in_ten_places():
    assert [one.key for one in disagreements()] == [f"TP-{number:02}" for number in range(1, 11)]
    assert all(one.rule and one.physics and one.say for one in disagreements())


def test_a_disagreement_and_its_rule_tell_the_same_number():
    first = disagreements()[0]

    assert first.rule == f"{fact('trade_rules', 'CP-01').value} L"
