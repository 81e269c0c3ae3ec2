"""Every row of `partition.csv` that was seen: used by the engine, or shown beside what is used.

No row of `body.csv` was seen: all its tissues are from memory, which a test here holds.
"""

import pytest

from ullage.reference import HowKnown, fact_rows, table
from ullage.reference.solubility import blood_gas, blood_gas_views, partition
from ullage.reference.taken import number_of

SEEN = [
    row for row in fact_rows("partition") if row.how_known in {HowKnown.SEEN, HowKnown.COMPUTED}
]
#: Shown nowhere: another textbook's brain/blood, 3 % from the one that is used.
LEFT_OUT = {"PT-083"}


@pytest.mark.published("partition")
@pytest.mark.parametrize("row", SEEN, ids=lambda row: row.key)
def test_a_coefficient_that_was_seen_is_used_or_shown(row):
    agent, _, species = row.subject.partition(", ")
    value = number_of(row, unit="1").value
    used = row.condition.endswith("set=engine")

    if row.key in LEFT_OUT:
        assert value == pytest.approx(partition(agent, row.quantity).value, rel=0.04)
    elif row.quantity == "blood_gas":
        assert (value, species) in {(v.row.value, v.species) for v in blood_gas_views(agent)}
    else:
        assert used
        assert partition(agent, row.quantity, species).value == value


# The clinical series is what a user gets; its rows are PT-074, PT-072 and PT-069.
@pytest.mark.published("partition")
@pytest.mark.parametrize(
    ("agent", "value"), [("isoflurane", 1.45), ("sevoflurane", 0.74), ("desflurane", 0.57)]
)
def test_what_a_user_gets_is_a_row_that_was_seen(agent, value):
    row, species = blood_gas(agent, "pig")

    assert (row.value, species) == (value, "human")
    assert row.how_known is HowKnown.SEEN
    assert f"clinical.{agent}.human" in table("solubility")


def test_no_tissue_of_the_table_of_bodies_claims_to_have_been_seen():
    assert {row.how_known for row in fact_rows("body")} == {HowKnown.MEMORY}
