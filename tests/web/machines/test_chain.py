"""The chain of a machine: what a person found, kept with its time, and what it comes to."""

from datetime import timedelta
from types import SimpleNamespace
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from ullage.answers import Answer
from ullage.core.errors import RuleBroken
from ullage.web.machines.models import ChainRecord
from ullage.web.machines.selectors import asked_of, chain_of, looks_of, sources_of
from ullage.web.machines.services import chain_record_add
from ullage.web.supply.models import Cylinder, Reading, Source

pytestmark = [pytest.mark.web, pytest.mark.django_db]


@pytest.fixture
def page(machine, source):
    return reverse("machines:chain", args=[machine.code, source.code])


@pytest.fixture
def send(as_operator, machine, source):
    def post(part, client=as_operator, **found):
        address = reverse("machines:look", args=[machine.code, source.code, part])
        return client.post(address, {f"{part}-{name}": value for name, value in found.items()})

    return post


@pytest.fixture
def found(machine, source, operator):
    """Keep a look of some hours ago."""

    def keep(hours, **parts):
        return chain_record_add(
            machine=machine,
            by=operator,
            source_code=source.code,
            found=parts,
            at=timezone.now() - timedelta(hours=hours),
        )

    return keep


def fed(machine):
    return sources_of(machine)[0]


def test_every_part_stands_with_its_question_and_its_form(as_operator, reading, page):
    shown = as_operator.get(page).content.decode()

    assert "Identity of the gas" in shown
    assert "Is a self-inflating bag within reach?" in shown
    assert "Keep what I found" in shown
    assert "Nobody has looked along this chain yet." in shown


def test_a_viewer_sees_the_chain_and_no_form(as_viewer, page):
    assert "Keep what I found" not in as_viewer.get(page).content.decode()


def test_what_is_found_is_kept_and_judged(send, as_operator, operator, page):
    response = send("bag", present="no")

    kept = ChainRecord.objects.get()
    shown = as_operator.get(page).content.decode()
    assert response["Location"].endswith("#bag")
    assert (kept.found, kept.by) == ({"bag": {"present": False}}, operator)
    assert "Is a self-inflating bag within reach? <b" in shown
    assert "Nobody has looked" not in shown


def test_a_later_look_never_overwrites_an_earlier_one(send, machine):
    send("bag", present="no")
    send("bag", present="yes", fits="yes")

    assert ChainRecord.objects.count() == 2
    assert ChainRecord.objects.last().found == {"bag": {"present": False}}
    assert chain_of(machine, fed(machine)).bag.present is True


def test_fields_left_alone_keep_their_last_word(found, machine):
    found(3, hose={"fitted": True, "rated": True})
    found(1, hose={"damaged": True})

    hose = chain_of(machine, fed(machine)).hose
    assert (hose.fitted, hose.rated, hose.damaged) == (True, True, True)


def test_a_late_look_does_not_come_before_a_newer_one(found, machine):
    found(1, bag={"present": True})
    found(5, bag={"present": False})

    assert chain_of(machine, fed(machine)).bag.present is True


def test_what_was_seen_of_the_cylinder_before_this_one_says_nothing(found, machine, cylinder):
    found(24 * 5, seal={"new": True}, hose={"rated": True})

    looks = looks_of(machine, fed(machine))
    assert "seal" not in looks
    assert looks["hose"]["rated"].value is True


def test_what_is_asked_of_today_is_asked_again_tomorrow(found, machine):
    found(30, reserve={"present": True, "gauge_kpa": 13_000.0})

    looks = looks_of(machine, fed(machine))
    assert "gauge_kpa" not in looks["reserve"]
    assert looks["reserve"]["present"].value is True


def test_a_pressure_is_typed_in_the_unit_people_think_in(send, machine):
    send("regulator", kind="preset", still_gauge_kpa="50 psi", flowing_gauge_kpa="3.3")

    regulator = chain_of(machine, fed(machine)).regulator
    # 1 psi is 6.894757 kPa by definition.
    assert regulator.still_gauge_kpa == pytest.approx(344.738, abs=1e-3)
    assert regulator.flowing_gauge_kpa == pytest.approx(330.0)


def test_rows_fill_in_what_is_known(machine, site, room, cylinder, reading):
    machine.flowmeter_max_l_min, machine.usual_flow_l_min = 4.0, 1.5
    room.is_magnet = True
    room.save()
    machine.save()
    machine.refresh_from_db()

    chain = chain_of(machine, fed(machine))

    assert chain.contents.cylinder.water_capacity_l == 4.7
    assert chain.contents.reading.gauge_kpa == 7_100.0
    assert (chain.magnet.room_marked, chain.magnet.cylinder_material.value) == (True, "steel")
    assert (chain.room_air.volume_m3, chain.flowmeter.highest_l_min) == (60.0, 4.0)
    assert [flow.flow_l_min for flow in chain.flowmeter.flows] == [1.5]
    # 4.7 L at 71 bar is about 338 L by pressure times volume; the upper end of the band counts.
    assert chain.room_air.escaping_l == pytest.approx(345, rel=0.12)


def test_steel_in_a_room_with_a_magnet_is_stop(as_viewer, room, cylinder, page):
    room.is_magnet = True
    room.save()

    shown = as_viewer.get(page).content.decode()

    assert "A steel cylinder in a room with a magnet" in shown
    assert "Do not use this chain" in shown


def test_the_why_of_a_stop_is_open_and_of_others_closed(as_viewer, room, cylinder, page):
    assert '<details class="why" open>' not in as_viewer.get(page).content.decode()

    room.is_magnet = True
    room.save()

    assert '<details class="why" open>' in as_viewer.get(page).content.decode()


@pytest.mark.parametrize(
    ("part", "typed", "sentence"),
    [
        ("bag", {}, "Nothing was looked at: answer at least one question."),
        ("bag", {"present": "perhaps"}, "perhaps is not one of the available choices"),
        ("regulator", {"still_gauge_kpa": "-3"}, "must be between 0 and 350 bar"),
        ("regulator", {"still_gauge_kpa": "3 litres"}, "is not a unit of pressure"),
        ("identity", {"analyser_fraction": "140"}, "must be between 0 and 100 %"),
        ("bag", {"present": "yes", "at": "2990-01-01T00:00"}, "This time has not come yet"),
    ],
)
def test_what_cannot_be_is_refused_and_kept_as_typed(send, part, typed, sentence):
    response = send(part, **typed)

    shown = response.content.decode()
    assert response.status_code == 422
    assert sentence in shown
    assert '<details class="why" open><summary><span>Look and write down' in shown
    assert not ChainRecord.objects.exists()


def test_a_time_that_has_passed_is_taken_on_the_clock_of_the_site(send, site):
    site.time_zone = "America/Denver"
    site.save()

    send("bag", present="yes", at="2026-01-10T08:00")

    # Denver is seven hours behind UTC in January.
    assert ChainRecord.objects.get().at.isoformat() == "2026-01-10T15:00:00+00:00"


def test_the_service_itself_refuses_the_future_and_the_empty(machine, source, operator):
    wanted = {"machine": machine, "by": operator, "source_code": source.code}

    with pytest.raises(RuleBroken, match="Nothing was looked at"):
        chain_record_add(**wanted, found={"bag": {}}, at=timezone.now())
    with pytest.raises(RuleBroken, match="has not come yet"):
        chain_record_add(
            **wanted, found={"bag": {"present": True}}, at=timezone.now() + timedelta(hours=1)
        )


def test_a_viewer_writes_nothing_down(send, as_viewer):
    assert send("bag", client=as_viewer, present="yes").status_code == 403
    assert not ChainRecord.objects.exists()


def test_a_stranger_finds_nothing(send, as_stranger, page):
    assert as_stranger.get(page).status_code == 404
    assert send("bag", client=as_stranger, present="yes").status_code == 404


def test_a_source_that_feeds_another_machine_has_no_chain_here(as_operator, machine):
    address = reverse("machines:chain", args=[machine.code, uuid4()])

    assert as_operator.get(address).status_code == 404


def test_a_part_that_nobody_is_asked_about(send):
    assert send("room_air", volume_m3="3").status_code == 404


def test_looks_are_only_posted(as_operator, machine, source):
    address = reverse("machines:look", args=[machine.code, source.code, "bag"])

    assert as_operator.get(address).status_code == 405


def test_every_question_of_a_part_has_its_words():
    assert asked_of("bag")[0].question == "Is a self-inflating bag within reach?"
    assert asked_of("room_air") == ()


def outlook(left, at_end, needed):
    """What a day's plan says of a source, in litres as the site counts them."""
    said = {"unit": "L", "question": "?", "sentence": ".", "reasons": (), "where_from": ()}
    return SimpleNamespace(
        left=Answer(value=left, **said),
        left_at_end=Answer(value=at_end, **said),
        needed=Answer(value=needed, **said),
    )


def contents_by(machine, plan):
    return chain_of(machine, fed(machine), plan).contents


def test_the_plan_asks_for_what_it_takes_out(machine, cylinder, reading):
    held = 343.0

    # 343 L less 100 L is 243 L; counted at 70 °F instead of 15 °C, 294.26 / 288.15 as many.
    needed_l = contents_by(machine, outlook(held, 100.0, 300.0)).needed_l
    assert needed_l == pytest.approx(243.0 * 294.26 / 288.15, rel=0.005)


def test_a_plan_that_empties_it_asks_for_more_than_is_left(machine, cylinder, reading):
    assert contents_by(machine, outlook(343.0, 0.0, 600.0)).needed_l > 600.0


def test_what_others_on_the_same_source_hold_is_asked_first(machine, cylinder, reading):
    # Two thousand litres stand beside the one that was read: its own gas is not touched.
    assert contents_by(machine, outlook(2_343.0, 1_900.0, 500.0)).needed_l == 0.0


def test_without_a_plan_the_question_stays_open_except_for_a_reserve(
    machine, source, cylinder, reading, site
):
    assert contents_by(machine, None).needed_l is None

    main = Source.objects.create(site=site, name="Wall", kind="pipeline")
    source.reserve_of = main
    source.save()

    assert contents_by(machine, None).needed_l == 0.0


def test_where_several_share_the_work_the_fullest_speaks_and_the_plan_says_if_they_suffice(
    as_viewer, machine, reading, page
):
    known = {"site": machine.site, "source": fed(machine), "state": "in_use", "bank": "B"}
    second = Cylinder.objects.create(name="Beech", water_capacity_l=10.0, **known)
    Reading.objects.create(
        cylinder=second, at=timezone.now(), gauge_kpa=13_000.0, typed="130 bar", by=reading.by
    )

    chain = chain_of(machine, fed(machine))
    shown = as_viewer.get(page).content.decode()

    assert chain.contents.cylinder.label == "Beech"
    assert "2 cylinders share the work on Alder on Wren" in shown
    assert 'id="contents"' not in shown
    assert 'id="seal"' in shown
