"""Sources as pages: add by kind, look, change, take out; and the flow that runs."""

import pytest
from django.urls import reverse

from ullage.web.supply.models import FlowRecord, Source, SourceEvent

pytestmark = pytest.mark.web

ADD = "/sources/add/"


def text_of(reply):
    return reply.content.decode().replace("&#x27;", "'")


def address(name, source):
    return reverse(f"supply:{name}", kwargs={"code": source.code})


def test_the_kind_comes_first(as_lead):
    text = text_of(as_lead.get(ADD))

    assert "What does the gas come from?" in text
    assert "Two-bank manifold" in text


@pytest.mark.parametrize(
    ("kind", "asked", "not_asked"),
    [
        ("pipeline", "Pressure at the outlet", "Liquid it holds"),
        ("manifold", "Changes over at", "Liquid it holds"),
        ("concentrator", "Oxygen it gives", "Changes over at"),
        ("liquid", "Liquid it holds", "Pressure at the outlet"),
        ("cylinder", "Trapped behind the closed valve", "Liquid it holds"),
    ],
)
def test_each_kind_asks_what_belongs_to_it(kind, asked, not_asked, as_lead):
    text = text_of(as_lead.get(ADD, {"kind": kind}))

    assert asked in text
    assert not_asked not in text


def test_a_source_is_added_with_what_it_feeds(as_lead, machine, room):
    typed = {"kind": "concentrator", "name": "Barn box", "gas": "oxygen", "room": room.pk}
    typed |= {"machines": [str(machine.code)], "flow_limit": "8", "oxygen_percent": "93"}
    typed |= {"line_gauge": "0.6 bar"}
    reply = as_lead.post(ADD, typed)

    made = Source.objects.get()
    assert reply.url == address("source", made)
    assert (made.flow_limit_l_min, made.oxygen_fraction) == (8.0, pytest.approx(0.93))
    assert list(made.machines.all()) == [machine]
    assert "it cannot drive a ventilator" in text_of(as_lead.get(reply.url))


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"kind": "teapot"}, "Select a valid choice"),
        ({"kind": "liquid", "name": "Tank", "gas": "oxygen"}, "Write how much liquid it holds."),
        ({"kind": "pipeline", "name": "", "gas": "oxygen"}, "Give it a name."),
        ({"kind": "concentrator", "name": "Box", "gas": "air"}, "Select a valid choice"),
        (
            {"kind": "concentrator", "name": "Box", "gas": "oxygen", "oxygen_percent": "130"},
            "must be between 21 and 100 %",
        ),
        (
            {"kind": "cylinder", "name": "Wall", "gas": "oxygen", "fall_limit": "5 bar"},
            "Write in how many minutes.",
        ),
        ({"kind": "cylinder", "name": "wren", "gas": "oxygen"}, "There is a source named wren"),
    ],
)
def test_what_cannot_be_added_is_said_beside_the_field(typed, sentence, as_lead, source):
    reply = as_lead.post(ADD, typed)

    assert reply.status_code == 422
    assert sentence in text_of(reply)
    assert Source.objects.count() == 1


def test_a_reserve_stands_behind_another_source(as_lead, source):
    typed = {"kind": "cylinder", "name": "Reserve", "gas": "oxygen"}
    as_lead.post(ADD, {**typed, "reserve_of": str(source.code)})

    made = Source.objects.get(name="Reserve")
    assert made.reserve_of == source
    assert "reserve of Wren: valve closed" in text_of(as_lead.get(address("source", made)))
    assert "Reserve" in text_of(as_lead.get(address("source", source)))


def test_an_edit_starts_from_what_is_written_and_keeps_it(as_lead, source, machine):
    page = address("source_edit", source)
    assert 'value="Wren"' in text_of(as_lead.get(page))
    typed = {"name": "Wren place", "gas": "oxygen", "machines": [str(machine.code)]}
    typed |= {"trapped_ml": "12", "fall_limit": "5 bar", "fall_limit_min": "5"}
    as_lead.post(page, typed)

    source.refresh_from_db()
    assert (source.trapped_ml, source.fall_limit_kpa) == (pytest.approx(12.0), 500.0)
    assert SourceEvent.objects.get(kind="changed").details["was"]["name"] == "Wren"
    assert 'value="12"' in text_of(as_lead.get(page))


def test_an_edit_that_breaks_a_rule_is_refused_in_words(as_lead, source, alder):
    reply = as_lead.post(address("source_edit", source), {"name": "Wren", "gas": "air"})

    assert reply.status_code == 422
    assert "take them off before its gas or kind is changed" in text_of(reply)


@pytest.mark.parametrize("name", ["source_edit", "source_retire", "source_restore"])
def test_only_a_lead_changes_a_source(name, as_operator, as_stranger, source):
    assert as_operator.post(address(name, source)).status_code == 403
    assert as_stranger.post(address(name, source)).status_code == 404


def test_an_operator_adds_no_source(as_operator):
    assert as_operator.get(ADD).status_code == 403


def test_a_source_is_taken_out_and_put_back(as_lead, source):
    as_lead.post(address("source_retire", source))
    assert "No source yet." in text_of(as_lead.get(reverse("supply:list")))
    assert "taken out of the list" in text_of(as_lead.get(address("source", source)))

    as_lead.post(address("source_restore", source))
    source.refresh_from_db()
    assert source.retired_at is None


def test_a_source_in_use_stays(as_lead, source, alder):
    reply = as_lead.post(address("source_retire", source), follow=True)

    assert "A cylinder is on Wren; take it off first." in text_of(reply)


def test_a_flow_is_noted_and_ended(as_operator, source):
    page = address("flow", source)
    as_operator.post(page, {"flow": "1700 mL/min", "why": "Clover"})
    assert FlowRecord.objects.get().flow_l_min == pytest.approx(1.7)
    assert "Clover" in text_of(as_operator.get(address("source", source)))

    as_operator.post(page, {"off": "1"})
    assert FlowRecord.objects.get().ended_at is not None
    again = as_operator.post(page, {"off": "1"}, follow=True)
    assert "No flow is noted as running from Wren" in text_of(again)


@pytest.mark.parametrize("flow", ["", "0", "-2", "9999", "some"])
def test_a_flow_that_is_none_is_refused(flow, as_operator, source):
    assert as_operator.post(address("flow", source), {"flow": flow}).status_code == 422


def test_noting_a_flow_leads_back_to_where_it_was_noted_and_nowhere_else(
    as_operator, source, alder
):
    cylinder = reverse("supply:cylinder", kwargs={"code": alder.code})
    back = as_operator.post(address("flow", source), {"flow": "1", "next": cylinder})
    away = as_operator.post(
        address("flow", source), {"flow": "1", "next": "https://elsewhere.example/"}
    )

    assert back.url == cylinder
    assert away.url == address("source", source)


def test_the_bank_on_duty_is_noted(as_lead, as_operator):
    as_lead.post(ADD, {"kind": "manifold", "name": "Manifold", "gas": "oxygen"})
    manifold = Source.objects.get()
    as_operator.post(address("duty", manifold), {"bank": "B"})
    manifold.refresh_from_db()
    assert manifold.duty_bank == "B"

    refused = as_operator.post(address("duty", manifold), {"bank": "Q"}, follow=True)
    assert "Only a manifold has a bank on duty" in text_of(refused)


@pytest.mark.parametrize("name", ["flow", "duty"])
def test_touches_at_a_source_are_for_operators_by_post(
    name, as_operator, as_viewer, as_stranger, source
):
    assert as_operator.get(address(name, source)).status_code == 405
    assert as_viewer.post(address(name, source)).status_code == 403
    assert as_stranger.post(address(name, source)).status_code == 404


def test_a_source_is_shown_to_its_site(as_viewer, as_stranger, source, alder):
    text = text_of(as_viewer.get(address("source", source)))

    assert "Alder" in text
    assert "Note the flow" not in text
    assert as_stranger.get(address("source", source)).status_code == 404
