"""The pages of service: what they say, what they take, what they refuse."""

import re
from datetime import timedelta
from html import unescape
from io import BytesIO
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from ullage.web.machines.models import Part
from ullage.web.service.models import Certificate, Interval, OutputRule, ServiceEvent

pytestmark = pytest.mark.web


def page_of(reply) -> str:
    return unescape(reply.content.decode())


@pytest.fixture
def typed(today):
    """An output test as a person types it."""
    return {
        "code": str(uuid4()),
        "done_on": today.isoformat(),
        "done_by": "Marsh Instruments",
        "temperature_k": "20",
        "fresh_gas_l_min": "2",
        "barometric_kpa": "1013.25",
        "carrier": "oxygen",
        "dial_1": "2",
        "measured_1": "1.65",
    }


def test_an_output_test_shows_what_it_comes_to(as_operator, vaporizer, typed, site, lead):
    OutputRule.objects.create(site=site, key="policy", why="So we hold it.", by=lead)
    reply = as_operator.post(f"/service/part/{vaporizer.code}/test/", typed, follow=True)
    page = page_of(reply)

    assert reply.status_code == 200
    assert "is out of use: it is beyond the limit" in page
    assert "17.5 % less than it says" in page
    assert "±15 % of the dial" in page
    assert "Marsh Instruments" in page


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"measured_1": ""}, "belong together"),
        ({"dial_1": ""}, "belong together"),
        ({"dial_1": "", "measured_1": ""}, "at least one dial setting"),
        ({"dial_2": "2", "measured_2": "1.9"}, "stands above already"),
        ({"measured_1": "nan"}, "is not a share"),
        ({"measured_1": "-1"}, "must be between 0 and 90 %"),
        ({"dial_1": "2 bar"}, "bar"),
        ({"dial_1": "1e9"}, "must be between 0.05 and 25 %"),
        ({"temperature_k": "200"}, "must be between -10 and 50 °C"),
        ({"barometric_kpa": "1"}, "must be between 450 and 1150 hPa"),
        ({"fresh_gas_l_min": ""}, "This field is required"),
        ({"carrier": "nitrous oxide in oxygen"}, "how much of it was nitrous oxide"),
        ({"nitrous_fraction": "50"}, "No nitrous oxide was chosen"),
        ({"carrier": "helium"}, "Select a valid choice"),
        ({"done_on": "2999-01-01"}, "has not come yet"),
        ({"done_on": "never"}, "Enter a valid date"),
        ({"done_by": ""}, "This field is required"),
    ],
)
def test_a_test_that_cannot_be_gets_a_sentence_and_keeps_what_was_typed(
    as_operator, vaporizer, typed, change, sentence
):
    given = {**typed, **change, "note": "Smelled of thymol."}
    reply = as_operator.post(f"/service/part/{vaporizer.code}/test/", given)
    page = page_of(reply)

    assert reply.status_code == 422
    assert sentence in page
    assert "Smelled of thymol." in page
    assert not ServiceEvent.objects.exists()


def test_nothing_is_filled_in_beforehand(as_operator, vaporizer):
    page = page_of(as_operator.get(f"/service/part/{vaporizer.code}/test/"))
    values = re.findall(r'<input type="(?:text|date)"[^>]*value="([^"]*)"', page)

    assert values == []
    assert "No animal connected" in page
    assert not re.search(r'name="carrier"[^>]*checked', page)


def test_a_vaporizer_without_an_agent_says_what_is_missing(as_operator, vaporizer, typed):
    Part.objects.update(facts={})
    page = page_of(as_operator.get(f"/service/part/{vaporizer.code}/test/"))
    reply = as_operator.post(f"/service/part/{vaporizer.code}/test/", typed)

    assert "Its agent is not written down" in page
    assert reply.status_code == 422
    assert "which agent" in page_of(reply)
    assert as_operator.get(f"/service/part/{vaporizer.code}/").status_code == 200


def test_a_test_outside_the_flow_range_is_kept_without_a_number(as_operator, vaporizer, typed):
    given = {**typed, "fresh_gas_l_min": "200 mL/min"}
    page = page_of(as_operator.post(f"/service/part/{vaporizer.code}/test/", given, follow=True))

    assert "This test gives no number" in page
    assert "0.3 to 12 L/min" in page
    assert ServiceEvent.objects.count() == 1


def test_a_hose_has_no_output(as_operator, hose, typed):
    reply = as_operator.post(f"/service/part/{hose.code}/test/", typed)

    assert reply.status_code == 422
    assert "no vaporizer" in page_of(reply)


def picture(name="sticker.jpg"):
    written, exif = BytesIO(), Image.Exif()
    exif[0x010F] = "Maker of cameras"
    Image.new("RGB", (40, 20), "white").save(written, format="JPEG", exif=exif)
    return SimpleUploadedFile(name, written.getvalue())


def test_an_event_with_a_photograph_and_its_way_back(as_operator, vaporizer, today):
    typed = {"code": str(uuid4()), "kind": "service", "done_on": today.isoformat()}
    typed |= {"done_by": "Marsh Instruments", "file": picture()}
    page = page_of(as_operator.post(f"/service/part/{vaporizer.code}/add/", typed, follow=True))
    paper = Certificate.objects.get()

    assert paper.sha256 in page
    reply = as_operator.get(f"/service/file/{paper.code}/")
    assert reply["Content-Disposition"].startswith("attachment")
    assert reply["X-Content-Type-Options"] == "nosniff"
    assert b"Maker of cameras" not in reply.content
    assert reply.content == bytes(paper.content)


@pytest.mark.parametrize(
    ("content", "name", "sentence"),
    [
        (b"MZ\x90", "tool.pdf", "neither a PNG, a JPEG nor a PDF"),
        (b"%PDF-1.7\n%%EOF", "scan.png", "not what it says"),
        (b"%PDF-1.7\n%%EOF" + b" " * 10_000_000, "long.pdf", "at most 10 MB"),
    ],
)
def test_a_file_that_cannot_be_kept_is_refused_and_the_words_stay(
    as_operator, vaporizer, today, content, name, sentence
):
    typed = {"code": str(uuid4()), "kind": "service", "done_on": today.isoformat()}
    typed |= {"done_by": "Marsh Instruments", "file": SimpleUploadedFile(name, content)}
    reply = as_operator.post(f"/service/part/{vaporizer.code}/add/", typed)

    assert reply.status_code == 422
    assert sentence in page_of(reply)
    assert "Marsh Instruments" in page_of(reply)
    assert not ServiceEvent.objects.exists()


def test_only_a_replacement_carries_a_new_date(as_operator, hose, today):
    typed = {"code": str(uuid4()), "kind": "repair", "done_on": today.isoformat()}
    typed |= {"done_by": "Us", "replace_by": "2031-01-01"}
    reply = as_operator.post(f"/service/part/{hose.code}/add/", typed)

    assert reply.status_code == 422
    assert "Only a replacement" in page_of(reply)


def test_the_drift_of_a_vaporizer_is_drawn_and_told(as_viewer, vaporizer, done, readings, lead):
    OutputRule.objects.create(site=vaporizer.site, key="policy", why="Ours.", by=lead)
    done(vaporizer, "output_test", 2500, facts=readings(measured=0.024))
    done(vaporizer, "service", 2000)
    for years, measured in ((4, 0.0200), (3, 0.0193), (2, 0.0189), (1, 0.0182)):
        done(vaporizer, "output_test", 365 * years, facts=readings(measured=measured))
    page = page_of(as_viewer.get(f"/service/part/{vaporizer.code}/"))

    assert 'class="chart"' in page
    assert re.search(r"aria-label=\"It drifts downwards by [\d.]+ % of the dial a year", page)
    assert "It would leave ±15 % of the dial about" in page
    assert "before service" in page
    assert "lim_marks" in page


def test_one_test_is_drawn_and_no_line_is_claimed(as_viewer, vaporizer, done, readings):
    done(vaporizer, "output_test", 30, facts=readings())
    page = page_of(as_viewer.get(f"/service/part/{vaporizer.code}/"))

    assert "a line needs three" in page
    assert "pred_marks" not in page


def test_a_lead_sets_an_interval_and_the_list_follows(as_lead, as_viewer, vaporizer, done, today):
    done(vaporizer, "output_test", 100, facts={})
    typed = {"thing": "vaporizer", "task": "output_test", "days": "91", "why": "A study."}
    reply = as_lead.post("/service/rules/interval/", typed, follow=True)

    assert "Set by Lena Leads" in page_of(reply)
    assert "overdue by 9 days" in page_of(as_viewer.get("/service/"))
    as_lead.post("/service/rules/interval/", {**typed, "days": "", "why": "Back."})
    assert "overdue by 9 days" not in page_of(as_viewer.get("/service/"))
    assert Interval.objects.count() == 2


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"key": "own", "why": "x"}, "Write how far"),
        ({"key": "policy", "of_dial_share": "12", "why": "x"}, "Choose our own"),
        ({"key": "own", "of_dial_share": "90", "why": "x"}, "must be between 1 and 50 %"),
        ({"key": "policy", "why": "  "}, "This field is required"),
        ({"key": "invented", "why": "x"}, "Select a valid choice"),
    ],
)
def test_a_limit_that_cannot_be_is_refused(as_lead, typed, sentence):
    reply = as_lead.post("/service/rules/limit/", typed)

    assert reply.status_code == 422
    assert sentence in page_of(reply)
    assert not OutputRule.objects.exists()


def test_a_limit_of_our_own_holds_with_who_set_it(as_lead):
    typed = {"key": "own", "of_dial_share": "10", "why": "The vet's word."}
    page = page_of(as_lead.post("/service/rules/limit/", typed, follow=True))

    assert "±10 % of the dial" in page
    assert "The vet's word." in page


@pytest.mark.parametrize(
    "asked",
    ["?when=overdue", "?when=yesterday", "?page=99999999", "?page=-1", "?page=x", "?machine='"],
)
def test_the_list_takes_any_address(as_viewer, vaporizer, asked):
    assert as_viewer.get(f"/service/{asked}").status_code == 200


def test_a_site_without_anything_says_how_it_begins(as_viewer):
    assert "Nothing can come due yet" in page_of(as_viewer.get("/service/"))


def test_the_list_says_what_why_and_by_which_interval(as_viewer, vaporizer, done, today):
    done(vaporizer, "output_test", 370, facts={})
    page = page_of(as_viewer.get("/service/"))
    on = today - timedelta(days=5)

    assert "overdue by 5 days" in page
    assert f"{on.day} {on:%B %Y}" in page
    assert "Vaporizers drift" in page
    assert "machine 6" in page


def test_a_mistake_is_withdrawn_by_its_author_and_stays(as_operator, vaporizer, done):
    event = done(vaporizer, "service", 3)
    url = f"/service/event/{event.code}/"
    assert as_operator.post(f"{url}withdraw/", {"reason": ""}).status_code == 422
    page = page_of(as_operator.post(f"{url}withdraw/", {"reason": "Wrong part."}, follow=True))

    assert "counts for nothing" in page
    assert "Wrong part." in page
    assert "withdrawn" in page_of(as_operator.get(f"/service/part/{vaporizer.code}/"))
