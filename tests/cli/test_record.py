"""`ullage record`: every form of an exported record, what is refused, and a broken chain."""

import csv
import io
import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.answers.record import full
from tests.answers.record.cases import OTHER, case_chain, register, signed_file
from tests.answers.record.taken import example_case, group_case
from ullage.answers.record.chained import chained, head_of
from ullage.answers.record.exported import export_chain
from ullage.answers.record.written import content_of
from ullage.cli.house import root

EXAMPLES = Path(__file__).parents[2] / "examples"
RECORD, KEY = EXAMPLES / "record.json", EXAMPLES / "record_key.pem"
FORMS = ["csv", "fhir", "methods", "animals", "drugs"]


def run(*words):
    return CliRunner().invoke(root, ["record", *map(str, words)])


def exported(lines, path, record="r1"):
    path.write_bytes(export_chain(chained(content_of(one) for one in lines), record))
    return path


@pytest.fixture
def whole(tmp_path):
    return exported(full.lines(), tmp_path / "whole.json")


@pytest.fixture
def changed(tmp_path):
    path = tmp_path / "changed.json"
    path.write_bytes(RECORD.read_bytes().replace(b"38.10", b"37.10"))
    return path


def rows(text):
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_the_example_is_the_case_of_the_tests():
    chain = chained(content_of(one) for one in example_case())

    assert (EXAMPLES / "record_rabbit.json").read_bytes() == signed_file(chain, "rabbit-7")


def test_the_entries_go_out_as_a_table():
    result = run(RECORD, "--csv", "--key", KEY)
    found = rows(result.stdout)

    assert result.exit_code == 0
    assert [one["variable"] for one in found] == [
        "heart_rate",
        "temperature_rectal",
        "buprenorphine",
    ]
    assert found[0]["original_as_typed"] == "210"


def test_a_table_in_a_file_has_the_meaning_of_its_columns_beside_it(tmp_path):
    out = tmp_path / "entries.csv"
    result = run(RECORD, "--csv", "--out", out)
    described = json.loads((tmp_path / "entries.csv.columns.json").read_text("utf-8"))

    assert result.exit_code == 0
    assert result.stdout == ""
    assert b"\r\n" in out.read_bytes()
    assert list(rows(out.read_text("utf-8"))[0]) == list(described["columns"])


def test_several_records_make_one_table(tmp_path, whole):
    other = exported(full.lines(record="r2"), tmp_path / "r2.json", "r2")
    found = rows(run(whole, other, "--csv").stdout)

    assert {one["record"] for one in found} == {"r1", "r2"}


def test_parquet_goes_into_a_file(tmp_path):
    import duckdb

    out = tmp_path / "entries.parquet"
    result = run(RECORD, "--parquet", "--out", out)
    with duckdb.connect(":memory:") as table:
        found = table.execute("SELECT count(*) FROM read_parquet(?)", [str(out)]).fetchone()

    assert result.exit_code == 0
    assert found == (3,)


def test_a_bundle_holds_the_head_of_the_chain():
    bundle = json.loads(run(RECORD, "--fhir").stdout)
    chain = case_chain()

    assert bundle["type"] == "collection"
    assert chain[-1].sum in json.dumps(bundle)


def test_a_bundle_of_a_broken_chain_vouches_for_no_head(changed):
    assert "Fingerprint" not in run(changed, "--fhir").stdout
    assert "Fingerprint" in run(RECORD, "--fhir").stdout


def test_a_section_counts_every_animal_of_every_record(tmp_path, whole):
    group = exported(group_case(), tmp_path / "group.json")
    text = run(whole, group, "--methods").stdout

    assert "Experimental animals. Animals: 3; species: rabbit (1), mouse (2);" in text
    assert "By item of ARRIVE 2.0" in text
    assert "Medians and ranges are over entries" in text


def test_each_animal_of_a_study_has_its_row(tmp_path, whole):
    group = exported(group_case(), tmp_path / "group.json")

    assert [one["animal"] for one in rows(run(whole, group, "--animals").stdout)] == [
        "R-041",
        "m1",
        "m2",
    ]


def test_uses_of_drugs_are_in_the_time_of_the_place(whole):
    text = run(whole, "--drugs", "--zone", "Europe/Paris").stdout

    # given at 08:40 UTC, which is 10:40 in June
    assert "2026-06-08 10:40+02:00  buprenorphine" in text
    assert "No running balance is kept here" in text
    assert "dose by weight: 0.093 mg. 0.03 mg/kg for 3.1 kg." in text


def test_uses_of_drugs_go_into_a_table_by_the_name_of_the_file(tmp_path, whole):
    out = tmp_path / "drugs.csv"
    run(whole, "--drugs", "--out", out)

    assert rows(out.read_text("utf-8"))[0]["initials"] == "SV"


def test_only_the_drug_that_is_named_is_listed(whole):
    assert "buprenorphine" in run(whole, "--drugs", "--drug", "Buprenorphine").stdout
    assert "buprenorphine" not in run(whole, "--drugs", "--drug", "ketamine").stdout


@pytest.mark.parametrize("form", FORMS)
def test_a_chain_that_does_not_hold_is_said_and_read_all_the_same(changed, form):
    result = run(changed, f"--{form}")

    assert result.exit_code == 1
    assert "is not what was written: Line 3" in " ".join(result.stderr.split())
    assert "not what was written." in " ".join(result.stderr.split())
    assert result.stdout


@pytest.mark.parametrize("form", FORMS)
def test_a_chain_that_holds_says_nothing_beside(form):
    result = run(RECORD, f"--{form}", "--key", KEY)

    assert result.exit_code == 0
    assert result.stderr == ""


def test_a_key_that_did_not_sign_it_is_no_success(tmp_path):
    (tmp_path / "other.pem").write_text(OTHER)
    result = run(RECORD, "--csv", "--key", tmp_path / "other.pem")

    assert result.exit_code == 1
    assert "not signed" in result.stderr


def test_an_empty_record_goes_out_in_every_form(tmp_path):
    empty = exported([], tmp_path / "empty.json")

    for form in FORMS:
        result = run(empty, f"--{form}")
        assert result.exit_code == 0, result.output
        assert result.stdout


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ((RECORD,), "Say in which one form: --csv, --parquet, --fhir, --methods, --animals"),
        ((RECORD, "--csv", "--fhir"), "Say in which one form"),
        ((RECORD, "--parquet"), "Parquet is no text"),
        ((RECORD, RECORD, "--fhir"), "A bundle is of one record"),
        ((RECORD, "--csv", "--drug", "ketamine"), "add --drugs"),
        ((RECORD, "--drugs", "--zone", "Nowhere/Here"), "is no time zone"),
        ((RECORD, "--drugs", "--zone", "../x"), "is no time zone"),
        ((RECORD, "--drugs", "--zone", ""), "is no time zone"),
        ((RECORD, "--csv", "--out", RECORD), "is there already"),
        ((RECORD, "--csv", "--out", "no/such/place.csv"), "no such file or directory"),
        (("nowhere.json", "--csv"), "no such file"),
        ((".", "--csv"), "is a directory"),
        ((KEY, "--csv"), "It is no exported record"),
        ((RECORD, "--csv", "--key", RECORD), "no public Ed25519 key"),
        (("--csv",), "Missing argument"),
    ],
)
def test_what_cannot_be_done_is_refused_in_one_line(words, sentence):
    result = run(*words)

    assert result.exit_code in {1, 2}
    assert sentence in " ".join(result.output.split())
    assert len(result.output.splitlines()) == 1


def test_a_register_is_no_record(tmp_path):
    path = tmp_path / "register.json"
    path.write_bytes(signed_file(register(head_of(case_chain(), "r1")), "site-1", "register"))

    assert "holds a register" in run(path, "--csv").output


def test_a_line_that_is_none_of_ours_is_refused(tmp_path):
    path = tmp_path / "odd.json"
    path.write_bytes(export_chain(chained([{"order": 1, "line": "poem"}]), "r1"))
    result = run(path, "--csv")

    assert result.exit_code == 1
    assert "a line of it cannot be read" in " ".join(result.output.split())


@pytest.mark.parametrize("form", ["methods", "drugs"])
def test_no_line_of_text_is_wider_than_eighty_columns(whole, form):
    assert max(len(line) for line in run(whole, f"--{form}").stdout.splitlines()) <= 80
