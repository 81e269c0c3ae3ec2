"""Pages of parts: found, added, changed, moved, set aside, and what a bad entry is told."""

from uuid import uuid4

import pytest
from django.urls import reverse

from ullage.answers.equipment import PART_KINDS
from ullage.web.machines.models import Machine, Part, PartMove
from ullage.web.machines.services import PartFacts, part_add, part_move, state_set

pytestmark = pytest.mark.web


@pytest.fixture
def hose(site, lead, machine):
    said = PartFacts(
        name="Blue hose",
        serial="H-17",
        facts={"gas": "oxygen", "rated_kpa": 1400.0, "replace_by": "2031-05-01"},
    )
    return part_add(site=site, kind="hose", said=said, by=lead, machine=machine)


def text(client, name, *args, **asked):
    return client.get(reverse(name, args=args), asked).content.decode()


def test_a_machine_without_parts_says_what_one_is(as_lead, as_viewer, machine):
    assert "Begin with the oxygen flowmeter" in text(as_lead, "machines:machine", machine.code)
    shown = text(as_viewer, "machines:machine", machine.code)
    assert "A lead or a veterinarian adds them" in shown
    assert reverse("machines:part_kinds") not in shown


def test_a_site_without_parts_says_what_one_is(as_lead, site):
    assert "No part yet" in text(as_lead, "machines:parts")


def test_a_machine_lists_its_parts_with_what_is_written_on_them(as_viewer, machine, hose):
    shown = text(as_viewer, "machines:machine", machine.code)

    assert "Blue hose" in shown
    assert "Oxygen, rated for 14 bar, replace by 1 May 2031" in shown


def test_a_site_that_reads_psi_reads_its_hoses_in_psi(as_viewer, site, hose):
    site.pressure_unit = "psi"
    site.save()

    assert "203 psi" in text(as_viewer, "machines:part", hose.code)


def test_every_kind_is_offered_and_has_a_form(as_lead, machine):
    offered = text(as_lead, "machines:part_kinds", machine=str(machine.code))
    for key, kind in PART_KINDS.items():
        assert reverse("machines:part_add", args=[key]) in offered
        shown = text(as_lead, "machines:part_add", key)
        for fact in kind.facts:
            assert f'name="{fact.name}"' in shown


def test_nothing_that_is_written_on_a_part_is_filled_in_beforehand(as_lead, site):
    shown = text(as_lead, "machines:part_add", "vaporizer")

    assert 'name="fill_l" value' not in shown
    assert 'value="isoflurane" selected' not in shown


def test_the_same_form_sent_twice_adds_one_part(as_lead, machine):
    where = reverse("machines:part_add", args=["hose"]) + f"?machine={machine.code}"
    typed = {"name": "Blue hose", "gas": "oxygen", "rated_kpa": "14", "code": str(uuid4())}
    first, second = as_lead.post(where, typed), as_lead.post(where, typed)

    part = Part.objects.get()
    assert (part.machine, part.facts) == (machine, {"gas": "oxygen", "rated_kpa": 1400.0})
    assert first["Location"] == second["Location"] == reverse("machines:part", args=[part.code])


def test_a_code_that_another_site_has_is_not_taken(as_stranger, hose):
    where = reverse("machines:part_add", args=["hose"])
    as_stranger.post(where, {"name": "Their hose", "code": str(hose.code)})

    assert Part.objects.filter(name="Their hose").exclude(code=hose.code).count() == 1


@pytest.mark.parametrize(
    ("kind", "typed", "said"),
    [
        ("flowmeter", {"highest_l_min": "fast"}, "is not a flow"),
        ("flowmeter", {"lowest_l_min": "10", "highest_l_min": "0.2"}, "must lie above"),
        ("flowmeter", {"highest_l_min": "3 kg"}, "is not a unit of flow"),
        ("flowmeter", {"highest_l_min": "nan"}, "is not a flow"),
        ("vaporizer", {"dial_highest_fraction": "500 %"}, "must be between 0 and 25 %"),
        ("vaporizer", {"agent": "ether"}, "Select a valid choice"),
        ("absorber", {"mass_kg": "-1"}, "must be between 0 and 30 kg"),
        ("hose", {"made_on": "2199-01-01"}, "has not come yet"),
        ("hose", {"name": ""}, "This field is required"),
        ("hose", {"name": "x" * 61}, "at most 60 characters"),
    ],
)
def test_what_cannot_be_is_said_and_what_was_typed_stays(as_lead, site, kind, typed, said):
    typed = {"name": "Typed by hand", **typed}
    reply = as_lead.post(reverse("machines:part_add", args=[kind]), typed)

    shown = reply.content.decode()
    assert reply.status_code == 422
    assert said in shown
    if kind != "vaporizer" and typed["name"]:
        assert typed["name"] in shown
    assert not Part.objects.exists()


def test_a_kind_nobody_knows_and_a_machine_elsewhere_are_not_found(as_lead, other_site):
    grebe = Machine.objects.create(site=other_site, name="Grebe")
    for where in (
        reverse("machines:part_add", args=["flux"]),
        reverse("machines:part_kinds") + f"?machine={grebe.code}",
        reverse("machines:part_kinds") + "?machine=nonsense",
        reverse("machines:part_add", args=["hose"]) + f"?machine={grebe.code}",
    ):
        assert as_lead.get(where).status_code == 404


def test_a_change_shows_what_it_was_in_the_units_of_the_site(as_lead, hose):
    typed = {"name": "Blue hose", "serial": "H-17", "gas": "oxygen", "rated_kpa": "10"}
    as_lead.post(reverse("machines:part_edit", args=[hose.code]), typed)

    shown = text(as_lead, "machines:part", hose.code)
    assert "Rated for: <del>14 bar</del> <b>10 bar</b>" in shown
    assert "Replace by: <del>1 May 2031</del> <b>not said</b>" in shown
    assert "Serial number: <del>" not in shown


def test_a_form_left_as_it_was_changes_nothing(as_lead, hose, site):
    site.pressure_unit = "psi"
    site.save()
    shown = as_lead.get(reverse("machines:part_edit", args=[hose.code])).context["form"]
    typed = {one.html_name: one.value() or "" for one in shown}
    as_lead.post(reverse("machines:part_edit", args=[hose.code]), typed)

    hose.refresh_from_db()
    assert hose.facts["rated_kpa"] == 1400.0
    assert not hose.changes.exists()


def test_a_part_is_moved_and_taken_back_on_its_page(as_operator, hose, site, machine):
    robin = Machine.objects.create(site=site, name="Robin")
    where = reverse("machines:part_move", args=[hose.code])
    as_operator.post(where, {"to": str(robin.code), "why": "Wren is cleaned"})
    shown = text(as_operator, "machines:part", hose.code)
    assert "Wren is cleaned" in shown
    assert "Take the last move back" in shown

    assert "Blue hose</a> went to Robin: Wren is cleaned" in text(
        as_operator, "machines:machine", machine.code
    )
    assert "Blue hose</a> came from Wren" in text(as_operator, "machines:machine", robin.code)

    as_operator.post(reverse("machines:part_move_back", args=[hose.code]))
    hose.refresh_from_db()
    assert hose.machine == machine
    assert PartMove.objects.count() == 3


def test_a_part_is_not_moved_to_another_site_or_into_tomorrow(as_operator, hose, other_site):
    grebe = Machine.objects.create(site=other_site, name="Grebe")
    where = reverse("machines:part_move", args=[hose.code])

    assert as_operator.post(where, {"to": str(grebe.code)}).status_code == 422
    late = as_operator.post(where, {"to": "store", "at": "2199-01-01T08:00"})
    assert "has not come yet" in late.content.decode()
    assert hose.moves.count() == 1


def test_a_part_out_of_use_speaks_on_its_machine_and_comes_back_by_whom_it_names(
    as_operator, as_lead, as_veterinarian, hose, machine
):
    where = reverse("machines:part_out", args=[hose.code])
    as_operator.post(
        where, {"to": "out_of_use", "reason": "Cracked at the nut.", "lift": "veterinarian"}
    )
    assert "Wren may not be used: Hose Blue hose is out of use: Cracked at the nut." in text(
        as_operator, "machines:machine", machine.code
    )

    back = reverse("machines:part_back", args=[hose.code])
    refused = as_lead.post(back)
    assert refused.status_code == 403
    assert "A veterinarian alone can bring Blue hose back" in refused.content.decode()
    as_veterinarian.post(back)
    hose.refresh_from_db()
    assert hose.state == "in_use"


def test_an_operator_takes_a_wrong_word_back(as_operator, machine):
    typed = {"to": "in_doubt", "reason": "Not this one.", "lift": "lead"}
    as_operator.post(reverse("machines:out", args=[machine.code]), typed)
    assert "Take my last word back" in text(as_operator, "machines:machine", machine.code)

    as_operator.post(reverse("machines:undo", args=[machine.code]))
    machine.refresh_from_db()
    assert machine.state == "in_use"


def test_a_refusal_to_take_back_is_a_sentence(as_operator, machine):
    where = reverse("machines:undo", args=[machine.code])

    assert "no change of yours" in as_operator.post(where, follow=True).content.decode()


def test_a_part_that_is_let_go_is_found_among_those_no_longer_kept(as_lead, hose):
    as_lead.post(reverse("machines:part_retire", args=[hose.code]), {"reason": "Worn out."})

    text(as_lead, "machines:parts")  # the message is read once
    assert "Blue hose" not in text(as_lead, "machines:parts")
    assert "Blue hose" in text(as_lead, "machines:parts", where="gone")
    assert "Take it back" in text(as_lead, "machines:part", hose.code)
    as_lead.post(reverse("machines:part_restore", args=[hose.code]))
    assert "Blue hose" in text(as_lead, "machines:parts", where="store")


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({"find": "h-17"}, True),
        ({"find": "wren blue"}, True),
        ({"find": "Robin"}, False),
        ({"kind": "hose"}, True),
        ({"kind": "bag"}, False),
        ({"kind": "nonsense"}, True),
        ({"where": "store"}, False),
        ({"where": "bad"}, False),
        ({"page": "999"}, True),
        ({"page": "nonsense"}, True),
    ],
)
def test_the_list_finds_what_is_asked_for(as_viewer, hose, asked, found):
    assert ("Blue hose" in text(as_viewer, "machines:parts", **asked)) is found


def test_parts_of_another_site_are_not_listed(as_stranger, hose):
    assert "Blue hose" not in text(as_stranger, "machines:parts")
    assert as_stranger.get(reverse("machines:part", args=[hose.code])).status_code == 404


def test_what_stands_on_a_part_is_no_field_of_its_machine(as_lead, site, lead, machine):
    said = PartFacts(name="Tube", facts={"gas": "oxygen", "highest_l_min": 8.0})
    tube = part_add(site=site, kind="flowmeter", said=said, by=lead, machine=machine)
    where = reverse("machines:edit", args=[machine.code])
    shown = as_lead.get(where).content.decode()
    assert "Highest flow marked" in shown
    assert 'name="flowmeter_max_l_min"' not in shown
    assert 'name="flowmeter_min_l_min"' in shown

    typed = {"name": "Wren", "oxygen_alarm": "yes", "ventilator": "none", "system": "T-piece"}
    as_lead.post(where, typed)
    machine.refresh_from_db()
    assert (machine.oxygen_alarm, machine.flowmeter_max_l_min) == ("yes", 8.0)

    part_move(part=tube, to_machine=None, by=lead)
    assert 'name="flowmeter_max_l_min"' in as_lead.get(where).content.decode()


def test_words_that_look_like_code_are_shown_as_words(as_operator, hose):
    state_set(thing=hose, to="in_doubt", by=hose.moves.first().by, reason="<script>x</script>")

    assert "<script>x" not in text(as_operator, "machines:part", hose.code)
