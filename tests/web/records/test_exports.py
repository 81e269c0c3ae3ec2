"""Records handed out from their pages: each form is what the library makes, and is written down."""

import csv
import io
import json
import re
import zipfile
from uuid import uuid4

import duckdb
import pikepdf
import pytest
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ullage.answers import verify_record, verify_register
from ullage.answers.record.fhir.checks import fhir_faults
from ullage.answers.record.tidy import COLUMNS
from ullage.web.audit.models import AuditLine
from ullage.web.cases.selectors import lines_of
from ullage.web.records.models import Run
from ullage.web.records.selectors import FORMS, chain_bytes, file_name
from ullage.web.records.services import run_do
from ullage.web.shared.signing_key import public_key_pem

pytestmark = [pytest.mark.web, pytest.mark.django_db]


def taken(client, record, form):
    return client.get(reverse("records:export", args=[record.code, form]))


def text_of(reply):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", reply.content.decode()))


def chosen(client, records, given_as, **more):
    typed = {"record": [str(one.code) for one in records], "given_as": given_as, **more}
    return client.post(reverse("records:several"), typed)


def test_every_form_is_handed_out_and_written_down(as_operator, record):
    for form in FORMS:
        reply = taken(as_operator, record, form)
        assert reply.status_code == 200, form
        assert reply.content
        assert 'filename="record-' in reply["Content-Disposition"]
        assert reply["Cache-Control"] == "private, no-store"

    kinds = AuditLine.objects.filter(about=str(record.code), kind="export")
    assert kinds.count() == len(FORMS)


def test_the_machine_readable_record_is_verified_with_the_key_that_is_handed_out(
    as_operator, record
):
    key = as_operator.get(reverse("records:key")).content.decode()
    data = taken(as_operator, record, "chain").content

    assert key.endswith(public_key_pem())
    assert verify_record(data, [key]).verdict == "Fine"


def test_the_table_has_a_row_an_entry_and_its_columns_are_told(as_operator, record):
    rows = list(csv.DictReader(io.StringIO(taken(as_operator, record, "csv").content.decode())))
    told = json.loads(taken(as_operator, record, "columns").content)

    entries = [one for one in lines_of(record) if type(one).__name__ == "EntryText"]
    assert len(rows) == len(entries)
    assert list(rows[0]) == [one.name for one in COLUMNS] == list(told["columns"])


def test_the_parquet_file_holds_the_same_rows(as_operator, record, tmp_path):
    kept = tmp_path / "a.parquet"
    kept.write_bytes(taken(as_operator, record, "parquet").content)
    with duckdb.connect(":memory:") as table:
        (count,) = table.execute("SELECT count(*) FROM read_parquet(?)", [str(kept)]).fetchone()

    entries = [one for one in lines_of(record) if type(one).__name__ == "EntryText"]
    assert count == len(entries)


def test_the_bundle_passes_the_checks_and_holds_the_head(as_operator, record):
    """Shape by the published structure of R5 in the library, then our own checks."""
    text = taken(as_operator, record, "fhir").content.decode()
    bundle = json.loads(text)

    record.refresh_from_db()
    assert fhir_faults(bundle) == ()
    assert record.head in text
    assert {one["resource"]["resourceType"] for one in bundle["entry"]} >= {
        "Patient",
        "Observation",
        "MedicationAdministration",
        "Provenance",
    }


def test_a_methods_section_says_what_nobody_recorded(as_viewer, record):
    said = text_of(as_viewer.get(reverse("records:methods", args=[record.code])))

    assert "Texel cross" in said
    assert "not recorded" in said
    assert "ARRIVE 2.0" in said


def test_drug_lines_are_shown_with_their_cautions(as_viewer, record):
    said = text_of(as_viewer.get(reverse("records:drugs", args=[record.code])))

    assert "they are no log by themselves" in said
    assert "buprenorphine" in said
    assert "0.3 mg/mL" in said


def test_a_study_is_one_table_one_section_and_one_set_of_lines(as_operator, told):
    study = [told("Tansy", closed=False), told("Yarrow", closed=False)]
    rows = csv.DictReader(io.StringIO(chosen(as_operator, study, "animals").content.decode()))
    section = text_of(chosen(as_operator, study, "methods"))

    assert {one["record"] for one in rows} == {str(one.code) for one in study}
    assert "Animals: 2" in section
    assert study[1].number in section


def test_a_name_never_leads_out_of_the_file_name(record):
    record.name = '../../etc/pass"wd\r\n<script>.exe'
    name = file_name(record, "json")

    assert re.fullmatch(r"record-[0-9]{4}-[0-9]{5}-[a-z0-9-]+\.json", name)
    record.name = "☃"
    assert file_name(record, "pdf") == f"record-{record.number}.pdf"


def test_a_viewer_prints_and_takes_no_data_along(as_viewer, record):
    assert taken(as_viewer, record, "csv").status_code == 403
    assert chosen(as_viewer, [record], "csv").status_code == 403
    assert as_viewer.get(reverse("records:pdf", args=[record.code])).status_code == 200


def test_an_unknown_form_leads_nowhere(as_operator, record):
    assert taken(as_operator, record, "exe").status_code == 404


def test_records_of_another_site_are_not_in_the_choice(as_operator, as_stranger, record):
    reply = chosen(as_stranger, [record], "csv")

    assert reply.status_code == 422
    assert "not at this site" in reply.content.decode()
    assert chosen(as_operator, [], "csv").status_code == 422


@settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    codes=st.lists(st.one_of(st.text(max_size=40), st.uuids().map(str)), max_size=4),
    given_as=st.text(max_size=20),
)
def test_whatever_is_chosen_is_answered_with_a_sentence(as_operator, codes, given_as):
    clean = [one.replace("\x00", "") for one in codes]
    typed = {"record": clean, "given_as": given_as.replace("\x00", "")}
    reply = as_operator.post(reverse("records:several"), typed)

    assert reply.status_code == 422
    assert "Several records" in reply.content.decode()


def test_a_day_of_records_is_one_file_with_its_register(
    as_operator, told, site, django_capture_on_commit_callbacks
):
    day = [told("Tansy"), told("Yarrow", closed=False)]
    with django_capture_on_commit_callbacks(execute=True):
        asked = chosen(as_operator, day, "papers")
    run = Run.objects.get()
    page = as_operator.get(asked.url)
    given_out = as_operator.get(reverse("records:run_file", args=[run.code]))

    assert (run.done, run.total, run.is_fine) == (2, 2, True)
    assert run.name in page.content.decode()
    with zipfile.ZipFile(io.BytesIO(given_out.content)) as archive:
        assert archive.testzip() is None
        names = archive.namelist()
        register = archive.read("register.json")
        chains = [archive.read(one) for one in names if one.startswith("record-") and "json" in one]
        pdfs = [archive.read(one) for one in names if one.endswith(".pdf")]
        keys = archive.read("keys.pem").decode()
    assert chains == [chain_bytes(one) for one in day]
    assert verify_register(register, [keys], chains).verdict == "Fine"
    for pdf, chain in zip(pdfs, chains, strict=True):
        with pikepdf.open(io.BytesIO(pdf)) as opened:
            assert opened.attachments["record.json"].get_file().read_bytes() == chain


def test_the_page_asks_again_while_it_is_being_made(as_operator, told):
    asked = chosen(as_operator, [told("Tansy")], "papers")
    run = Run.objects.get()
    Run.objects.update(done=0)
    waiting = as_operator.get(asked.url, headers={"HX-Request": "true"}).content.decode()
    run_do(run_pk=run.pk)
    done = as_operator.get(asked.url, headers={"HX-Request": "true"}).content.decode()

    assert 'hx-trigger="every 500ms"' in waiting
    assert "0 of 1 records" in waiting
    assert "<html" not in waiting
    assert "hx-trigger" not in done


def test_a_run_is_done_once(as_operator, told):
    chosen(as_operator, [told("Tansy")], "papers")
    run = Run.objects.get()
    run_do(run_pk=run.pk)
    ended = Run.objects.get().ended_at
    run_do(run_pk=run.pk)

    assert Run.objects.get().ended_at == ended


def test_a_run_that_fails_says_why(as_operator, told, monkeypatch):
    from ullage.core.errors import RuleBroken
    from ullage.web.records.services import runs

    def broken(*_, **__):
        raise RuleBroken("The printer is away.")

    asked = chosen(as_operator, [told("Tansy")], "papers")
    monkeypatch.setattr(runs, "record_pdfs", broken)
    run_do(run_pk=Run.objects.get().pk)

    assert "The printer is away." in as_operator.get(asked.url).content.decode()
    assert Run.objects.get().is_fine is False


def test_a_run_of_another_site_is_not_there(as_stranger, as_operator, told):
    asked = chosen(as_operator, [told("Tansy")], "papers")

    assert as_stranger.get(asked.url).status_code == 404
    assert as_operator.get(reverse("records:run", args=[uuid4()])).status_code == 404


def test_the_records_of_the_practice_world_make_a_study_and_sound_bundles(db):
    """Invented data; the order of the items is that of ARRIVE 2.0, items 8, 9, 14 and 16."""
    from datetime import UTC, datetime

    from ullage.answers.record.animal_table import cases_of
    from ullage.answers.record.methods import methods_text
    from ullage.web.cases.models import Record
    from ullage.web.demo.build import build_world
    from ullage.web.records.selectors import export_of, record_verified

    build_world(1, datetime(2026, 6, 9, 9, 31, tzinfo=UTC))
    records = list(Record.objects.select_related("site", "machine"))
    found = methods_text([case for one in records for case in cases_of(lines_of(one))])
    items = [int(re.sub(r"\D", "", row.item)) for row in found.rows]

    assert items == sorted(items)
    assert set(items) == {8, 9, 14, 16}
    assert "Animals: " in found.paragraph
    assert found.left_out
    assert all(f"{one}: not recorded" in found.paragraph.lower() for one in ["pressure of the air"])
    for one in records:
        assert fhir_faults(json.loads(export_of([one], "fhir").content)) == ()
        assert record_verified(one).verdict == "Fine"
