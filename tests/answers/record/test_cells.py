"""Tables that no spreadsheet runs, and from which every cell is read back as it was."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers.record.cells import guarded, table_csv, unguarded


@pytest.mark.parametrize(
    "text",
    [
        "=1+1",
        "+cmd",
        "-2+3",
        "@SUM(A1)",
        "\t=1",
        "\r=1",
        "\n=1",
        "\uff1d1",  # signs of full width, which some programs read as the plain ones
        "\uff0b1",
        "\uff0d1",
        "\uff201",
        "'tis",
        "-",
        "--1",
        "-1 °C",
        "+44 131 496 0000",
        "-1,5",
        "-1e",
    ],
)
def test_what_a_spreadsheet_would_run_gets_an_apostrophe_and_loses_it_again(text):
    assert guarded(text) == f"'{text}"
    assert unguarded(guarded(text)) == text


@pytest.mark.parametrize(
    "text", ["", "120", "120.0", "-3", "+0.50", "-1.5e-3", "a=1", " =1", "38.10 °C", "Zoë", "1-2"]
)
def test_numbers_and_plain_words_stay_as_they_are(text):
    assert guarded(text) == text
    assert unguarded(text) == text


@given(st.text())
def test_every_cell_comes_back(text):
    assert unguarded(guarded(text)) == text


@given(st.text())
def test_no_cell_begins_as_a_formula_unless_it_is_a_number(text):
    cell = guarded(text)

    if cell.startswith(("=", "+", "-", "@")):
        assert cell == text
        float(cell)  # a number, or it fails here


ROWS = st.lists(
    st.dictionaries(
        st.sampled_from(["a", "b", "c"]), st.text(st.characters(exclude_categories=["Cs"]))
    ),
    max_size=5,
)


@given(ROWS)
def test_a_table_is_read_back_cell_by_cell(rows):
    text = table_csv(["a", "b", "c"], rows)
    read = csv.DictReader(io.StringIO(text, newline=""))

    found = [{name: unguarded(cell) for name, cell in row.items()} for row in read]
    assert found == [{name: row.get(name, "") for name in "abc"} for row in rows]


def test_a_table_without_rows_has_its_names():
    assert table_csv(["at", "drug"], []) == "at,drug\r\n"


def test_what_has_no_column_is_left_out_and_what_has_no_cell_is_empty():
    assert table_csv(["a", "b"], [{"a": "1", "z": "9"}]) == "a,b\r\n1,\r\n"


@pytest.mark.parametrize("odd", ["a,b", 'say "so"', "two\r\nlines", "one\nline"])
def test_commas_quotes_and_lines_stand_in_quotes(odd):
    # RFC 4180, rules 6 and 7
    quoted = odd.replace('"', '""')

    assert table_csv(["a"], [{"a": odd}]) == f'a\r\n"{quoted}"\r\n'
