"""The tidy table: every value is found again in CSV and in Parquet, and nothing is run."""

import csv
import io
import json
from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.answers.record.cases import case_lines, entry, opened, times
from tests.answers.record.taken import amendment, group_case, long_case, records
from ullage.answers.record.cells import guarded, table_csv, unguarded
from ullage.answers.record.fixed import utc_text
from ullage.answers.record.parquet import tidy_parquet
from ullage.answers.record.things import EntryKind, EntryText, entries_now
from ullage.answers.record.tidy import COLUMNS, DETAILS, tidy_csv, tidy_description, tidy_rows

NAMES = [one.name for one in COLUMNS]


def read_csv(text):
    """Rows as another program reads them, the guard taken off as the description says."""
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    return [{name: unguarded(cell) for name, cell in row.items()} for row in rows]


def parquet_read(data, folder):
    """Rows, metadata and types of a Parquet file, read anew."""
    import duckdb

    file = folder / "entries.parquet"
    file.write_bytes(data)
    with duckdb.connect(":memory:") as table:
        table.execute("SET TimeZone = 'UTC'")
        found = table.sql("SELECT * FROM read_parquet($file)", params={"file": str(file)})
        rows = [dict(zip(found.columns, row, strict=True)) for row in found.fetchall()]
        types = dict(zip(found.columns, map(str, found.types), strict=True))
        kept = table.execute(
            "SELECT decode(key), decode(value) FROM parquet_kv_metadata(?)", [str(file)]
        ).fetchall()
    return rows, dict(kept), types


@pytest.fixture
def read_parquet(tmp_path):
    return lambda data: parquet_read(data, tmp_path)


def test_a_corrected_reading_says_what_it_was_by_whom_and_why():
    row = read_csv(tidy_csv([case_lines()]))[0]

    assert (row["value_as_typed"], row["number"], row["unit"]) == ("201", "201.0", "/min")
    assert (row["original_as_typed"], row["original_unit"]) == ("210", "/min")
    assert row["amended"] == "yes"
    assert row["amended_by"] == "M. Orr"
    assert row["amended_reason"] == "read the pulse of the other ear — wrong line"
    assert json.loads(row["amendments"])[0]["typed"] == "201"


def test_codes_are_those_of_rows_that_were_read():
    rows = {one["variable"]: one for one in read_csv(tidy_csv([case_lines()]))}

    # records_standards LN-01 and MD-01
    assert (rows["heart_rate"]["loinc"], rows["heart_rate"]["mdc"]) == ("8867-4", "147842")
    # LN-06 was recalled and stays inside; MD-20 was worked out
    assert rows["temperature_rectal"]["loinc"] == ""
    assert rows["temperature_rectal"]["mdc"] == "188420"


def test_digits_stay_as_typed_beside_the_number():
    row = read_csv(tidy_csv([case_lines()]))[1]

    assert (row["value_as_typed"], row["digits"], row["number"]) == ("38.10 °C", "38.10", "38.1")


def test_a_coded_word_has_the_code_of_its_list():
    word = entry(2, "agent", "isoflurane", kind=EntryKind.SETTING)
    row = next(tidy_rows([opened(), word]))

    # records_standards DCM-002
    assert (row["word_scheme"], row["word_code"]) == ("SCT", "387368002")


def test_a_late_entry_tells_how_late():
    late = entry(2, number="200", unit="/min", times=times(10.0, late=25.0))

    assert next(tidy_rows([opened(), late]))["late_min"] == 25.0


def test_a_withdrawn_entry_stays_in_the_table():
    wrong = entry(2, number="200", unit="/min")
    found = read_csv(tidy_csv([[opened(), wrong, amendment(3, wrong, withdrawn=True)]]))

    assert [(one["withdrawn"], one["value_as_typed"]) for one in found] == [("yes", "210")]


def test_a_group_names_its_animals():
    rows = read_csv(tidy_csv([group_case()]))

    assert [one["animal"] for one in rows] == ["m1", "m1", "m2", "m2", "", "m1"]


def test_records_of_a_study_stand_in_one_table():
    rows = read_csv(tidy_csv([case_lines("r1"), case_lines("r2")]))

    assert [one["record"] for one in rows] == ["r1"] * 3 + ["r2"] * 3


def test_an_empty_record_is_a_table_without_rows(read_parquet):
    assert tidy_csv([[]]) == ",".join(NAMES) + "\r\n"
    assert read_parquet(tidy_parquet([[]]))[0] == []


@pytest.mark.parametrize(
    ("text", "cell"),
    [
        ("=HYPERLINK(1)", "'=HYPERLINK(1)"),
        ("+1 more", "'+1 more"),
        ("-3 °C", "'-3 °C"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("\t=1", "'\t=1"),
        ("\r=1", "'\r=1"),
        ("'=1", "''=1"),
        ("-3", "-3"),
        ("+2.50", "+2.50"),
        ("-1e-07", "-1e-07"),
        ("-3+cmd", "'-3+cmd"),
        ("", ""),
        ("1=1", "1=1"),
    ],
)
def test_text_that_looks_like_a_formula_is_guarded_and_a_number_is_not(text, cell):
    assert guarded(text) == cell
    assert unguarded(cell) == text


@given(st.lists(st.lists(st.text(), min_size=3, max_size=3), max_size=5))
def test_every_cell_is_read_back_and_none_begins_a_formula(rows):
    named = [dict(zip("abc", row, strict=True)) for row in rows]
    text = table_csv("abc", named)
    raw = list(csv.reader(io.StringIO(text, newline="")))

    assert read_csv(text) == named
    for cell in (one for row in raw for one in row):
        assert cell[:1] not in tuple("=+-@\t\r\n") or cell == "" or float(cell) is not None


def said_of(row):
    """What a row of CSV says of an entry, in the words of the record."""
    return (
        *(row["record"], int(row["order"]), row["id"], row["kind"], row["animal"], row["variable"]),
        *(row["value_as_typed"], row["digits"], row["unit"], row["observed_utc"], row["author"]),
        row["author_confirmed"] == "yes",
        _details(row),
    )


def said_by(entry):
    """The same of the entry itself; a detail without words has no cell."""
    return (
        *(entry.record, entry.order, entry.id, entry.kind.value, entry.animal, entry.what),
        *(entry.typed, entry.number, entry.unit, utc_text(entry.times.observed), entry.author),
        entry.author_confirmed,
        {name: text for name, text in entry.details.items() if text or name not in DETAILS},
    )


def _details(row):
    own = {
        name.removeprefix("detail_"): cell
        for name, cell in row.items()
        if name.startswith("detail_") and name != "detail_other" and cell
    }
    return {**own, **json.loads(row["detail_other"] or "{}")}


@settings(deadline=None)
@given(records())
def test_every_entry_of_any_record_is_found_again(lines):
    rows = read_csv(tidy_csv([lines]))
    now = {one.order: one for one in entries_now(lines)}
    standing = [one for one in rows if one["withdrawn"] == "no"]
    written = [one for one in lines if isinstance(one, EntryText)]

    assert {int(one["order"]) for one in rows} == {one.order for one in written}
    assert {int(one["order"]) for one in standing} == set(now)
    for row in standing:
        assert said_of(row) == said_by(now[int(row["order"])])


@settings(max_examples=25, deadline=None)
@given(lines=records())
def test_parquet_holds_the_same_rows_with_their_types(lines, tmp_path_factory):
    rows, _, types = parquet_read(tidy_parquet([lines]), tmp_path_factory.mktemp("parquet"))
    expected = list(tidy_rows(lines))

    assert list(types) == NAMES
    assert len(rows) == len(expected)
    for row, wanted in zip(rows, expected, strict=True):
        for name in NAMES:
            assert (row[name] or None) == (wanted.get(name) or None), name


def test_columns_of_parquet_have_their_types_and_their_meaning(read_parquet):
    rows, kept, types = read_parquet(tidy_parquet([case_lines()]))

    assert types["number"] == "DOUBLE"
    assert types["observed_utc"] == "TIMESTAMP WITH TIME ZONE"
    assert types["amended"] == "BOOLEAN"
    assert types["order"] == "BIGINT"
    assert types["digits"] == "VARCHAR"
    assert rows[0]["observed_utc"] == datetime(2026, 6, 8, 9, 10, tzinfo=UTC)
    assert rows[0]["number"] == 201.0
    assert rows[0]["unit"] == "/min"
    assert json.loads(kept["ullage"]) == tidy_description([case_lines()])


def test_the_description_holds_what_stands_in_no_row():
    stray = amendment(7, entry(99))
    (found,) = tidy_description([[*case_lines(), stray]])["records"]

    assert found["facts"][0]["facts"]["species"] == "rabbit"
    assert found["signatures"][0]["meaning"] == "I made this record"
    assert [one["of"] for one in found["amendments_of_no_entry"]] == ["r1-99"]


def test_the_description_says_how_each_code_is_known():
    found = tidy_description([case_lines()])

    assert found["variables"]["heart_rate"]["loinc"]["how_known"] == "seen"
    assert found["variables"]["temperature_rectal"]["loinc"]["code"] is None
    assert "copyright Regenstrief Institute" in found["notices"]["loinc"]
    assert list(found["columns"]) == NAMES
    json.dumps(found)


def test_a_long_case_loses_no_row():
    lines = long_case(1200)
    written = sum(isinstance(one, EntryText) for one in lines)

    assert written == 1200
    assert len(read_csv(tidy_csv([lines]))) == written
