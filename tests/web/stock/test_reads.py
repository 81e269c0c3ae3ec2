"""What shelves, canisters and fillings rest on: the ledger, changes of cylinders, cases."""

from datetime import timedelta

import pytest
from django.urls import reverse

from ullage.answers import Verdict
from ullage.web.days.models import PlannedCase
from ullage.web.machines.selectors import readiness_of
from ullage.web.stock.models import StockMove
from ullage.web.stock.selectors import fitted_page, item_page, remarks_on, shelf_rows
from ullage.web.stock.selectors.use import seen_at, use_of
from ullage.web.stock.services import (
    ItemFacts,
    MoveFacts,
    fitted_note,
    item_add,
    move_add,
    move_take_back,
    rule_set,
)
from ullage.web.supply.models import Cylinder, CylinderEvent, Source

DAY = timedelta(days=1)
HOUR = timedelta(hours=1)


def older(item, now, days=70):
    """As if it had been kept for so long."""
    item.added_at = now - days * DAY
    item.save()
    StockMove.objects.filter(item=item).update(at=now - days * DAY)
    return item


def used(item, now, by, *days_ago):
    for days in days_ago:
        move_add(item=item, facts=MoveFacts(kind="used", count=1, at=now - days * DAY), by=by)


def test_the_record_counts_whole_weeks_the_oldest_first(site, lime, lead, now):
    older(lime, now)
    used(lime, now, lead, 1, 2, 20, 65)
    seen = use_of(lime, seen_at(site, [lime], now))

    assert seen.counts == (1, 0, 0, 0, 0, 0, 0, 1, 0, 2)


def test_what_was_taken_back_was_not_used(site, lime, lead, now):
    older(lime, now)
    used(lime, now, lead, 1)
    move_take_back(move=StockMove.objects.get(kind="used"), by=lead)

    assert sum(use_of(lime, seen_at(site, [lime], now)).counts) == 0


def test_a_usual_use_stands_in_until_four_weeks_are_written(site, lime, now):
    lime.usual_per_week = 3.0
    lime.save()
    young = use_of(lime, seen_at(site, [lime], now))
    grown = use_of(older(lime, now, 30), seen_at(site, [lime], now))

    assert (young.counts, young.usual_per_week) == ((), 3.0)
    assert grown.counts == (0, 0, 0, 0)


@pytest.fixture
def changed(site, full_cylinders, lead, now):
    """Three of the cylinders were connected, three, two and one weeks ago."""
    for weeks, cylinder in zip((3, 2, 1), full_cylinders, strict=False):
        CylinderEvent.objects.create(
            cylinder=cylinder, kind="connected", at=now - weeks * 7 * DAY + HOUR, by=lead
        )
    return full_cylinders


def test_cylinders_count_as_they_were_connected_by_gas_and_size(
    site, changed, cylinder_item, lead, now
):
    other = Cylinder.objects.create(
        site=site, name="Big", gas="oxygen", size="J", water_capacity_l=47
    )
    CylinderEvent.objects.create(cylinder=other, kind="connected", at=now - DAY, by=lead)
    older(cylinder_item, now, 21)

    assert use_of(cylinder_item, seen_at(site, [cylinder_item], now)).counts == (1, 1, 1)
    row = item_page(cylinder_item, now).row
    assert (row.full, row.empty) == (12, 1)


def test_each_change_of_cylinder_takes_a_seal(site, changed, lead, now):
    seals = item_add(site=site, kind="seal", facts=ItemFacts(name="Seals"), by=lead)
    older(seals, now)
    count = MoveFacts(kind="counted", count=10, at=now - 10 * DAY)
    move_add(item=seals, facts=count, by=lead)
    row = item_page(seals, now).row

    assert row.since_count == 1  # the others were before the shelf was counted
    assert row.full == 9
    assert sum(row.reorder.shelf.use.counts) == 3


def test_more_changes_than_seals_ask_for_a_count(site, changed, lead, now):
    seals = item_add(site=site, kind="seal", facts=ItemFacts(name="Seals"), by=lead)
    older(seals, now, 40)
    row = item_page(seals, now).row

    assert row.is_below_nothing
    assert row.full == 0


@pytest.fixture
def planned(site, machine, full_cylinders, now):
    """Wren draws on one of the cylinders; a case of ten hours at 2 L/min is planned tomorrow."""
    source = Source.objects.create(site=site, name="Wren", kind="cylinder", gas="oxygen")
    source.machines.add(machine)
    Cylinder.objects.filter(pk=full_cylinders[0].pk).update(source=source, state="in_use")
    return PlannedCase.objects.create(
        site=site,
        machine=machine,
        name="Clover",
        species="dog",
        weight_kg=20.0,
        system="Circle",
        starts_at=now + DAY,
        minutes=600.0,
        phases=[{"name": "all", "minutes": 600.0, "oxygen_l_min": 2.0}],
    )


def test_a_plan_asks_for_cylinders_by_what_a_full_one_holds(site, planned, cylinder_item, now):
    found = use_of(cylinder_item, seen_at(site, [cylinder_item], now))

    # 1200 L of 685 L each (4.7 L at 137 bar, at 70 °F).
    assert found.planned_pieces == pytest.approx(1200.0 / 685.0, rel=0.01)


def test_a_plan_asks_for_absorbent_by_what_the_animal_makes(site, planned, lime, filling, now):
    found = use_of(lime, seen_at(site, [lime], now))

    assert 0.05 < found.planned_pieces < 0.6  # 10 h of a 20 kg dog on 1 kg at 100 L/kg


def test_the_shelf_is_judged_by_the_service_of_the_site(site, lime, lead, now):
    lime.usual_per_week = 2.0
    lime.save()
    assert shelf_rows(site, now)[0].reorder.answer.verdict is Verdict.NOT_YET
    rule_set(site=site, service_share=0.95, by=lead)

    assert shelf_rows(site, now)[0].reorder.answer.verdict is Verdict.FINE


def test_empties_of_bottles_are_kept_apart_until_they_go(bottles, lead):
    move_add(item=bottles, facts=MoveFacts(kind="used", count=2), by=lead)
    row = item_page(bottles).row
    assert (row.full, row.empty) == (4, 2)

    move_add(item=bottles, facts=MoveFacts(kind="empties", count=1), by=lead)
    move_add(item=bottles, facts=MoveFacts(kind="returned", count=1), by=lead)
    row = item_page(bottles).row
    assert (row.full, row.empty) == (3, 1)


def test_a_count_of_yesterday_leaves_what_came_today(bottles, lead, now):
    StockMove.objects.update(at=now - 3 * DAY)
    move_add(item=bottles, facts=MoveFacts(kind="received", count=4), by=lead)
    yesterday = MoveFacts(kind="counted", count=5, at=now - DAY)
    move_add(item=bottles, facts=yesterday, by=lead)

    assert item_page(bottles).row.full == 9


@pytest.fixture
def ran(site, machine, now):
    """A case of two hours on Wren, yesterday, at 2 % in 2 L/min."""

    def make(**more):
        known = {
            "species": "dog",
            "weight_kg": 20.0,
            "system": "Circle",
            "agent": "isoflurane",
            "planned": {"dial_fraction": 0.02},
        }
        return PlannedCase.objects.create(
            site=site,
            machine=machine,
            name="Sorrel",
            starts_at=now - DAY,
            began_at=now - DAY,
            ended_at=now - DAY + 2 * HOUR,
            minutes=90.0,
            phases=[{"name": "all", "minutes": 90.0, "oxygen_l_min": 2.0}],
            state="done",
            **{**known, **more},
        )

    return make


def test_cases_on_its_machine_fill_a_canister_as_long_as_they_ran(canister, ran, now):
    ran()
    row = fitted_page(canister, now)

    # Two hours at twice 9.389 g/h, though 90 min were planned.
    assert row.cases == 1
    assert row.answer.value == pytest.approx(4 * 9.389, abs=0.05)


def test_a_case_without_a_dial_gives_hours_and_no_grams(canister, ran, lead, now):
    ran(planned={})
    fitted_note(fitted=canister, kind="weight", facts={"weight_kg": 0.22}, by=lead)
    row = fitted_page(canister, now)

    assert row.answer.value == pytest.approx(8.0)  # by weight
    assert any("It was used for 2 h." in line for line in row.answer.reasons)


def test_what_ran_before_it_was_put_in_counts_for_nothing(canister, ran, now):
    case = ran()
    PlannedCase.objects.filter(pk=case.pk).update(began_at=now - 9 * DAY, ended_at=now - 8 * DAY)

    assert fitted_page(canister, now).cases == 0


def test_cases_load_a_filling_by_what_the_animal_makes(filling, ran, now):
    ran()
    row = fitted_page(filling, now)
    hours = next(step for step in row.answer.steps if step.what == "hours of use")

    assert 0.0 < row.answer.low < row.answer.value < row.answer.high < 10.0
    assert hours.result == "2 h"


def test_an_animal_that_nobody_named_loads_nothing_and_asks(filling, ran, now):
    ran(species="", weight_kg=None)
    row = fitted_page(filling, now)

    assert row.answer.value is None


def test_a_canister_to_be_changed_speaks_on_its_machine(canister, machine, lead, now):
    assert remarks_on([machine], now) == {}
    fitted_note(fitted=canister, kind="weight", facts={"weight_kg": 0.27}, by=lead)
    remark = remarks_on([machine], now)[machine.pk][0]

    assert remark.verdict is Verdict.LOOK_AGAIN
    assert remark.sentence.startswith("Can 7: It is 58 g heavier")
    assert "Can 7" in str(readiness_of([machine], now)[machine.pk].as_dict())


def test_a_case_with_an_agent_that_nobody_knows_gives_hours_alone(canister, ran, now):
    ran(agent="ether of old")

    assert fitted_page(canister, now).answer.value is None


def test_a_use_that_cannot_be_breaks_no_page(as_operator, site, lime, lead):
    rule_set(site=site, service_share=0.95, by=lead)
    lime.usual_per_week, lime.usual_days = 5000.0, 365.0
    lime.save()

    for name in ("list", "order"):
        page = as_operator.get(reverse(f"stock:{name}"))
        assert page.status_code == 200
        assert "More is used than a shelf is for" in page.content.decode()
