"""Writes to what is in store: every refusal by its words, and a refusal writes nothing."""

from datetime import timedelta
from uuid import uuid4

import pytest

from ullage.core.errors import InvalidQuantity, RuleBroken, UnknownReference
from ullage.web.machines.models import Machine, Part
from ullage.web.sites.models import Room
from ullage.web.stock.models import (
    Fitted,
    FittedNote,
    StockChange,
    StockItem,
    StockMove,
    StorageArea,
    StorageLook,
)
from ullage.web.stock.selectors import fitted_page, item_page, service_of, stock_changes
from ullage.web.stock.services import (
    FittedFacts,
    ItemFacts,
    MoveFacts,
    area_add,
    area_change,
    area_look,
    fitted_note,
    fitted_note_take_back,
    fitted_put_in,
    fitted_said,
    fitted_take_out,
    item_add,
    item_change,
    item_retire,
    items_since,
    move_add,
    moves_write,
    order_add,
    order_cancel,
    rule_set,
)

pytestmark = pytest.mark.web

HOUR, DAY = timedelta(hours=1), timedelta(days=1)


@pytest.fixture
def their_room(other_site):
    return Room.objects.create(site=other_site, name="Their store")


@pytest.fixture
def their_machine(other_site):
    return Machine.objects.create(site=other_site, name="Theirs")


# --- things --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "facts", "sentence"),
    [
        ("bandage", {"name": "Wool"}, "Nobody keeps a thing of this kind"),
        ("absorbent", {"name": "  "}, "Give it a name"),
        ("absorbent", {"name": " soda LIME "}, "is kept already; give this one another name"),
        ("absorbent", {"name": "X", "usual_days": 5.0, "longest_days": 4.9}, "cannot be shorter"),
        ("cylinder", {"name": "Oxygen"}, "Say which gas is in these cylinders"),
    ],
)
def test_a_thing_that_cannot_be_is_not_kept(site, lime, lead, kind, facts, sentence):
    with pytest.raises(RuleBroken, match=sentence):
        item_add(site=site, kind=kind, facts=ItemFacts(**facts), by=lead)
    assert list(StockItem.objects.all()) == [lime]


def test_a_thing_stands_in_no_room_of_another_site(site, lime, lead, their_room):
    facts = ItemFacts(name="Soda lime", room=their_room)

    with pytest.raises(RuleBroken, match="Their store is no room of Fennel Lane"):
        item_change(item=lime, facts=facts, by=lead)
    with pytest.raises(RuleBroken, match="Their store is no room of Fennel Lane"):
        item_add(site=site, kind="other", facts=ItemFacts(name="Y", room=their_room), by=lead)
    assert StockItem.objects.get().room_id == lime.room_id


def test_two_sites_keep_things_of_the_same_name(other_site, lime, stranger):
    made = item_add(
        site=other_site, kind="absorbent", facts=ItemFacts(name="Soda lime"), by=stranger
    )

    assert made.name == lime.name


def test_the_form_of_a_new_thing_sent_twice_adds_one(site, lead):
    facts = ItemFacts(name="Seals", code=uuid4())
    first = item_add(site=site, kind="seal", facts=facts, by=lead)

    assert item_add(site=site, kind="seal", facts=facts, by=lead) == first


def test_only_what_differs_is_kept_as_a_change(site, lime, lead):
    told = {"room": lime.room, "piece": "filling", "pieces": "fillings", "usual_days": 5.0}
    same = ItemFacts(name="Soda lime", **told)
    item_change(item=lime, facts=same, by=lead)
    assert not StockChange.objects.exists()
    item_change(item=lime, facts=ItemFacts(name="Lime", place="Top", **told), by=lead)

    change = stock_changes(site, f"item:{lime.pk}")[0]
    assert change.before == {"name": "Soda lime", "place": ""}
    assert change.after == {"name": "Lime", "place": "Top"}
    assert change.by == lead


def test_what_is_on_order_is_kept_until_it_came_or_was_cancelled(lime, lead):
    order = order_add(item=lime, count=2, by=lead)
    with pytest.raises(RuleBroken, match="still on order: receive or cancel that first"):
        item_retire(item=lime, by=lead)
    order_cancel(order=order, why="Not made any more.")
    item_retire(item=lime, by=lead)

    assert StockItem.objects.get().retired_at is not None
    with pytest.raises(RuleBroken, match="Soda lime is no longer kept"):
        order_add(item=lime, count=1, by=lead)


def test_a_name_given_away_meanwhile_is_not_taken_back(site, lime, lead):
    item_retire(item=lime, by=lead)
    item_add(site=site, kind="absorbent", facts=ItemFacts(name="SODA LIME"), by=lead)

    with pytest.raises(RuleBroken, match="change the name of one of them"):
        item_retire(item=lime, by=lead, back=True)
    assert StockItem.objects.get(pk=lime.pk).retired_at is not None


@pytest.mark.parametrize("share", [0.0, 0.4999, 0.9991, 1.0, -1.0, 95.0, float("nan")])
def test_a_service_that_nobody_can_choose_is_refused(site, lead, share):
    with pytest.raises(RuleBroken, match=r"Choose a share between 50 and 99.9 %"):
        rule_set(site=site, service_share=share, by=lead)
    assert service_of(site) is None


def test_a_choice_of_service_and_its_end_are_both_kept(site, lead, veterinarian):
    rule_set(site=site, service_share=0.9, by=lead)
    rule_set(site=site, service_share=0.9, by=lead)
    rule_set(site=site, service_share=None, by=veterinarian)

    told = [(one.by, one.before, one.after) for one in stock_changes(site, "rule")]
    assert told == [
        (veterinarian, {"service_share": 0.9}, {"service_share": None}),
        (lead, {"service_share": None}, {"service_share": 0.9}),
    ]


@pytest.mark.parametrize("kind", ["taken_back", "", "eaten"])
def test_nobody_writes_a_counter_move_or_an_unknown_one_by_hand(lime, lead, kind):
    with pytest.raises(RuleBroken, match="Say what happened"):
        move_add(item=lime, facts=MoveFacts(kind=kind, count=1), by=lead)
    assert StockMove.objects.count() == 1


@pytest.mark.parametrize(
    ("kind", "count", "least"),
    [("used", 0, 1), ("received", -3, 1), ("counted", -1, 0), ("received", 10_001, 1)],
)
def test_a_count_that_cannot_be_is_refused_with_the_least_and_the_most(
    lime, lead, kind, count, least
):
    with pytest.raises(RuleBroken, match=f"Write a whole number from {least} to 10000"):
        move_add(item=lime, facts=MoveFacts(kind=kind, count=count), by=lead)


def test_two_clocks_may_differ_by_two_minutes_and_no_more(lime, lead, now):
    soon = MoveFacts(kind="used", count=1, at=now + timedelta(minutes=1))
    move_add(item=lime, facts=soon, by=lead)

    with pytest.raises(RuleBroken, match="This time has not come yet"):
        move_add(item=lime, facts=MoveFacts(kind="used", count=1, at=now + HOUR), by=lead)
    with pytest.raises(RuleBroken, match="This time has not come yet"):
        items_since(item=lime, at=now + HOUR)
    assert StockMove.objects.filter(kind="used").count() == 1


def test_a_ledger_from_elsewhere_with_a_line_ahead_is_left_out_whole(lime, lead, now):
    def moves(*hours):
        known = {"item": lime, "kind": "received", "full": 1, "by": lead}
        return [StockMove(at=now + one * HOUR, **known) for one in hours]

    with pytest.raises(RuleBroken, match="A move lies ahead of now"):
        moves_write(moves=moves(-2, -1, 1))
    assert StockMove.objects.count() == 1
    moves_write(moves=moves(1 - 24, 2 - 24))
    assert StockMove.objects.filter(kind="received").count() == 2


# --- what is fitted ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "facts", "sentence"),
    [
        ("filter", {"name": "F"}, "Only canisters and fillings are followed here"),
        ("canister", {"name": "   "}, "Give it a name, such as the number"),
    ],
)
def test_what_cannot_be_fitted_is_refused(site, lead, kind, facts, sentence):
    with pytest.raises(RuleBroken, match=sentence):
        fitted_put_in(site=site, kind=kind, facts=FittedFacts(**facts), by=lead)


@pytest.mark.parametrize(
    ("kind", "facts"),
    [
        ("canister", {"start_kg": -0.2}),
        ("canister", {"start_kg": 0.0}),
        ("canister", {"start_kg": 21.0}),
        ("canister", {"limit_kg": float("nan")}),
        ("absorbent", {"mass_kg": -1.0}),
        ("absorbent", {"mass_kg": float("inf")}),
        ("absorbent", {"hours_limit_h": -1.0}),
    ],
)
def test_a_number_that_cannot_be_is_refused_by_the_things_of_the_answers(
    site, lead, bottles, kind, facts
):
    with pytest.raises(InvalidQuantity, match=_other_name(*facts)):
        fitted_put_in(site=site, kind=kind, facts=FittedFacts(name="Can", **facts), by=lead)
    assert not Fitted.objects.exists()


def _other_name(name):
    """Kilograms of a canister are grams in the answers; the rest keeps its name."""
    return {"start_kg": "start_g", "limit_kg": "limit_g"}.get(name, name)


def test_machine_part_and_shelf_are_those_of_the_site(
    site, other_site, lead, stranger, their_machine
):
    part = Part.objects.create(site=other_site, kind="absorber", name="Their absorber")
    shelf = item_add(site=other_site, kind="canister", facts=ItemFacts(name="Cans"), by=stranger)

    for thing in ({"machine": their_machine}, {"part": part}, {"item": shelf}):
        facts = FittedFacts(name="Can", **thing)
        with pytest.raises(RuleBroken, match="does not belong to Fennel Lane"):
            fitted_put_in(site=site, kind="canister", facts=facts, by=lead)
    assert not Fitted.objects.exists()


def test_a_canister_does_not_come_from_the_shelf_of_absorbent(site, machine, lime, lead):
    facts = FittedFacts(name="Can", machine=machine, item=lime)

    with pytest.raises(RuleBroken, match="Soda lime is no charcoal canister"):
        fitted_put_in(site=site, kind="canister", facts=facts, by=lead)


def test_an_empty_shelf_gives_none_and_the_old_one_stays_in(site, machine, canister, lead):
    cans = item_add(site=site, kind="canister", facts=ItemFacts(name="Cans"), by=lead)
    facts = FittedFacts(name="Can 8", machine=machine, item=cans)

    with pytest.raises(RuleBroken, match="Only 0 are written down"):
        fitted_put_in(site=site, kind="canister", facts=facts, by=lead)
    canister.refresh_from_db()
    assert canister.taken_out_at is None
    assert Fitted.objects.count() == 1


def test_a_new_one_from_the_shelf_leaves_one_fewer_and_an_empty_of_cans(
    site, machine, canister, lead
):
    cans = item_add(site=site, kind="canister", facts=ItemFacts(name="Cans"), by=lead)
    move_add(item=cans, facts=MoveFacts(kind="received", count=4), by=lead)
    facts = FittedFacts(name="Can 8", machine=machine, item=cans, start_kg=0.2, code=uuid4())
    first = fitted_put_in(site=site, kind="canister", facts=facts, by=lead)

    assert fitted_put_in(site=site, kind="canister", facts=facts, by=lead) == first
    row = item_page(cans).row
    assert (row.full, row.empty) == (3, 1)
    canister.refresh_from_db()
    assert (canister.taken_out_at, canister.taken_out_why) == (first.put_in_at, "Can 8 was put in")


def test_a_filling_does_not_push_out_a_canister(canister, filling):
    assert Fitted.objects.filter(taken_out_at=None).count() == 2


NOTES = [
    ("weight", {}, "Nothing was said: write at least one thing"),
    ("weight", {"weight_kg": None}, "Nothing was said"),
    ("look", {"lay_down": False, "nitrous_oxide": False}, "Nothing was said"),
    ("taste", {"weight_kg": 0.3}, "This is not written down of it"),
    ("flow", {"agent": "isoflurane", "fraction": 0.02}, "the dial, the flow and the minutes"),
    ("look", {"colour_share": 0.5}, "Say whether the colour was read right after use"),
]


@pytest.mark.parametrize(("kind", "facts", "sentence"), NOTES)
def test_a_note_of_nothing_or_of_half_a_thing_is_refused(canister, lead, kind, facts, sentence):
    with pytest.raises(RuleBroken, match=sentence):
        fitted_note(fitted=canister, kind=kind, facts=facts, by=lead)
    assert not FittedNote.objects.exists()


def test_a_filling_is_not_weighed(filling, lead):
    with pytest.raises(RuleBroken, match="This is not written down of it"):
        fitted_note(fitted=filling, kind="weight", facts={"weight_kg": 1.2}, by=lead)


def test_an_agent_nobody_knows_flowed_to_no_canister(canister, lead):
    flow = {"agent": "ether of old", "fraction": 0.02, "flow_l_min": 1.0, "minutes": 60.0}

    with pytest.raises(UnknownReference, match="ether of old"):
        fitted_note(fitted=canister, kind="flow", facts=flow, by=lead)
    assert not FittedNote.objects.exists()


def test_a_note_lies_between_putting_in_and_taking_out(canister, lead, now):
    facts = {"weight_kg": 0.22}
    with pytest.raises(RuleBroken, match="This is before it was put in"):
        fitted_note(fitted=canister, kind="weight", facts=facts, by=lead, at=now - 4 * DAY)
    fitted_take_out(fitted=canister, why="Full.", by=lead)
    canister.refresh_from_db()

    with pytest.raises(RuleBroken, match="Can 7 was taken out already"):
        fitted_note(fitted=canister, kind="weight", facts=facts, by=lead)
    with pytest.raises(RuleBroken, match="Can 7 was taken out already"):
        fitted_take_out(fitted=canister, why="Again.", by=lead)


def test_a_note_sent_twice_is_one(canister, lead):
    sent = {"fitted": canister, "kind": "weight", "facts": {"weight_kg": 0.22}, "code": uuid4()}
    first = fitted_note(**sent, by=lead)

    assert fitted_note(**sent, by=lead) == first


@pytest.fixture
def light(canister, lead):
    """A weight 12 g below the 212 g of the start, which is asked about."""
    return fitted_note(fitted=canister, kind="weight", facts={"weight_kg": 0.2}, by=lead)


def test_a_weight_that_is_asked_about_counts_only_when_somebody_says_so(canister, light):
    assert light.asked.startswith("This is 12 g less than when it was new. Is it Can 7")
    assert fitted_page(canister).last_weight is None
    fitted_said(note=light, is_right=True, said="")

    page = fitted_page(canister)
    assert page.last_weight == light
    assert page.asked is None
    assert "12 g less" in page.answer.sentence
    with pytest.raises(RuleBroken, match="Nothing is asked about this weight"):
        fitted_said(note=light, is_right=False, said="No.")


def test_what_was_taken_back_stays_readable_and_counts_nowhere(canister, lead):
    full = fitted_note(fitted=canister, kind="weight", facts={"weight_kg": 0.3}, by=lead)
    assert fitted_page(canister).answer.verdict.value == "Stop"
    fitted_note_take_back(note=full, by=lead)

    page = fitted_page(canister)
    assert page.answer.verdict.value == "Not yet"
    assert [one.undone_by for one in page.notes] == [lead]
    with pytest.raises(RuleBroken, match="This was taken back already"):
        fitted_note_take_back(note=full, by=lead)


# --- places of storage ---------------------------------------------------------------------------


def test_a_room_is_a_place_of_storage_once_and_of_its_own_site(site, area, lead, their_room):
    assert area_add(site=site, room=area.room, name="Again", by=lead) == area
    with pytest.raises(RuleBroken, match="Their store is no room of Fennel Lane"):
        area_add(site=site, room=their_room, by=lead)
    assert StorageArea.objects.count() == 1


@pytest.mark.parametrize(
    ("name", "code", "enclosed", "sentence"),
    [
        (" ", "", "yes", "Give the place a name"),
        ("Store", "the code of my uncle", "yes", "This code is not in the list"),
        ("Store", "", "perhaps", "Say yes, no or not known"),
    ],
)
def test_a_place_that_cannot_be_stays_as_it_was(area, lead, name, code, enclosed, sentence):
    with pytest.raises(RuleBroken, match=sentence):
        area_change(area=area, name=name, storage_code=code, enclosed=enclosed, by=lead)
    assert not StockChange.objects.exists()


def test_a_look_at_nothing_at_a_heat_that_cannot_be_or_ahead_of_now_is_no_look(area, lead, now):
    with pytest.raises(RuleBroken, match="answer at least one question"):
        area_look(area=area, facts={"upright": None}, by=lead)
    with pytest.raises(InvalidQuantity, match="hottest"):
        area_look(area=area, facts={"hottest_k": -5.0}, by=lead)
    with pytest.raises(RuleBroken, match="This time has not come yet"):
        area_look(area=area, facts={"hottest_k": 295.0}, by=lead, at=now + HOUR)
    assert not StorageLook.objects.exists()


def test_a_look_sent_twice_is_one_and_a_later_one_leaves_it_as_it_was(area, lead):
    code = uuid4()
    first = area_look(area=area, facts={"hottest_k": 295.0}, by=lead, code=code)
    assert area_look(area=area, facts={"hottest_k": 295.0}, by=lead, code=code) == first
    area_look(area=area, facts={"hottest_k": 330.0}, by=lead)

    assert [one.facts["hottest_k"] for one in StorageLook.objects.all()] == [330.0, 295.0]
