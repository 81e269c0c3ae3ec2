"""The pages of stock: what they show, what they refuse, and that nothing typed is lost."""

import csv
import io
from uuid import uuid4

import pikepdf
import pytest
from django.urls import reverse

from ullage.web.stock.models import FittedNote, StockItem, StockMove, StockOrder, StorageLook
from ullage.web.stock.services import MoveFacts, move_add, order_add, rule_set


def page(client, name, thing=None, **kwargs):
    if thing is not None:
        kwargs["code"] = thing.code
    return client.get(reverse(name, kwargs=kwargs))


def send(client, name, thing=None, typed=None, **kwargs):
    if thing is not None:
        kwargs["code"] = thing.code
    return client.post(reverse(name, kwargs=kwargs), typed or {})


def text(response):
    return response.content.decode()


def test_an_empty_stock_says_what_to_begin_with(as_lead, as_viewer):
    said = text(page(as_lead, "stock:list"))

    assert "Nothing is kept in store yet." in said
    assert reverse("stock:add", kwargs={"kind": "absorbent"}) in said
    assert "A lead or a veterinarian adds things." in text(page(as_viewer, "stock:list"))


def test_a_shelf_stands_in_the_list_with_what_is_there(as_operator, lime):
    said = text(page(as_operator, "stock:list"))

    assert "Soda lime" in said
    assert '<span class="num">10</span> full' in said
    assert "in a usual week?" in said  # nothing is written of its use yet


def test_used_is_one_touch_from_the_list_and_twice_the_same_form_counts_once(as_operator, lime):
    made = str(uuid4())
    for _ in range(2):
        response = send(as_operator, "stock:use_one", lime, {"code": made})

    assert response["Location"] == reverse("stock:list")
    assert StockMove.objects.filter(item=lime, kind="used").count() == 1
    assert '<span class="num">9</span> full' in text(page(as_operator, "stock:list"))


def test_an_empty_shelf_gives_nothing_and_says_what_to_do(as_operator, site, lead, lime):
    move_add(item=lime, facts=MoveFacts(kind="counted", count=0), by=lead)
    response = as_operator.post(
        reverse("stock:use_one", kwargs={"code": lime.code}), {"code": uuid4()}, follow=True
    )

    assert "Count the shelf first" in text(response)
    assert not StockMove.objects.filter(item=lime, kind="used").exists()


def test_a_move_is_written_and_taken_back_by_another(as_operator, lime):
    typed = {"kind": "used", "count": "3", "why": "Change of all circles."}
    assert send(as_operator, "stock:move", lime, typed).status_code == 302
    move = StockMove.objects.get(item=lime, kind="used")
    assert send(as_operator, "stock:move_back", move).status_code == 302

    said = text(page(as_operator, "stock:item", lime))
    assert "takes back used" in said
    assert "10 full" in said
    assert StockMove.objects.filter(item=lime).count() == 3


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"kind": "used", "count": ""}, "This field is required"),
        ({"kind": "used", "count": "a few"}, "Enter a whole number"),
        ({"kind": "used", "count": "0"}, "Write a whole number from 1 to 10000"),
        ({"kind": "used", "count": "-4"}, "greater than or equal to 0"),
        ({"kind": "used", "count": "99999999"}, "less than or equal to 10000"),
        ({"kind": "used", "count": "11"}, "Only 10 are written down. Count the shelf first"),
        ({"kind": "empties", "count": "1"}, "Only 0 empty ones are written down"),
        ({"kind": "eaten", "count": "1"}, "Select a valid choice"),
        ({"kind": "used", "count": "1", "at": "2099-01-01T10:00"}, "has not come yet"),
    ],
)
def test_a_move_that_cannot_be_is_refused_and_stays_as_typed(as_operator, lime, typed, sentence):
    response = send(as_operator, "stock:move", lime, {**typed, "why": "As I saw it."})

    assert response.status_code == 422
    assert sentence in text(response)
    assert "As I saw it." in text(response)
    assert StockMove.objects.filter(item=lime).count() == 1


def test_a_thing_is_added_changed_and_no_longer_kept(as_lead, store):
    typed = {
        "name": "Charcoal",
        "room": str(store.pk),
        "pack": "4",
        "every_days": "14",
        "look_days": "7",
        "usual_days": "5",
        "longest_days": "9",
        "usual_per_week": "1.5",
        "code": str(uuid4()),
    }
    assert send(as_lead, "stock:add", typed=typed, kind="canister").status_code == 302
    item = StockItem.objects.get(name="Charcoal")
    assert (item.usual_days, item.longest_days, item.every_days) == (5.0, 9.0, 14.0)
    assert (item.piece, item.pack, item.usual_per_week) == ("canister", 4, 1.5)

    shown = text(page(as_lead, "stock:edit", item))
    assert 'value="14"' in shown
    assert send(as_lead, "stock:edit", item, {**typed, "usual_days": "6"}).status_code == 302
    item.refresh_from_db()
    assert item.usual_days == 6.0

    send(as_lead, "stock:retire", item)
    assert "It is no longer kept" in text(page(as_lead, "stock:item", item))
    send(as_lead, "stock:keep", item)
    item.refresh_from_db()
    assert item.retired_at is None


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"name": ""}, "This field is required"),
        ({"usual_days": "weeks"}, "is not a time"),
        ({"usual_days": "900"}, "must be between 0 and 365 d"),
        ({"longest_days": "2"}, "It is below the usual time"),
        ({"usual_days": "", "longest_days": "4"}, "Write the usual time first"),
        ({"pack": "0"}, "greater than or equal to 1"),
        ({"usual_per_week": "-2"}, "must be between 0 and 5000"),
        ({"name": "Soda lime"}, "is kept already"),
    ],
)
def test_facts_that_cannot_be_are_refused(as_lead, lime, changes, sentence):
    typed = {"name": "Other lime", "pack": "1", "every_days": "7", "usual_days": "5", **changes}
    response = send(as_lead, "stock:add", typed=typed, kind="absorbent")

    assert response.status_code == 422
    assert sentence in text(response)
    assert StockItem.objects.count() == 1


def test_cylinders_need_a_gas_and_are_counted_at_the_supply(as_lead, full_cylinders):
    typed = {"name": "Oxygen E", "pack": "1", "every_days": "7", "size": "E"}
    assert "Say which gas" in text(send(as_lead, "stock:add", typed=typed, kind="cylinder"))
    send(as_lead, "stock:add", typed={**typed, "gas": "oxygen"}, kind="cylinder")
    item = StockItem.objects.get()

    said = text(page(as_lead, "stock:item", item))
    assert "12 full, 0 on order, 1 empty" in said
    assert "Counted at Supplies" in said
    refused = send(as_lead, "stock:move", item, {"kind": "used", "count": "1"})
    assert "Cylinders are counted one by one" in text(refused)


def test_the_service_is_chosen_by_the_site_and_kept_with_who_chose_it(as_lead, lime, lead):
    assert "Choose how often a shelf may stand empty" in text(page(as_lead, "stock:list"))
    send(as_lead, "stock:rule", typed={"service": "0.95"})

    assert "Service chosen: 95 %" in text(page(as_lead, "stock:list"))
    assert "Lena Leads" in text(page(as_lead, "stock:rule"))
    send(as_lead, "stock:rule", typed={"service": ""})
    assert "Service chosen: none" in text(page(as_lead, "stock:list"))


@pytest.fixture
def low(site, lead, lime):
    """A shelf below its point, and one of which too little is known."""
    rule_set(site=site, service_share=0.95, by=lead)
    lime.usual_per_week = 4.0
    lime.save()
    move_add(item=lime, facts=MoveFacts(kind="counted", count=2), by=lead)
    return lime


def test_what_to_order_stands_on_the_page_with_its_reason(as_operator, low, bottles):
    said = text(page(as_operator, "stock:order"))

    assert "Soda lime" in said
    assert "order today" in said
    assert "Cannot be told yet" in said
    assert "Isoflurane" in said


def test_the_list_is_a_table_that_no_program_takes_for_formulas(as_operator, low):
    low.name = "=SUM(A1)"
    low.save()
    response = as_operator.get(reverse("stock:order_csv"))
    rows = list(csv.reader(io.StringIO(text(response))))

    assert response["Content-Type"] == "text/csv; charset=utf-8"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert rows[0][:3] == ["order", "of", "name"]
    assert rows[1][2] == "'=SUM(A1)"
    assert int(rows[1][0]) > 0


def test_the_list_is_a_paper(as_operator, low, bottles):
    response = as_operator.get(reverse("stock:order_pdf"))

    assert response["Content-Type"] == "application/pdf"
    with pikepdf.open(io.BytesIO(response.content)) as made:
        assert len(made.pages) >= 1
        assert "answers.json" in made.attachments


def test_nothing_to_order_is_a_paper_and_a_table_too(as_operator):
    assert as_operator.get(reverse("stock:order_pdf")).status_code == 200
    assert len(text(as_operator.get(reverse("stock:order_csv"))).splitlines()) == 1
    assert "Every shelf of which enough is known" in text(page(as_operator, "stock:order"))


def test_an_order_is_written_comes_in_two_parts_and_is_closed(as_operator, lime):
    send(as_operator, "stock:place", lime, {"count": "6", "note": "PO 77"})
    order = StockOrder.objects.get()
    assert "6 on order" in text(page(as_operator, "stock:item", lime))

    send(as_operator, "stock:receive", order, {"count": "2"})
    assert "4 on order" in text(page(as_operator, "stock:item", lime))
    send(as_operator, "stock:receive", order, {"count": "4"})
    order.refresh_from_db()
    assert order.closed_at is not None
    assert "16 full, 0 on order" in text(page(as_operator, "stock:item", lime))


def test_what_came_is_never_filled_in_beforehand(as_operator, operator, lime):
    order_add(item=lime, count=6, by=operator)
    said = text(page(as_operator, "stock:item", lime))
    entry = said[said.index("How many came?") :]

    assert "value=" not in entry[: entry.index("</div>")]


def test_a_receipt_that_cannot_be_stays_as_typed(as_operator, operator, lime):
    order = order_add(item=lime, count=6, by=operator)
    response = send(as_operator, "stock:receive", order, {"count": "some"})

    assert response.status_code == 422
    assert 'value="some"' in text(response)
    assert "Enter a whole number" in text(response)


def test_a_cancelled_order_says_why_and_stays_readable(as_operator, operator, lime):
    order = order_add(item=lime, count=6, by=operator)
    assert send(as_operator, "stock:cancel", order, {"why": ""}).status_code == 422
    send(as_operator, "stock:cancel", order, {"why": "Out of stock there."})

    said = text(page(as_operator, "stock:item", lime))
    assert "Out of stock there." in said
    assert "0 on order" in said


def test_a_cylinder_order_is_closed_and_leads_to_the_supply(as_operator, operator, cylinder_item):
    order = order_add(item=cylinder_item, count=4, by=operator)
    response = send(as_operator, "stock:receive", order, {"count": "4"})

    assert response["Location"] == reverse("supply:receive")
    assert not StockMove.objects.filter(item=cylinder_item).exists()


# --- canisters and fillings ----------------------------------------------------------------------


def test_a_weight_is_two_touches_and_full_ones_stand_first(as_operator, canister, filling):
    said = text(page(as_operator, "stock:fitted", canister))
    assert "What does it weigh now?" in said
    send(as_operator, "stock:note", canister, {"weight_kg": "263"}, kind="weight")

    listed = text(page(as_operator, "stock:fitted_list"))
    assert listed.index("Can 7") < listed.index("Lime, Wren")
    assert "51 g heavier" in text(page(as_operator, "stock:fitted", canister))
    assert "To be changed now" in text(page(as_operator, "stock:list"))


def test_a_weight_below_the_start_is_kept_asked_about_and_counts_in_nothing(as_operator, canister):
    send(as_operator, "stock:note", canister, {"weight_kg": "190"}, kind="weight")
    note = FittedNote.objects.get()
    said = text(page(as_operator, "stock:fitted", canister))
    assert "This is 22 g less than when it was new" in said
    assert "What does it weigh now?" in said
    assert note.counts is False

    send(as_operator, "stock:note_said", note, {"choice": "wrong"})
    note.refresh_from_db()
    assert (note.counts, note.said) == (False, "It is not right: a note only")
    assert "190 g" in text(page(as_operator, "stock:fitted", canister))


def test_a_weight_below_the_start_that_is_right_is_looked_into(as_operator, canister):
    send(as_operator, "stock:note", canister, {"weight_kg": "190"}, kind="weight")
    send(as_operator, "stock:note_said", FittedNote.objects.get(), {"choice": "right"})

    assert "22 g less than when it was new" in text(page(as_operator, "stock:fitted", canister))


def test_what_flowed_makes_it_full_before_its_weight_does(as_operator, canister):
    send(as_operator, "stock:note", canister, {"weight_kg": "240"}, kind="weight")
    typed = {"agent": "isoflurane", "fraction": "3", "flow_l_min": "2", "minutes": "2 h"}
    send(as_operator, "stock:note", canister, typed, kind="flow")

    said = text(page(as_operator, "stock:fitted", canister))
    assert "whatever it weighs" in said
    assert "Weight alone" in said or "is no proof" in said


@pytest.mark.parametrize(
    ("kind", "typed", "sentence"),
    [
        ("weight", {"weight_kg": ""}, "This field is required"),
        ("weight", {"weight_kg": "heavy"}, "is not a mass"),
        ("weight", {"weight_kg": "900 kg"}, "must be between 1 and 20000 g"),
        ("weight", {"weight_kg": "240", "at": "2020-01-01T09:00"}, "before it was put in"),
        ("flow", {"agent": "isoflurane", "fraction": "3"}, "This field is required"),
        ("look", {}, "Nothing was said"),
    ],
)
def test_a_note_that_cannot_be_is_refused(as_operator, canister, kind, typed, sentence):
    response = send(as_operator, "stock:note", canister, typed, kind=kind)

    assert response.status_code == 422
    assert sentence in text(response)
    assert not FittedNote.objects.exists()


def test_a_note_is_taken_back_and_stays_readable(as_operator, canister):
    send(as_operator, "stock:note", canister, {"weight_kg": "280"}, kind="weight")
    send(as_operator, "stock:note_back", FittedNote.objects.get())

    said = text(page(as_operator, "stock:fitted", canister))
    assert "taken back by" in said
    assert "280 g" in said
    assert "68 g heavier" not in said


def test_a_colour_says_when_it_was_read(as_operator, filling):
    response = send(as_operator, "stock:note", filling, {"colour_share": "70"}, kind="look")
    assert "Say whether the colour was read right after use" in text(response)

    typed = {"colour_share": "70", "after_use": "no"}
    send(as_operator, "stock:note", filling, typed, kind="look")
    assert "not read right after use" in text(page(as_operator, "stock:fitted", filling))


def test_a_new_one_takes_the_old_one_out_and_one_from_the_shelf(
    as_operator, filling, lime, machine
):
    typed = {
        "name": "Fresh lime",
        "machine": str(machine.pk),
        "mass_kg": "900 g",
        "item": str(lime.pk),
    }
    assert send(as_operator, "stock:fitted_add", typed=typed, kind="absorbent").status_code == 302
    filling.refresh_from_db()

    assert filling.taken_out_why == "Fresh lime was put in"
    assert StockMove.objects.get(item=lime, kind="used").why == "put in: Fresh lime"
    assert "Taken out" in text(page(as_operator, "stock:fitted", filling))


def test_what_cannot_be_put_in_is_refused(as_operator, machine):
    typed = {"name": "Can 8", "start_kg": "0.1 g"}
    response = send(as_operator, "stock:fitted_add", typed=typed, kind="canister")

    assert response.status_code == 422
    assert "must be between 1 and 20000 g" in text(response)
    assert page(as_operator, "stock:fitted_add", kind="bagpipe").status_code == 404


def test_one_is_taken_out_and_weighs_nothing_any_more(as_operator, canister):
    send(as_operator, "stock:fitted_out", canister, {"why": "Full."})
    response = send(as_operator, "stock:note", canister, {"weight_kg": "240"}, kind="weight")

    assert response.status_code == 422
    assert "was taken out already" in text(response)


# --- storage -------------------------------------------------------------------------------------


def test_a_place_counts_what_stands_in_its_room(as_lead, area, full_cylinders, site):
    site.storage_code = "nfpa99"
    site.save()
    said = text(page(as_lead, "stock:area", area))

    # 12 of 4.7 L filled to 137 bar: 685 L each at 70 °F, 290 cu ft; litres first here.
    assert "L (290 cu ft)" in said
    assert "One more of" in said
    assert "That changes it from Fine to Look again." in said
    assert "12 full or part used, 1 empty" in said


def test_a_look_is_kept_and_judged(as_operator, area, full_cylinders):
    typed = {
        "apart": "yes",
        "held": "no",
        "upright": "yes",
        "far_from_fuel": "yes",
        "hottest_k": "30",
        "note": "Two at the door.",
    }
    assert send(as_operator, "stock:area_look", area, typed).status_code == 302
    said = text(page(as_operator, "stock:area", area))

    assert "A cylinder is not held" in said
    assert "Two at the door." in said
    assert StorageLook.objects.get().facts["hottest_k"] == pytest.approx(303.15)


def test_a_look_at_nothing_is_refused_and_stays_as_typed(as_operator, area):
    response = send(as_operator, "stock:area_look", area, {"note": "In haste."})

    assert response.status_code == 422
    assert "Nothing was looked at" in text(response)
    assert "In haste." in text(response)


def test_a_place_has_a_code_of_its_own_or_that_of_the_site(as_lead, area, full_cylinders, site):
    assert "Which storage code" in text(page(as_lead, "stock:area", area))
    typed = {"name": "Store", "storage_code": "new_york", "enclosed": "no"}
    send(as_lead, "stock:area_edit", area, typed)

    assert "New York City." in text(page(as_lead, "stock:area", area))
    bad = send(as_lead, "stock:area_edit", area, {**typed, "storage_code": "moon"})
    assert bad.status_code == 422


def test_a_room_becomes_a_place_of_storage(as_lead, store):
    response = send(as_lead, "stock:area_add", typed={"room": str(store.pk)})

    assert response.status_code == 302
    assert "Store" in text(page(as_lead, "stock:areas"))
    assert send(as_lead, "stock:area_add", typed={"room": "99999"}).status_code == 422


def test_an_empty_list_of_places_says_what_one_is(as_viewer, room):
    assert "No place of storage yet" in text(page(as_viewer, "stock:areas"))


# --- who may -------------------------------------------------------------------------------------


def test_things_of_another_site_are_as_if_they_did_not_exist(
    as_stranger, lime, canister, area, lead
):
    order = order_add(item=lime, count=1, by=lead)
    move = StockMove.objects.first()

    for name, thing in (("item", lime), ("fitted", canister), ("area", area)):
        assert page(as_stranger, f"stock:{name}", thing).status_code == 404
    for name, thing in (("receive", order), ("move_back", move), ("use_one", lime)):
        assert send(as_stranger, f"stock:{name}", thing).status_code == 404


def test_a_viewer_looks_and_changes_nothing(as_viewer, lime, canister, area):
    assert page(as_viewer, "stock:item", lime).status_code == 200
    assert send(as_viewer, "stock:use_one", lime, {"code": uuid4()}).status_code == 403
    assert (
        send(as_viewer, "stock:note", canister, {"weight_kg": "240"}, kind="weight").status_code
        == 403
    )
    assert send(as_viewer, "stock:area_look", area, {"held": "yes"}).status_code == 403
    assert page(as_viewer, "stock:rule").status_code == 403


def test_the_list_asks_the_database_as_often_for_many_as_for_one(
    as_operator, lime, site, lead, django_assert_max_num_queries
):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from ullage.web.stock.services import ItemFacts, item_add

    with CaptureQueriesContext(
        connection,
    ) as few:
        page(as_operator, "stock:list")
    for number in range(12):
        item_add(site=site, kind="other", facts=ItemFacts(name=f"Thing {number}"), by=lead)
    with CaptureQueriesContext(connection) as many:
        page(as_operator, "stock:list")

    assert len(many) == len(few)
