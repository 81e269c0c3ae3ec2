"""A record that was changed where it is kept: what shows, line by line, on pages and in files."""

import io
import json
import re

import pikepdf
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ullage.answers import verify_register
from ullage.answers.record.chained import START, link
from ullage.answers.record.fixed import fixed_text, read_fixed
from ullage.web.audit.models import AuditLine
from ullage.web.cases.models import Line, Record, RegisterLine, SignedHead
from ullage.web.records.models import Run, SignedPaper
from ullage.web.records.selectors import (
    chain_bytes,
    keys_known,
    pdf_of,
    record_verified,
    register_bytes,
    register_verified,
)
from ullage.web.records.services import run_do
from ullage.web.shared.append_only import unguard

pytestmark = [pytest.mark.web, pytest.mark.django_db]

TABLES = ("cases_line", "cases_signedhead", "cases_registerline", "records_signedpaper")


@pytest.fixture
def opened(record):
    """The tables as one finds them who holds the database file: without their guards."""
    for table in TABLES:
        unguard(connection, table)
    return record


def text_of(reply):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", reply.content.decode()))


def brought(client, content, name="record.json"):
    return client.post(reverse("records:check"), {"file": SimpleUploadedFile(name, content)})


def typed_otherwise(text):
    content = read_fixed(text)
    content["typed"] = f"{content['typed']}0"
    return fixed_text(content)


def row(record, order):
    return Line.objects.get(record=record, order=order)


def chained_anew(record):
    """Every sum made anew, as one could who knows how sums are made."""
    last = START
    for one in Line.objects.filter(record=record).order_by("order"):
        last = link(last, one.text)
        Line.objects.filter(pk=one.pk).update(sum=last)
    count = Line.objects.filter(record=record).count()
    Record.objects.filter(pk=record.pk).update(head=last, count=count)


def entry_of(record):
    return Line.objects.filter(record=record, kind="entry").order_by("order")[20]


def test_a_whole_record_holds_and_its_open_end_is_named(record, as_operator, closed):
    assert record_verified(closed).verdict == "Fine"
    said = text_of(as_operator.get(reverse("records:verify", args=[closed.code])))

    assert "Fine" in said
    assert f"{closed.count} lines" in said


def test_lines_since_the_last_signature_are_not_vouched_for_and_not_wrong(
    record, entry_now, operator
):
    entry_now(record)
    answer = record_verified(record)

    assert answer.verdict == "Look again"
    assert "are not signed yet" in answer.sentence


def test_a_changed_line_shows(opened):
    one = entry_of(opened)
    Line.objects.filter(pk=one.pk).update(text=typed_otherwise(one.text))
    answer = record_verified(opened)

    assert answer.verdict == "Stop"
    assert f"Line {one.order} (place {one.order}), changed" in answer.sentence


def test_a_missing_line_shows(opened):
    one = entry_of(opened)
    Line.objects.filter(pk=one.pk).delete()
    answer = record_verified(opened)

    assert answer.verdict == "Stop"
    assert any(step.result == "missing" and str(one.order) in step.what for step in answer.steps)


def test_an_added_line_shows(opened):
    one = entry_of(opened)
    last = Line.objects.filter(record=opened).order_by("-order")[0]
    one.pk, one.order = None, last.order + 1
    one.sum = link(last.sum, one.text)
    one.save(force_insert=True)
    answer = record_verified(opened)

    assert answer.verdict == "Stop"
    assert any(step.result in {"added", "moved"} for step in answer.steps)


def test_lines_in_another_order_show(opened):
    one, two = entry_of(opened), row(opened, entry_of(opened).order + 1)
    for place, other in ((one, two), (two, one)):
        Line.objects.filter(pk=place.pk).update(text=other.text, sum=other.sum)
    answer = record_verified(opened)

    assert answer.verdict == "Stop"
    assert any(step.result == "moved" for step in answer.steps)


def test_a_column_beside_the_line_that_says_something_else_shows(opened, viewer):
    one = entry_of(opened)
    Line.objects.filter(pk=one.pk).update(author=viewer)
    answer = record_verified(opened)

    assert answer.verdict == "Stop"
    assert "The author beside the line" in answer.steps[0].note


def test_a_record_written_anew_with_fitting_sums_shows_by_signature_and_register(opened):
    one = entry_of(opened)
    Line.objects.filter(pk=one.pk).update(text=typed_otherwise(one.text))
    chained_anew(opened)
    answer = record_verified(opened)
    said = " ".join(f"{step.what} {step.result} {step.note}" for step in answer.steps)

    assert answer.verdict == "Stop"
    assert "did not sign these" in said
    assert "are not those registered" in said


def test_with_its_signatures_gone_too_it_shows_by_the_register(opened):
    one = entry_of(opened)
    Line.objects.filter(pk=one.pk).update(text=typed_otherwise(one.text))
    chained_anew(opened)
    SignedHead.objects.filter(record=opened).delete()

    assert any("registered" in step.note for step in record_verified(opened).steps)


def test_a_whole_case_that_is_missing_shows_in_the_register(opened, site, told):
    other = told("Yarrow", closed=False)
    RegisterLine.objects.filter(record=other)
    kept = register_bytes(site)
    chain = chain_bytes(opened)
    answer = verify_register(kept, keys_known(), [chain])

    assert answer.verdict == "Stop"
    assert any(str(other.code) in step.what and step.result == "missing" for step in answer.steps)


def test_a_register_that_was_written_anew_without_the_case_is_not_signed(opened, site, told):
    other = told("Yarrow", closed=False)
    rows = RegisterLine.objects.filter(site=site).exclude(record=other).order_by("order")
    texts = [one.text for one in rows]
    keep = list(rows.values_list("pk", flat=True))
    RegisterLine.objects.filter(site=site).exclude(pk__in=keep).delete()
    last = START
    for order, (pk, text) in enumerate(zip(keep, texts, strict=True), start=1):
        content = fixed_text({**read_fixed(text), "order": order})
        last = link(last, content, "register")
        RegisterLine.objects.filter(pk=pk).update(text=content, sum=last, order=order)

    assert register_verified(site).verdict == "Stop"


def test_a_rewrite_by_one_who_holds_the_database_the_key_and_every_print_stays_unseen(opened, site):
    """The limit of every such chain, which every answer names: nothing here contradicts it."""
    from ullage.web.cases.models import SignedRegister
    from ullage.web.cases.services import head_keep

    unguard(connection, "cases_signedregister")
    one = entry_of(opened)
    Line.objects.filter(pk=one.pk).update(text=typed_otherwise(one.text))
    chained_anew(opened)
    for model in (SignedHead, RegisterLine, SignedRegister):
        model.objects.all().delete()
    head_keep(record=Record.objects.select_related("site").get(pk=opened.pk))
    answer = record_verified(Record.objects.select_related("site").get(pk=opened.pk))

    assert answer.verdict == "Fine"
    assert any("database, key and every print" in one for one in answer.cautions)


def test_a_kept_paper_that_was_changed_shows(closed):
    unguard(connection, "records_signedpaper")
    SignedPaper.objects.filter(record=closed).update(content=b"%PDF-another %%EOF")
    answer = record_verified(closed)

    assert answer.verdict == "Stop"
    assert any("Its SHA-256 is another" in step.note for step in answer.steps)


def test_verifying_signs_nothing(opened):
    before = SignedHead.objects.count()
    record_verified(opened)

    assert SignedHead.objects.count() == before


def test_every_record_is_verified_in_the_background(
    as_lead, opened, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks(execute=True):
        asked = as_lead.post(reverse("records:register"))
    said = text_of(as_lead.get(asked.url))
    assert "Fine" in said

    one = entry_of(opened)
    Line.objects.filter(pk=one.pk).update(text=typed_otherwise(one.text))
    as_lead.post(reverse("records:register"))
    run = Run.objects.order_by("-pk")[0]
    run_do(run_pk=run.pk)
    run.refresh_from_db()

    assert run.is_fine is False
    assert f"Line {one.order}" in json.dumps(run.answer)
    assert AuditLine.objects.filter(kind="verify").count() == 2


def test_the_register_page_shows_each_head_and_hands_the_register_out(as_lead, record, site):
    said = text_of(as_lead.get(reverse("records:register")))
    data = as_lead.get(reverse("records:register_file")).content

    assert record.number in said
    assert verify_register(data, keys_known(), [chain_bytes(record)]).verdict == "Fine"


def test_a_file_that_is_what_stands_here_says_so(as_lead, record):
    said = text_of(brought(as_lead, chain_bytes(record)))

    assert "Fine" in said
    assert "Line by line what stands here" in said


def test_an_older_file_is_the_beginning_of_what_stands_here(as_lead, record, entry_now):
    old = chain_bytes(record)
    entry_now(record)

    assert f"holds the first {record.count} of the {record.count + 1} lines" in text_of(
        brought(as_lead, old)
    )


def test_a_copy_that_was_changed_is_found(as_lead, record):
    changed = chain_bytes(record).replace(b"midazolam", b"midazolan", 1)
    said = text_of(brought(as_lead, changed))

    assert "Stop" in said
    assert ", changed" in said
    assert "of the file is not line" in said


def test_a_pdf_is_verified_by_what_is_attached_to_it(as_lead, closed):
    paper = bytes(SignedPaper.objects.filter(record=closed)[0].content)
    said = text_of(brought(as_lead, paper, "paper.pdf"))

    assert "Byte for byte the paper that was kept" in said
    assert f"the first {SignedPaper.objects.filter(record=closed)[0].count} of" in said


def test_a_pdf_whose_record_was_exchanged_is_found(as_lead, closed):
    held = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf_of(closed))) as pdf:
        changed = chain_bytes(closed).replace(b"midazolam", b"midazolan", 1)
        pdf.attachments["record.json"] = pikepdf.AttachedFileSpec(pdf, changed)
        pdf.save(held)
    said = text_of(brought(as_lead, held.getvalue(), "paper.pdf"))

    assert "Stop" in said
    assert "no paper that was kept here" in said


def test_a_register_is_compared_with_the_one_here(as_lead, record, site):
    said = text_of(brought(as_lead, register_bytes(site), "register.json"))

    assert "The register here begins with it" in said


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "empty"),
        (b"%PDF-1.7 nothing", "cannot be opened"),
        (b"{}\n", "is in format"),
        (b"\xff\xfe", "not text in UTF-8"),
        (b"[" * 100_000, "not"),
    ],
)
def test_a_file_that_is_none_is_told_in_a_sentence(as_lead, record, content, says):
    reply = brought(as_lead, content)

    assert reply.status_code in {200, 422}
    assert says in text_of(reply)


def test_a_pdf_without_a_record_in_it_is_told_so(as_lead, record):
    held = io.BytesIO()
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        pdf.save(held)

    assert "Nothing is attached" in text_of(brought(as_lead, held.getvalue(), "a.pdf"))


@settings(
    max_examples=30,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(content=st.binary(max_size=200), begins=st.sampled_from([b"", b"%PDF-1.7\n", b'{"count":']))
def test_no_file_breaks_the_page(as_lead, content, begins):
    assert brought(as_lead, begins + content).status_code in {200, 422}


@settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(place=st.integers(min_value=0), bit=st.integers(min_value=0, max_value=7))
def test_one_bit_of_a_file_is_enough(as_lead, record, place, bit):
    data = bytearray(chain_bytes(record))
    data[place % len(data)] ^= 1 << bit

    assert "Stop" in text_of(brought(as_lead, bytes(data)))
