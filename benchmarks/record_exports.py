"""How long a four-hour case of 1,200 entries takes to go out as a bundle and as a table."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from time import perf_counter

import numpy as np

from benchmarks.frame import Figure, best_seconds
from ullage.answers.record.fhir.bundle import fhir_bundle, fhir_text
from ullage.answers.record.fhir.checks import fhir_faults
from ullage.answers.record.fhir.parts import ExportFacts
from ullage.answers.record.parquet import tidy_parquet
from ullage.answers.record.things import AnyLine, CaseOpened, EntryKind, EntryText, Times
from ullage.answers.record.tidy import tidy_csv
from ullage.reference.record import variable_rows

__all__ = ["figures"]

ENTRIES = 1_200
MINUTES = 240.0
SEED = 1_200
FHIR_MS, CSV_MS = 1_000.0, 200.0
BEGAN = datetime(2026, 6, 8, 9, 0, tzinfo=UTC)
#: Read in turn: variable, lowest, highest, unit.
WATCHED = (
    ("heart_rate", 180, 240, "/min"),
    ("respiratory_rate", 30, 60, "/min"),
    ("oxygen_saturation", 94, 99, "%"),
    ("cuff_systolic", 90, 110, "mm[Hg]"),
    ("cuff_diastolic", 50, 60, "mm[Hg]"),
    ("cuff_mean", 62, 74, "mm[Hg]"),
    ("temperature", 37, 39, "Cel"),
    ("end_tidal_isoflurane", 1, 2, "%{vol}"),
    ("end_tidal_co2", 34, 44, "mm[Hg]"),
    ("dial", 1, 3, "%{vol}"),
)
DRUG = {"dose": "10 mg/kg", "volume": "0.31 mL", "concentration": "100 mg/mL", "route": "i.m."}


def _times(minute: float) -> Times:
    at = BEGAN + timedelta(minutes=minute)
    return Times(observed=at, written=at, received=at)


def _case() -> list[AnyLine]:
    """A case of invented readings, a drug in every hundred entries."""
    dice = np.random.default_rng(SEED)
    facts = {"animal": "R-041", "species": "rabbit", "weight": "3.1 kg", "protocol": "P-12"}
    found: list[AnyLine] = [
        CaseOpened(id="r-1", record="r", order=1, author="S. Vale", times=_times(0.0), facts=facts)
    ]
    for place in range(ENTRIES):
        key, low, high, unit = WATCHED[place % len(WATCHED)]
        said = str(dice.integers(low, high + 1))
        is_drug = place % 100 == 99
        found.append(
            EntryText(
                id=f"r-{place + 2}",
                record="r",
                order=place + 2,
                author="S. Vale",
                times=_times(MINUTES * (place // len(WATCHED)) * len(WATCHED) / ENTRIES),
                kind=EntryKind.DRUG if is_drug else EntryKind(variable_rows()[key].kind),
                what="ketamine" if is_drug else key,
                typed="" if is_drug else f"{said} {unit}",
                number="" if is_drug else said,
                unit="" if is_drug else unit,
                details=DRUG if is_drug else {},
            )
        )
    return found


def figures() -> Iterable[Figure]:
    """The best of five runs, everything imported before."""
    lines = _case()
    facts = ExportFacts(machine="Heron", vaporizer="Vaporizer 3")
    bundle = fhir_bundle(lines, facts)
    text = fhir_text(bundle)
    start = perf_counter()
    fhir_faults(bundle)
    first = 1e3 * (perf_counter() - start)
    made = 1e3 * best_seconds(lambda: fhir_text(fhir_bundle(lines, facts)))
    checked = 1e3 * best_seconds(lambda: fhir_faults(bundle))
    whole = f"made {made:.0f} ms, checked {checked:.0f} ms, {len(text) / 1e6:.2f} MB; "
    whole += f"first check of a process {first:.0f} ms, the library loaded in it"
    yield _figure("a case as a FHIR bundle, made and checked", made + checked, FHIR_MS, whole)
    table = 1e3 * best_seconds(lambda: tidy_csv([lines]))
    size = len(tidy_csv([lines]).encode("utf-8"))
    yield _figure("a case as a tidy table, CSV", table, CSV_MS, f"{size / 1e6:.2f} MB")
    kept = 1e3 * best_seconds(lambda: tidy_parquet([lines]))
    yield _figure("a case as a tidy table, Parquet", kept, CSV_MS, "limit that of the CSV")


def _figure(name: str, value: float, limit: float, note: str) -> Figure:
    return Figure(
        name=name,
        value=value,
        limit=limit,
        comparison="<=",
        n=ENTRIES,
        seed=SEED,
        unit="ms",
        note=note,
    )
