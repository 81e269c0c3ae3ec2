"""One machine as an inspector reads it, on screen and as a PDF that is read back."""

from html import unescape
from io import BytesIO

import pikepdf
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from ullage.web.checks.services.history import CheckTold, check_write
from ullage.web.machines.selectors import Part, UseState
from ullage.web.machines.services import state_set
from ullage.web.service.models import Certificate
from ullage.web.service.papers import machine_paper, paper_data
from ullage.web.shared.attachments import attachment_kept

pytestmark = pytest.mark.web


@pytest.fixture
def furnished(machine, vaporizer, hose, done, lead, readings):
    """A machine with something in every part of its paper."""
    done(vaporizer, "output_test", 370, facts=readings())
    event = done(machine, "inspection", 200, note="Tight and true.")
    given = SimpleUploadedFile("inspection.pdf", b"%PDF-1.7\n%%EOF\n")
    Certificate.objects.create(event=event, by=lead, **attachment_kept(given).row)
    state_set(thing=hose, to=UseState.IN_DOUBT, by=lead, reason="A crack near its end.")
    return machine


def test_the_page_holds_what_an_inspector_asks(as_viewer, furnished):
    page = as_viewer.get(f"/service/machine/{furnished.code}/").content.decode()

    for words in (
        *("Iso on Wren", "A-17", "isoflurane", "overdue by 5 days", "Tight and true."),
        *("inspection.pdf", "A crack near its end.", "Marsh Instruments"),
    ):
        assert words in page


def test_paper_data_holds_the_hash_of_every_paper(furnished):
    data = paper_data(machine_paper(furnished, timezone.now()))

    assert data["files"][0]["sha256"] == Certificate.objects.get().sha256
    assert {one["state"] for one in data["parts"]} == {"In use", "In doubt"}
    assert [one["task"] for one in data["due"]][:2] == ["Output test", "Replacement"]


def test_the_pdf_opens_names_itself_and_carries_its_answers(as_viewer, furnished):
    reply = as_viewer.get(f"/service/machine/{furnished.code}/pdf/")
    with pikepdf.open(BytesIO(reply.content)) as opened:
        assert reply["Content-Type"] == "application/pdf"
        assert str(opened.docinfo["/Title"]) == "Machine Wren"
        assert "answers.json" in opened.attachments


def test_a_bare_machine_has_a_paper_too(as_viewer, machine):
    assert as_viewer.get(f"/service/machine/{machine.code}/").status_code == 200
    assert as_viewer.get(f"/service/machine/{machine.code}/pdf/").content.startswith(b"%PDF")


def test_many_events_take_no_more_queries_than_few(furnished, vaporizer, done):
    with CaptureQueriesContext(connection) as few:
        paper_data(machine_paper(furnished, timezone.now()))
    for ago in range(20):
        done(vaporizer, "repair", ago)
        Part.objects.create(
            site=furnished.site, machine=furnished, kind="flowmeter", name=f"Tube {ago}"
        )
    with CaptureQueriesContext(connection) as many:
        paper_data(machine_paper(furnished, timezone.now()))

    assert len(many) == len(few)
    assert not [one for one in many if '"content"' in one["sql"]]


def test_the_last_checks_stand_on_the_paper(as_viewer, furnished, operator):
    told = CheckTold(key="before_each_case", begun_at=timezone.now(), entries=())
    check = check_write(machine=furnished, told=told, by=operator)
    page = as_viewer.get(f"/service/machine/{furnished.code}/").content.decode()
    (line,) = paper_data(machine_paper(furnished, timezone.now()))["checks"]

    assert check.result["sentence"] in unescape(page)
    assert line["name"] == f"{check.version.title}, version 1"
    assert (line["verdict"], line["by"]) == (check.verdict, "Otto Reads")
