"""A study as a table: one row an animal, what nobody recorded said, numbers from the lines."""

import csv
import io

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.answers.record.full import lines
from tests.answers.record.taken import group_case, records
from ullage.answers.record.animal_table import animal_rows, animals_csv, cases_of
from ullage.answers.record.methods import methods_text


def test_a_row_says_what_the_lines_say():
    (row,) = animal_rows([lines()])

    assert (row["record"], row["animal"], row["species"]) == ("r1", "R-041", "rabbit")
    assert row["weight_kg"] == "3.1"
    # began at minute 1, ended at 33, on its chest at 38
    assert (row["duration_min"], row["to_chest_min"]) == ("32", "5")
    # dialled 4 % to induce, then 2 and 1.5 %; measured 1.6 and 1.8 %
    assert row["dial_induction_median_percent"] == "4"
    assert row["dial_kept_median_percent"] == "1.75"
    assert row["end_tidal_agent_kept_median_percent"] == "1.7"
    # 38.1, 37.9 and 37.7 °C
    assert (row["temperature_median_c"], row["temperature_least_c"]) == ("37.9", "37.7")
    assert row["mean_pressure_median_mmhg"] == "68"
    assert row["drugs"] == "buprenorphine 0.03 mg/kg under the skin"
    assert (row["adverse_event"], row["died_under_anaesthesia"]) == ("no", "no")
    assert row["end_tidal_co2_median_mmhg"] == "not recorded"


def test_a_silent_record_says_nothing_happened_nowhere():
    (row,) = animal_rows([lines(["nothing to report", "awake", "on its chest"])])

    assert row["adverse_event"] == "not recorded"
    assert row["died_under_anaesthesia"] == "not recorded"
    assert row["to_chest_min"] == "not recorded"


def test_each_animal_of_a_group_has_its_row():
    first, second = animal_rows([group_case()])

    assert (first["animal"], first["weight_kg"], first["drugs"]) == (
        "m1",
        "0.025",
        "ketamine 100 mg/kg",
    )
    assert (second["animal"], second["weight_kg"], second["drugs"]) == (
        "m2",
        "0.027",
        "not recorded",
    )
    # the dial is of the bench
    assert first["dial_kept_median_percent"] == second["dial_kept_median_percent"] == "1.5"


def test_a_section_of_a_study_counts_the_animals_of_a_group():
    cases = [*cases_of(lines()), *cases_of(group_case())]
    found = {one.what: one.says for one in methods_text(cases).rows}

    assert found["Animals"] == "3"
    assert found["Species"] == "rabbit (1), mouse (2)"
    # 25 g, 27 g and 3.1 kg
    assert found["Weight"] == "median 0.027 kg, range 0.025 to 3.1, n = 3"


@settings(max_examples=50, deadline=None)
@given(st.lists(records(), max_size=3))
def test_any_study_has_a_row_an_animal_and_no_empty_cell(study):
    rows = animal_rows(study)
    read = list(csv.DictReader(io.StringIO(animals_csv(study), newline="")))

    assert len(rows) == len(read) == sum(len(cases_of(one)) for one in study)
    assert all(cell for row in read for name, cell in row.items() if name != "record")
    assert not any("nan" in cell for row in rows for cell in row.values())
