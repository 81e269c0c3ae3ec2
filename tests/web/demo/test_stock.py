"""What stands in store in the practice world, and what its story says."""

import pytest

from ullage.answers import Verdict
from ullage.web.demo import World
from ullage.web.stock.selectors import area_rows, fitted_rows, shelf_rows, to_order

pytestmark = [pytest.mark.web, pytest.mark.django_db]


@pytest.fixture
def fitted(world: World):
    return {row.fitted.name: row for row in fitted_rows(world.sites[0], world.now)}


def test_a_canister_is_full_by_what_flowed_before_its_weight_says_so(fitted):
    row = fitted["Can 14"]

    assert row.answer.verdict is Verdict.STOP
    assert "whatever it weighs" in " ".join(row.answer.reasons)
    assert row.last_weight.facts["weight_kg"] - row.fitted.start_kg < row.fitted.limit_kg
    assert row.answer.value > 1000 * row.fitted.limit_kg
    assert row.fitted.machine.name == "Siskin"
    assert row.fitted.part.kind == "scavenging"


def test_a_filling_is_due_and_another_is_fresh(fitted):
    assert fitted["Soda lime, Heron"].answer.verdict in {Verdict.LOOK_AGAIN, Verdict.STOP}
    assert fitted["Soda lime, Heron"].cases > 0
    assert fitted["Soda lime, Curlew"].answer.verdict is not Verdict.STOP


def test_cylinders_are_on_order(world):
    rows = {row.item.name: row for row in shelf_rows(world.sites[0], world.now)}

    assert rows["Oxygen E"].reorder.shelf.on_order == 4
    assert rows["Oxygen J"].full == 2


def test_every_shelf_of_the_first_site_has_its_point_and_the_second_has_chosen_none(world):
    first, second = (shelf_rows(site, world.now) for site in world.sites)

    assert all(row.reorder.point is not None for row in first)
    assert {row.reorder.answer.verdict for row in second} == {Verdict.NOT_YET}


def test_something_is_to_be_ordered_today(world):
    lines = [line for _, line in to_order(world.sites[0], world.now)]

    assert lines
    assert all(line.to_order > 0 for line in lines)


def test_each_store_is_counted_by_the_code_of_its_site(world):
    first, second = (area_rows(site)[0] for site in world.sites)

    assert first.tally.unit == "L"
    assert second.tally.unit == "cu ft"
    assert first.unknown == second.unknown == 0
    assert first.kept.verdict is Verdict.FINE
    assert second.kept.verdict is Verdict.NOT_YET  # nobody has looked there
