"""The figures of handing out a record: the case is sound, every line is there; none is timed."""

from benchmarks import record_exports as measured
from ullage.answers.record.fhir.bundle import fhir_bundle
from ullage.answers.record.fhir.checks import fhir_faults
from ullage.answers.record.things import EntryText


def test_the_case_has_as_many_entries_as_are_asked_for_in_four_hours():
    lines = measured._case()
    entries = [one for one in lines if isinstance(one, EntryText)]
    lasted = entries[-1].times.observed - entries[0].times.observed

    assert len(entries) == 1200
    assert 230 * 60 < lasted.total_seconds() <= 240 * 60
    assert fhir_faults(fhir_bundle(lines)) == ()


def test_each_form_has_its_line_with_its_limit():
    found = list(measured.figures())

    assert [(one.limit, one.unit, one.n) for one in found] == [
        (1000.0, "ms", 1200),
        (200.0, "ms", 1200),
        (200.0, "ms", 1200),
    ]
    assert all(one.value > 0.0 for one in found)
