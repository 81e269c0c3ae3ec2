"""The page of a running case: what it shows, and what its plain forms take."""

import re
from datetime import timedelta
from html import unescape
from uuid import uuid4

import pytest
from django.utils import timezone

from ullage.answers.record.things import EntryKind
from ullage.web.cases.models import CaseState, NotTaken, Record
from ullage.web.cases.selectors import lines_of
from ullage.web.cases.services import Opening, lines_take, record_open, state_write
from ullage.web.cases.services.entries import Seen, event, setting, take_seen
from ullage.web.supply.models import Cylinder, Reading, Source

pytestmark = pytest.mark.web


def minutes_ago(minutes):
    return timezone.now() - timedelta(minutes=minutes)


@pytest.fixture
def running(record, entry, operator):
    """A case with gas for an hour, a few observations and no event."""
    sent = [
        entry("agent", "isoflurane", kind=EntryKind.SETTING, ago_min=60),
        entry("dial", "2 %", kind=EntryKind.SETTING, ago_min=60),
        entry("flow_oxygen", "1 L/min", kind=EntryKind.SETTING, ago_min=60),
        entry("heart_rate", "118", ago_min=50),
        entry("heart_rate", "112", ago_min=40),
        entry("end_tidal_isoflurane", "1.6 %", kind=EntryKind.GAS, ago_min=30),
    ]
    lines_take(record=record, sent=sent, by=operator)
    record.refresh_from_db()
    return record


@pytest.fixture
def fitted(machine, site, operator):
    """A cylinder on the machine of the case, read an hour ago."""
    source = Source.objects.create(site=site, name="On Wren", kind="cylinder")
    source.machines.add(machine)
    cylinder = Cylinder.objects.create(
        site=site, source=source, name="Rowan", water_capacity_l=10.0, state="in_use"
    )
    Reading.objects.create(
        cylinder=cylinder, at=minutes_ago(60), gauge_kpa=8000.0, typed="80", by=operator
    )
    return cylinder


def address(record, part=""):
    return f"/cases/{record.code}/{part}"


def text(reply):
    return re.sub(r"\s+", " ", reply.content.decode())


def entries(record):
    return [one for one in lines_of(record) if hasattr(one, "what")]


def send(client, record, form, **typed):
    return client.post(address(record, f"enter/{form}/"), {"code": str(uuid4()), **typed})


def test_the_page_shows_who_it_is_and_what_was_seen_last(running, as_operator):
    page = as_operator.get(address(running))

    assert page.status_code == 200
    assert page["Ullage-Keep"] == "yes"
    assert "Clover" in text(page)
    assert "T-piece" in text(page)
    assert "last 112" in text(page)
    assert "5 min" in text(page)


def test_nothing_is_filled_in_as_observed(running, as_operator):
    page = text(as_operator.get(address(running)))
    filled = re.findall(r'<input name="(\w+)"[^>]*? value="([^"]+)"', page)

    assert 'data-last="112"' in page
    assert filled == []
    assert "checked" not in page.partition('id="observation"')[2].partition("</form>")[0]


def test_who_may_only_look_gets_no_form(running, as_viewer):
    page = text(as_viewer.get(address(running)))

    assert "You can see this case, not write in its record." in page
    assert "/enter/" not in page


def test_an_observation_is_taken_as_it_was_typed(running, as_operator):
    reply = send(
        as_operator, running, "observation", heart_rate="120", cuff_mean="9.5 kPa", jaw="slack"
    )

    assert reply.status_code == 302
    found = {one.what: (one.typed, one.number, one.unit) for one in entries(running)[-3:]}
    assert found == {
        "heart_rate": ("120 /min", "120", "/min"),
        "cuff_mean": ("9.5 kPa", "9.5", "kPa"),
        "jaw": ("slack", "", ""),
    }


def test_the_same_form_sent_twice_is_taken_once_and_says_so(running, as_operator):
    before, code = running.count, str(uuid4())
    for _ in range(2):
        reply = as_operator.post(
            address(running, "enter/observation/"),
            {"code": code, "heart_rate": "120", "respiratory_rate": "20"},
            follow=True,
        )

    running.refresh_from_db()
    assert running.count == before + 2
    assert NotTaken.objects.count() == 0
    assert "This form was sent before" in text(reply)


@pytest.mark.parametrize(
    ("form", "typed", "says"),
    [
        ("observation", {}, "Nothing is filled in"),
        ("observation", {"heart_rate": "fast"}, "is no number with a unit"),
        ("observation", {"heart_rate": "nan"}, "is no number with a unit"),
        ("observation", {"heart_rate": "1" * 200}, "at most 40 characters"),
        ("observation", {"cuff_mean": "70 °C"}, "is not one of"),
        ("observation", {"jaw": "open"}, "is not one of"),
        ("observation", {"heart_rate": "120", "observed": "soon"}, "Write the time like 09:05."),
        ("setting", {"dial": "two"}, "is no number with a unit"),
        ("event", {}, "Which event?"),
        ("event", {"event": "flew away"}, "No such event."),
        ("drug", {"what": "propofol"}, "How much was given? Dose, volume or rate."),
        ("drug", {"dose": "4 mg/kg"}, "Which one was given?"),
        ("drug", {"what": "propofol", "dose": "much"}, "is no number with a unit"),
        ("fluid", {"what": "saline", "rate": "5 mL"}, "is not one of"),
        ("note", {"text": " "}, "Nothing is written."),
        ("word", {"warning": "flow", "cause": "breathed in"}, "Say a word on this warning"),
    ],
)
def test_what_cannot_be_read_is_said_kept_in_its_field_and_not_taken(
    running, as_operator, form, typed, says
):
    before = running.count
    reply = send(as_operator, running, form, **typed)

    running.refresh_from_db()
    assert reply.status_code == 422
    assert running.count == before
    assert NotTaken.objects.count() == 0
    assert says in unescape(text(reply))
    for name, value in typed.items():
        if value.strip() and name not in {"jaw", "event", "warning", "cause"}:
            assert value in text(reply)


def test_an_odd_value_is_taken_and_asked_about(running, as_operator):
    reply = as_operator.post(
        address(running, "enter/observation/"),
        {"code": str(uuid4()), "heart_rate": "9"},
        follow=True,
    )

    assert entries(running)[-1].number == "9"
    assert "Is 9 /min what was meant?" in text(reply)


def test_the_time_at_which_it_was_seen_is_that_of_the_clock_of_the_site(running, as_operator):
    at = timezone.localtime(minutes_ago(20))
    send(as_operator, running, "observation", heart_rate="101", observed=f"{at:%H:%M}")

    line = entries(running)[-1]
    assert abs((line.times.observed - minutes_ago(20)).total_seconds()) <= 60
    assert line.times.written > line.times.observed


def test_a_time_that_has_not_come_yet_is_that_of_the_day_before(running, as_operator):
    at = timezone.localtime(timezone.now() + timedelta(minutes=30))
    send(as_operator, running, "observation", heart_rate="102", observed=f"{at:%H:%M}")

    assert entries(running)[-1].times.observed < timezone.now() - timedelta(hours=22)


def test_settings_events_drugs_fluids_and_words_are_entries_of_their_kind(running, as_operator):
    send(as_operator, running, "setting", dial="2.5", flow_air="0.5", heating="warm air blanket")
    send(as_operator, running, "event", event="procedure began", note="cut")
    send(as_operator, running, "drug", what="fentanyl", dose="2 ug/kg", route="IV")
    send(as_operator, running, "fluid", what="saline", rate="5")
    send(as_operator, running, "note", text="Calm.")

    found = [(one.kind.value, one.what, one.typed, dict(one.details)) for one in entries(running)]
    assert found[-7:] == [
        ("setting", "dial", "2.5 %", {}),
        ("setting", "flow_air", "0.5 L/min", {}),
        ("warming", "heating", "warm air blanket", {}),
        ("event", "procedure began", "cut", {}),
        ("drug", "fentanyl", "2 ug/kg, IV", {"dose": "2 ug/kg", "route": "IV"}),
        ("fluid", "saline", "5 mL/kg/h", {"rate": "5 mL/kg/h"}),
        ("text", "", "Calm.", {}),
    ]


def test_a_warning_states_what_to_do_and_a_word_quiets_it(running, as_operator, operator):
    take_seen(record=running, seen=[event("leak test", minutes_ago(3))], by=operator)
    page = text(as_operator.get(address(running)))
    assert "Is the relief valve open after the last leak test?" in page
    assert "Look at the valve, open it, and see the gauge fall to zero." in page

    send(
        as_operator,
        running,
        "word",
        warning="relief_valve",
        cause="leak test",
        word="open, gauge at zero",
    )
    after = text(as_operator.get(address(running)))
    assert "Is the relief valve open after the last leak test?" not in after
    assert "open, gauge at zero" in after


def test_two_words_on_two_warnings_of_one_page_are_two_entries(running, as_operator):
    code, before = str(uuid4()), running.count
    for warning, cause in (("relief_valve", "connection"), ("temperature", "warming")):
        as_operator.post(
            address(running, "enter/word/"),
            {"code": code, "warning": warning, "cause": cause, "word": "seen to"},
        )

    running.refresh_from_db()
    assert running.count == before + 2


def test_a_question_is_answered_by_one_touch(running, as_operator, operator):
    take_seen(record=running, seen=[event("leak test", minutes_ago(3))], by=operator)
    page = text(as_operator.get(address(running, "live/")))
    assert 'name="event" value="relief valve open"' in page

    send(as_operator, running, "event", event="relief valve open")
    assert "relief valve open after" not in text(as_operator.get(address(running, "live/")))


def test_the_oxygen_lasts_by_its_last_reading_less_what_was_set(running, fitted, as_operator):
    page = text(as_operator.get(address(running)))
    assert "Rowan: At 1 L/min the oxygen lasts" in page
    # an hour at 1 L/min is 60 L at 70 °F, by hand 60 x 288.15 / 294.26 L at 15 °C
    assert "58.8 L" in page
    assert "an estimate, until the gauge is read again" in page

    faster = text(as_operator.get(address(running, "oxygen/?flow=4")))
    assert "At 4 L/min the oxygen lasts" in faster


def test_a_gauge_that_is_entered_takes_the_place_of_the_estimate(running, fitted, as_operator):
    send(as_operator, running, "observation", gauge="40 bar")
    page = text(as_operator.get(address(running, "oxygen/")))

    assert "40 bar on the gauge" in page
    assert "80 bar on the gauge" not in page


def test_what_another_case_draws_from_the_same_source_counts(
    running, fitted, site, machine, operator, as_operator
):
    opening = Opening(machine=machine, name="Sorrel", species="cat", facts={"weight": "4 kg"})
    other = record_open(site=site, opening=opening, by=operator)
    other = state_write(record=other, to=CaseState.RUNNING, by=operator)
    seen = [setting("flow_oxygen", "2 L/min", minutes_ago(30))]
    take_seen(record=other, seen=seen, by=operator)

    page = text(as_operator.get(address(running, "oxygen/")))
    assert "Other cases draw 2 L/min from the same source: 3 L/min together." in page
    assert "Sorrel" in text(as_operator.get(address(running)))


@pytest.mark.parametrize("flow", ["", "0", "-1", "nan", "1e99", "two", "999"])
def test_a_flow_that_is_not_offered_tells_the_one_that_runs(running, fitted, as_operator, flow):
    reply = as_operator.get(address(running, "oxygen/"), {"flow": flow})

    assert reply.status_code == 200
    assert "At 1 L/min the oxygen lasts" in text(reply)


def test_levels_tell_what_is_expected_and_give_no_verdict(running, as_operator):
    page = text(as_operator.get(address(running, "levels/")))

    assert "End-tidal, expected" in page
    assert re.search(r"Last measured .*?(agrees|does not agree) with what is expected", page)
    assert "An expectation for this animal, not a measurement." in page
    assert "v--fine" not in page
    assert "v--stop" not in page


def test_where_it_moved_is_said_with_its_level(running, as_operator, operator):
    take_seen(record=running, seen=[event("moved", minutes_ago(29))], by=operator)
    page = text(as_operator.get(address(running, "levels/")))

    assert re.search(r"Moved at \d\d:\d\d with 1\.6 % measured\.", page)
    assert "moved here" in page


def test_without_a_dial_no_level_is_invented(record, as_operator):
    page = text(as_operator.get(address(record, "levels/")))

    assert "No answer yet." in page
    assert "the dial" in page


def test_an_animal_that_the_tables_do_not_know_gets_a_sentence(
    site, machine, operator, as_operator
):
    opening = Opening(
        machine=machine, name="Ziggy", species="wombat", facts={"weight": "20 kg", "agent": "ether"}
    )
    odd = record_open(site=site, opening=opening, by=operator)
    odd = state_write(record=odd, to=CaseState.RUNNING, by=operator)
    seen = [
        setting("dial", "2 %", minutes_ago(9)),
        setting("flow_oxygen", "1 L/min", minutes_ago(9)),
    ]
    take_seen(record=odd, seen=seen, by=operator)

    for part in ("", "live/", "levels/", "changes/", "oxygen/"):
        assert as_operator.get(address(odd, part)).status_code == 200
    assert "No answer yet." in text(as_operator.get(address(odd, "levels/")))


def test_what_another_flow_or_dial_would_do_is_told_beside_what_is_set(running, as_operator):
    page = text(as_operator.get(address(running, "changes/")))

    assert "Dial up" in page
    assert "As it is set" in page


def test_a_late_and_an_amended_entry_look_so(running, as_operator, operator, entry):
    late = entry("temperature_rectal", "38.1 °C", ago_min=55)
    lines_take(record=running, sent=[late], by=operator)
    page = text(as_operator.get(address(running)))

    assert "late, written" in page
    assert "Rectal temperature" in page


def test_the_part_that_follows_holds_every_place_of_the_page(running, as_operator):
    page, part = (text(as_operator.get(address(running, one))) for one in ("", "live/"))
    places = re.findall(r'id="([\w-]+)"[^>]*hx-swap-oob="true"', part)

    assert {"strip", "warnings", "chart", "events", "phases"} <= set(places)
    missing = [one for one in places if f'id="{one}"' not in page and one != "count"]
    assert missing == []


def test_the_board_shows_every_open_case_with_what_is_due(running, fitted, as_operator):
    page = text(as_operator.get("/cases/"))

    assert "Clover" in page
    assert "overdue" in page
    assert f"/cases/{running.code}/" in page


def test_a_closed_case_takes_no_entry_on_its_page(running, as_operator, operator):
    Record.objects.filter(pk=running.pk).update(state=CaseState.CLOSED)
    reply = as_operator.get(address(running))

    assert "Ullage-Keep" not in reply
    assert "/enter/" not in text(reply)
    kept = as_operator.post(
        address(running, "enter/observation/"),
        {"code": str(uuid4()), "heart_rate": "99"},
        follow=True,
    )
    assert NotTaken.objects.count() == 1
    assert "Not taken, but kept" in text(kept)


def test_a_group_has_a_row_for_each_animal_and_entries_go_to_the_one_that_is_chosen(
    site, machine, operator, as_operator
):
    opening = Opening(
        machine=machine,
        name="Mice",
        species="mouse",
        facts={"weight": "25 g", "agent": "isoflurane", "animals": "M1; M2"},
        is_group=True,
    )
    bench = record_open(site=site, opening=opening, by=operator)
    bench = state_write(record=bench, to=CaseState.RUNNING, by=operator)
    seen = [
        setting("dial", "2 %", minutes_ago(9)),
        setting("flow_oxygen", "1 L/min", minutes_ago(9)),
        Seen(
            kind=EntryKind.VITAL,
            what="respiratory_rate",
            typed="64 /min",
            at=minutes_ago(4),
            animal="M2",
        ),
    ]
    take_seen(record=bench, seen=seen, by=operator)
    page = text(as_operator.get(address(bench)))
    assert "?animal=M2" in page
    assert "64 /min" in page

    reply = send(as_operator, bench, "observation", respiratory_rate="70", animal="M2")
    assert reply.url.endswith("?animal=M2")
    assert entries(bench)[-1].animal == "M2"
    assert "last 70" in text(as_operator.get(address(bench), {"animal": "M2"}))
    assert "last 70" not in text(as_operator.get(address(bench), {"animal": "M1"}))


def test_an_animal_that_is_not_in_the_record_gets_a_sentence(running, as_operator):
    reply = send(as_operator, running, "observation", heart_rate="99", animal="M9")

    assert reply.status_code == 422
    assert "There is no such animal in this record." in text(reply)
    assert 'value="99"' in text(reply)


def test_a_pipeline_is_not_asked_for_its_gauge(running, machine, site, as_operator, operator):
    asked = "How long does the oxygen last"
    take_seen(record=running, seen=[event("connected", minutes_ago(50))], by=operator)
    assert asked in text(as_operator.get(address(running, "live/")))

    source = Source.objects.create(site=site, name="Wall", kind="pipeline")
    source.machines.add(machine)
    page = text(as_operator.get(address(running, "live/")))
    assert asked not in page
    oxygen = text(as_operator.get(address(running, "oxygen/")))
    assert "nothing is fitted whose gauge would tell an end" in oxygen


def test_the_queries_of_the_page_do_not_grow_with_the_entries(
    running, as_operator, operator, django_assert_max_num_queries
):
    seen = [
        Seen(kind=EntryKind.VITAL, what="heart_rate", typed=f"{90 + one} /min", at=minutes_ago(one))
        for one in range(1, 50)
    ]
    take_seen(record=running, seen=seen, by=operator)
    as_operator.get(address(running))

    with django_assert_max_num_queries(32):
        as_operator.get(address(running))


def test_a_case_begun_with_something_open_says_so_in_one_sentence(client, machine, operator, site):
    facts = {"started_without": "gas: Nobody has worked out how long it lasts."}
    opening = Opening(machine=machine, name="Teasel", species="cat", facts=facts)
    opened = record_open(site=site, opening=opening, by=operator)
    begun = state_write(record=opened, to=CaseState.RUNNING, by=operator)
    client.force_login(operator)

    page = text(client.get(address(begun)))

    said = "The case was begun with something open. Gas: Nobody has worked out how long it lasts."
    assert f"<b>{said}</b>" in page
