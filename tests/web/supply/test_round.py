"""Connecting, moving on, amending, answering, watching: one address after the other."""

import pytest
from django.urls import reverse

from ullage.web.supply.models import CylinderEvent, Reading

pytestmark = pytest.mark.web


def address(name, thing, **more):
    return reverse(f"supply:{name}", kwargs={"code": thing.code, **more})


def text_of(reply):
    return reply.content.decode().replace("&#x27;", "'")


def state_of(cylinder):
    cylinder.refresh_from_db()
    return cylinder.state


# ---- connect


def test_a_cylinder_is_connected_to_a_place_of_its_gas(as_operator, hazel, source):
    page = address("connect", hazel)
    assert "Wren" in text_of(as_operator.get(page))
    reply = as_operator.post(page, {"place": str(source.code)})

    assert reply.url == address("cylinder", hazel)
    assert state_of(hazel) == "in_use"


def test_a_place_of_another_gas_is_not_offered(as_operator, nitrous, source):
    assert "No source here takes a cylinder of nitrous oxide" in text_of(
        as_operator.get(address("connect", nitrous))
    )
    reply = as_operator.post(address("connect", nitrous), {"place": str(source.code)})
    assert reply.status_code == 422


def test_a_place_that_is_taken_is_refused_beside_the_field(as_operator, alder, hazel, source):
    reply = as_operator.post(address("connect", hazel), {"place": str(source.code)})

    assert reply.status_code == 422
    assert "Alder is on Wren; use Change cylinder" in text_of(reply)


def test_strangers_and_viewers_connect_nothing(as_stranger, as_viewer, hazel, source):
    typed = {"place": str(source.code)}

    assert as_stranger.post(address("connect", hazel), typed).status_code == 404
    assert as_viewer.post(address("connect", hazel), typed).status_code == 403
    assert state_of(hazel) == "full"


# ---- the round


@pytest.mark.parametrize(
    ("step", "state"), [("empty", "empty"), ("return", "returned"), ("quarantine", "quarantine")]
)
def test_a_stored_cylinder_moves_on(step, state, as_operator, hazel):
    reply = as_operator.post(address("round", hazel, step=step), {"reason": "Label torn."})

    assert reply.status_code == 302
    assert state_of(hazel) == state


@pytest.mark.parametrize(("step", "state"), [("take-off", "part_used"), ("empty", "empty")])
def test_one_in_use_comes_off(step, state, as_operator, alder):
    as_operator.post(address("round", alder, step=step))

    assert state_of(alder) == state


def test_setting_apart_without_a_reason_changes_nothing(as_operator, hazel):
    reply = as_operator.post(address("round", hazel, step="quarantine"))

    assert reply.status_code == 422
    assert "say why Hazel is moved on" in text_of(reply)
    assert state_of(hazel) == "full"


def test_a_step_that_does_not_follow_is_refused_in_words(as_operator, hazel):
    reply = as_operator.post(address("round", hazel, step="take-off"), follow=True)

    assert "this step does not follow from that" in text_of(reply)


def test_a_step_that_nobody_knows_finds_nothing(as_operator, hazel):
    assert as_operator.post(address("round", hazel, step="explode")).status_code == 404


def test_the_round_is_for_operators_of_the_site_by_post(as_operator, as_viewer, as_stranger, hazel):
    page = address("round", hazel, step="empty")

    assert as_stranger.post(page).status_code == 404
    assert as_viewer.post(page).status_code == 403
    assert as_operator.get(page).status_code == 405
    assert state_of(hazel) == "full"


def test_a_stored_cylinder_is_moved_to_a_room(as_operator, hazel, room):
    as_operator.post(address("move", hazel), {"room": room.pk})
    hazel.refresh_from_db()
    assert hazel.room == room

    assert as_operator.post(address("move", hazel), {"room": "999"}).status_code == 422


# ---- amend, note, said


def test_an_amendment_keeps_the_time_of_the_first(as_operator, alder, read):
    first = read(alder, 17, hours_ago=2)
    assert "What stands now" in text_of(as_operator.get(address("amend", first)))
    typed = {"number": "71", "unit": "bar", "code": str(first.pk).zfill(32), "reason": "Swapped."}
    reply = as_operator.post(address("amend", first), typed)

    better = Reading.objects.get(amends=first)
    assert reply.url.startswith(address("cylinder", alder))
    assert (better.typed, better.at, better.reason) == ("71 bar", first.at, "Swapped.")


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"reason": ""}, "Say why; the first reading stays readable"),
        ({"number": "900"}, "no more than 207 bar"),
        ({"number": ""}, "Write what the needle shows"),
    ],
)
def test_an_amendment_that_cannot_be_leaves_the_first(typed, sentence, as_operator, alder, read):
    first = read(alder, 17)
    known = {"number": "71", "unit": "bar", "code": "0" * 32, "reason": "Swapped."}
    reply = as_operator.post(address("amend", first), {**known, **typed})

    assert reply.status_code == 422
    assert sentence in text_of(reply)
    assert Reading.objects.count() == 1


def test_amending_twice_is_refused_in_words(as_operator, alder, read):
    first = read(alder, 17)
    typed = {"number": "71", "unit": "bar", "code": "0" * 32, "reason": "Swapped."}
    as_operator.post(address("amend", first), typed)
    again = as_operator.post(address("amend", first), {**typed, "code": "1" * 32})

    assert again.status_code == 422
    assert "amend the one that stands" in text_of(again)


def test_a_reading_is_kept_as_a_note_with_a_reason(as_operator, alder, read):
    first = read(alder, 17)

    assert as_operator.post(address("note", first), {"reason": ""}).status_code == 422
    as_operator.post(address("note", first), {"reason": "It was Hazel."})
    assert not Reading.objects.get(amends=first).counts


@pytest.fixture
def asked(alder, read):
    made = read(alder, 71)
    Reading.objects.filter(pk=made.pk).update(asked="Another cylinder, or a warmer room?")
    made.refresh_from_db()
    return made


def test_one_touch_answers_the_question(as_operator, asked):
    as_operator.post(address("said", asked), {"choice": "warmer"})

    asked.refresh_from_db()
    assert asked.said == "The room is warmer than it was"


def test_another_cylinder_makes_it_a_note(as_operator, asked):
    as_operator.post(address("said", asked), {"choice": "other"})

    assert not Reading.objects.get(amends=asked).counts


def test_another_number_leads_to_the_amendment(as_operator, asked):
    assert as_operator.post(address("said", asked), {"choice": "meant"}).url == address(
        "amend", asked
    )


def test_no_answer_is_no_answer(as_operator, asked):
    assert as_operator.post(address("said", asked), {"choice": "maybe"}).status_code == 422


@pytest.mark.parametrize("name", ["amend", "note", "said"])
def test_readings_of_others_are_out_of_reach(name, as_stranger, as_viewer, alder, read):
    reading = read(alder, 71)

    assert as_stranger.post(address(name, reading)).status_code == 404
    assert as_viewer.post(address(name, reading)).status_code == 403


# ---- valve, watch, history, chart


def test_one_touch_says_whether_the_valve_was_closed(as_operator, alder, read):
    read(alder, 71)
    as_operator.post(address("valve", alder), {"valve": "closed"})

    assert 'aria-pressed="true"' in text_of(as_operator.get(address("cylinder", alder)))
    assert as_operator.post(address("valve", alder), {"valve": "ajar"}).status_code == 422


def test_the_needle_is_marked_and_read_again(as_operator, alder, read):
    read(alder, 71)
    as_operator.post(address("watch", alder), {"number": "71", "unit": "bar"})
    page = text_of(as_operator.get(address("cylinder", alder)))
    assert "Needle marked" in page

    as_operator.post(address("watch", alder), {"number": "70", "unit": "bar"})
    ended = CylinderEvent.objects.get(kind="watch ended")
    assert ended.details["verdict"] == "Not yet"
    assert "Too early to say" in text_of(as_operator.get(address("cylinder", alder)))
    assert Reading.objects.count() == 1


@pytest.mark.parametrize("number", ["", "0", "-1", "many"])
def test_a_needle_that_cannot_be_is_refused_in_words(number, as_operator, alder, read):
    read(alder, 71)
    as_operator.post(address("watch", alder), {"number": number, "unit": "bar"})

    assert not CylinderEvent.objects.filter(kind="watch begun").exists()


@pytest.mark.parametrize("name", ["valve", "watch"])
def test_touches_are_for_operators_by_post(name, as_operator, as_viewer, as_stranger, alder, read):
    read(alder, 71)

    assert as_operator.get(address(name, alder)).status_code == 405
    assert as_viewer.post(address(name, alder)).status_code == 403
    assert as_stranger.post(address(name, alder)).status_code == 404


def test_the_history_shows_what_stood_before(as_viewer, as_operator, alder, read):
    first = read(alder, 17)
    typed = {"number": "71", "unit": "bar", "code": "0" * 32, "reason": "Digits swapped."}
    as_operator.post(address("amend", first), typed)
    text = text_of(as_viewer.get(address("history", alder)))

    assert "<del>17 bar</del>" in text
    assert "Why: Digits swapped." in text
    assert "Received." in text


def test_the_history_is_for_the_site(as_stranger, alder):
    assert as_stranger.get(address("history", alder)).status_code == 404


def test_the_chart_comes_as_a_part_and_as_a_page(as_viewer, alder, read):
    read(alder, 80, hours_ago=3)
    read(alder, 71)
    part = as_viewer.get(address("chart", alder), headers={"HX-Request": "true"})
    page = as_viewer.get(address("chart", alder))

    assert "<svg" in text_of(part)
    assert "<html" not in text_of(part)
    assert "<html" in text_of(page)
    assert "HX-Request" in part["Vary"]
    assert "Gauge of Alder, 2 readings" in text_of(part)


def test_a_cylinder_that_nobody_read_has_no_chart(as_viewer, hazel):
    assert "No gauge reading to draw yet" in text_of(as_viewer.get(address("chart", hazel)))


def test_a_chart_is_for_the_site(as_stranger, alder):
    assert as_stranger.get(address("chart", alder)).status_code == 404
