"""`ullage verify`: what it prints of a record that holds, one that does not, and a register."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.answers.record.cases import OTHER, PUBLIC, case_chain, register, signed_file
from ullage.answers.record.chained import head_of
from ullage.answers.record.exported import export_chain
from ullage.cli.house import root

EXAMPLES = Path(__file__).parents[2] / "examples"
RECORD, KEY = EXAMPLES / "record.json", EXAMPLES / "record_key.pem"


def run(*words):
    return CliRunner().invoke(root, ["verify", *map(str, words)])


@pytest.fixture
def site(tmp_path):
    """The files of a site: two records, their register, a key of somebody else."""
    chains = {"r1": case_chain("r1"), "r2": case_chain("r2")}
    for of, chain in chains.items():
        (tmp_path / f"{of}.json").write_bytes(export_chain(chain, of))
    lines = register(*(head_of(chain, of) for of, chain in chains.items()))
    (tmp_path / "register.json").write_bytes(signed_file(lines, "site-1", "register"))
    (tmp_path / "other.pem").write_text(OTHER)
    return tmp_path


def test_the_example_is_the_case_of_the_tests():
    assert RECORD.read_bytes() == signed_file(case_chain())
    assert KEY.read_text() == PUBLIC


def test_a_signed_record_holds_with_its_key():
    result = run(RECORD, "--key", KEY)

    assert result.exit_code == 0
    assert "Fine. The record r1 holds: 6 lines" in result.output
    assert "key " in result.output


def test_without_a_key_it_holds_and_says_what_is_not_known():
    result = run(RECORD)

    assert result.exit_code == 0
    assert result.output.startswith("Look again. The record r1 holds together: 6 lines")


def test_a_key_that_did_not_sign_it_is_no_success(site):
    result = run(RECORD, "--key", site / "other.pem")

    assert result.exit_code == 1
    assert "The head: not signed. No signature is of the keys given." in result.output


def test_a_changed_reading_is_named(site):
    (site / "r1.json").write_bytes(RECORD.read_bytes().replace(b"38.10", b"37.10"))
    result = run(site / "r1.json")

    assert result.exit_code == 1
    assert "Line 3 (place 3): changed. Its text does not agree with its sum." in result.output


def test_a_register_is_told_from_a_record(site):
    whole = run(site / "register.json", "--key", KEY)
    short = run(site / "register.json", "--record", site / "r1.json")

    assert whole.exit_code == 0
    assert "The register site-1 holds" in whole.output
    assert short.exit_code == 1
    assert "Record r2: missing. It is registered with 6 lines and not here." in short.output


def test_a_register_beside_all_its_records_holds(site):
    files = [word for of in ("r1", "r2") for word in ("--record", site / f"{of}.json")]

    assert run(site / "register.json", *files).exit_code == 0


def test_json_holds_the_findings(site):
    (site / "r1.json").write_bytes(RECORD.read_bytes().replace(b"38.10", b"37.10"))
    result = run(site / "r1.json", "--json")

    assert result.exit_code == 1
    assert json.loads(result.output)["verdict"] == "Stop"
    assert json.loads(result.output)["steps"][0]["result"] == "changed"


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("nowhere.json",), "no such file"),
        ((".",), "is a directory"),
        ((RECORD, "--key", RECORD), "no public Ed25519 key"),
        ((RECORD, "--record", RECORD), "is no register"),
        ((), "Missing argument"),
    ],
)
def test_what_cannot_be_done_is_refused_in_one_line(words, sentence):
    result = run(*words)

    assert result.exit_code in {1, 2}
    assert sentence in " ".join(result.output.split())
    assert len(result.output.splitlines()) == 1


def test_no_file_at_all_is_too_odd(tmp_path):
    odd = tmp_path / "odd"
    odd.write_bytes(b"\x00\xff" * 100)
    result = run(odd)

    assert result.exit_code == 1
    assert "The file: unreadable. The file is not text in UTF-8." in result.output


def test_no_line_is_wider_than_eighty_columns():
    assert max(len(line) for line in run(RECORD, "--key", KEY).output.splitlines()) <= 80
