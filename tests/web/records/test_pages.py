"""The page of a record, its print and the papers that were kept of it."""

import hashlib
import io
import re

import pikepdf
import pytest
from django.db import IntegrityError
from django.urls import reverse

from ullage.answers import verify_record
from ullage.answers.record.things import Meaning
from ullage.web.audit.models import AuditLine
from ullage.web.cases.models import SignedHead
from ullage.web.cases.services import record_sign
from ullage.web.records.models import SignedPaper
from ullage.web.records.selectors import chain_bytes, papers_due
from ullage.web.records.services import papers_keep
from ullage.web.shared.signing_key import public_key_pem

pytestmark = [pytest.mark.web, pytest.mark.django_db]


def url(name, record, *args):
    return reverse(f"records:{name}", args=[record.code, *args])


def text_of(reply):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", reply.content.decode()))


def attached(pdf):
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        return {name: one.get_file().read_bytes() for name, one in opened.attachments.items()}


def test_the_page_holds_what_the_record_holds(as_viewer, closed):
    page = as_viewer.get(url("record", closed))
    said = text_of(page)

    assert page.status_code == 200
    for words in ("Tansy", closed.number, "hind-limb plate, left", "Not signed yet"):
        assert (words in said) is (words != "Not signed yet"), words
    assert "Nothing open. Print, or amend with a reason" in said
    assert '<svg class="chart case-chart"' in page.content.decode()
    assert "midazolam" in said
    assert "Amendments: both values stay" in said
    assert "How much oxygen was used?" in said
    assert "I made this record" in said
    assert "Until when is this record kept?" in said


def test_a_record_that_goes_on_says_so_and_leads_to_its_work(as_operator, record):
    said = text_of(as_operator.get(url("record", record)))

    assert "what comes is added" in said
    assert "Work on it" in said
    assert "None: it was neither closed nor signed." in said


def test_the_page_of_a_closed_record_is_the_one_that_reads_it(as_operator, closed, record):
    about = as_operator.get(reverse("cases:about", args=[closed.code]))

    assert (about.status_code, about.url) == (302, url("record", closed))
    assert as_operator.get(reverse("cases:about", args=[record.code])).status_code == 200


def test_the_print_through_the_page_is_archival_and_holds_the_record(as_viewer, closed):
    reply = as_viewer.get(url("pdf", closed))
    pdf = reply.content

    assert reply["Content-Type"] == "application/pdf"
    assert "attachment; filename" in reply["Content-Disposition"]
    assert attached(pdf)["record.json"] == chain_bytes(closed)
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        meta = opened.open_metadata()
        assert (meta["pdfaid:part"], meta["pdfaid:conformance"]) == ("3", "A")
        assert meta["pdfuaid:part"] == "1"
        assert opened.Root.MarkInfo.Marked
    assert verify_record(chain_bytes(closed), [public_key_pem()]).verdict == "Fine"


def test_the_same_record_is_the_same_bytes_through_the_page(as_viewer, as_operator, closed):
    first = as_viewer.get(url("pdf", closed)).content
    second = as_operator.get(url("pdf", closed)).content

    assert hashlib.sha256(first).digest() == hashlib.sha256(second).digest()


def test_paper_is_of_the_country_or_as_asked(as_viewer, closed):
    def width(size):
        pdf = as_viewer.get(url("pdf", closed), {"size": size} if size else {}).content
        with pikepdf.open(io.BytesIO(pdf)) as opened:
            return round(float(opened.pages[0].MediaBox[2]))

    # ISO 216: A4 is 210 mm, 595 pt; Letter is 8.5 in, 612 pt.
    assert (width(""), width("a4"), width("letter")) == (595, 595, 612)
    assert as_viewer.get(url("pdf", closed), {"size": "a0"}).status_code == 404


def test_a_paper_is_kept_at_close_and_at_each_signature_and_stays(
    as_viewer, closed, veterinarian, site
):
    before = {one.count: one.sha256 for one in SignedPaper.objects.filter(record=closed)}
    assert len(before) == 2
    record_sign(record=closed, by=veterinarian, meaning=Meaning.REVIEWED)
    site.name, site.record_rules = "Another name", {"own_years": 30}
    site.save()
    papers_keep(record=closed)

    for count, digest in before.items():
        given = as_viewer.get(url("kept", closed, count)).content
        assert hashlib.sha256(given).hexdigest() == digest
    assert SignedPaper.objects.filter(record=closed).count() == 3
    assert as_viewer.get(url("kept", closed, 1)).status_code == 404


def test_a_paper_that_was_kept_holds_the_record_as_it_was_then(as_viewer, closed):
    count = min(SignedPaper.objects.filter(record=closed).values_list("count", flat=True))
    given = as_viewer.get(url("kept", closed, count)).content

    assert attached(given)["record.json"] == chain_bytes(closed, count)
    assert count < closed.count


def test_papers_are_made_once_and_when_they_were_forgotten(
    told, as_viewer, django_capture_on_commit_callbacks, operator
):
    record = told()
    assert not SignedPaper.objects.filter(record=record).exists()
    as_viewer.get(url("record", record))

    assert SignedPaper.objects.filter(record=record).count() == 1
    assert papers_keep(record=record) == 0
    with django_capture_on_commit_callbacks(execute=True):
        record_sign(record=record, by=operator, meaning=Meaning.AUTHOR)
    assert SignedPaper.objects.filter(record=record).count() == 2


def test_the_database_keeps_a_paper_as_it_is(closed):
    with pytest.raises(IntegrityError, match="never changed and never deleted"):
        SignedPaper.objects.filter(record=closed).update(sha256="0" * 64)


def test_a_print_is_of_a_signed_head(as_viewer, record):
    as_viewer.get(url("pdf", record))

    assert SignedHead.objects.filter(record=record, count=record.count).exists()


def test_reading_and_printing_are_written_down_once(as_viewer, as_operator, closed):
    for _ in range(3):
        as_viewer.get(url("record", closed))
    as_operator.get(url("record", closed))
    as_viewer.get(url("pdf", closed))
    lines = AuditLine.objects.filter(about=str(closed.code)).order_by("number")

    assert [(one.kind, one.person.username) for one in lines] == [
        ("read", "vera"),
        ("read", "otto"),
        ("print", "vera"),
    ]


def test_leads_see_who_read_it_and_others_do_not(as_viewer, as_lead, closed):
    first = text_of(as_viewer.get(url("record", closed)))
    said = text_of(as_lead.get(url("record", closed)))

    assert "Who read it" not in first
    assert "Who read it" in said
    assert "Vera Looks (vera)" in said


def test_a_paper_is_due_where_it_was_closed_or_signed(closed):
    from ullage.web.cases.selectors import lines_of

    assert list(papers_due(lines_of(closed)).values()) == ["closed", "signed by Otto Reads"]


def test_a_list_of_entries_and_a_program_read_it_too(as_viewer, as_operator, closed):
    as_viewer.get(reverse("cases:entries", args=[closed.code]))
    as_operator.get(f"/api/records/{closed.code}/lines/")
    as_operator.get(f"/api/records/{closed.code}/")
    lines = AuditLine.objects.filter(about=str(closed.code), kind="read").order_by("number")

    assert [one.person.username for one in lines] == ["vera", "otto"]


def test_the_page_stands_among_the_cases(as_viewer, closed):
    page = as_viewer.get(url("record", closed)).content.decode()

    assert 'href="/cases/" aria-current="page"' in page
