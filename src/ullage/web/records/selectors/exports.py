"""Records in the forms in which they are handed out, one or several."""

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from django.utils.text import slugify

from ullage.answers.record.animal_table import animals_csv
from ullage.answers.record.chained import Head
from ullage.answers.record.drug_lines import drug_lines_csv
from ullage.answers.record.exported import read_export
from ullage.answers.record.fhir.bundle import fhir_bundle, fhir_text
from ullage.answers.record.fhir.parts import ExportFacts
from ullage.answers.record.parquet import tidy_parquet
from ullage.answers.record.things import AnyLine
from ullage.answers.record.tidy import tidy_csv, tidy_description
from ullage.web.cases.selectors import Life, Record, life_of
from ullage.web.records.selectors.chains import chain_bytes
from ullage.web.sites.selectors import Site, air_of

__all__ = ["FORMS", "Form", "Made", "export_of", "file_name"]

type Several = Sequence[Sequence[AnyLine]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A file that is handed out: how it is called, of what kind, its bytes."""

    name: str
    kind: str
    content: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """One form: what it is called on a page, what it holds, and how its file ends."""

    label: str
    says: str
    ending: str
    kind: str
    #: Whether it is of one record alone.
    is_single: bool = False


_CSV = "text/csv; charset=utf-8"
#: Key of an address -> form.
FORMS: Mapping[str, Form] = {
    "chain": Form(
        label="Machine-readable record",
        says="every line with its fingerprint and the signatures; what ullage verify reads",
        ending="json",
        kind="application/json",
        is_single=True,
    ),
    "csv": Form(label="Table, CSV", says="one row an entry", ending="csv", kind=_CSV),
    "columns": Form(
        label="What the columns mean, JSON",
        says="goes beside the table",
        ending="columns.json",
        kind="application/json",
    ),
    "parquet": Form(
        label="Table, Parquet",
        says="the same rows, columns with their types",
        ending="parquet",
        kind="application/vnd.apache.parquet",
    ),
    "fhir": Form(
        label="FHIR R5 bundle",
        says="for another system",
        ending="fhir.json",
        kind="application/fhir+json",
        is_single=True,
    ),
    "animals": Form(
        label="Table of animals, CSV", says="one row an animal", ending="animals.csv", kind=_CSV
    ),
    "drugs": Form(
        label="Drug lines, CSV",
        says="for the site's own log of controlled drugs",
        ending="drugs.csv",
        kind=_CSV,
    ),
}


def file_name(record: Record, ending: str) -> str:
    """A file name of letters, digits and dashes alone, whatever the animal is called."""
    name = slugify(record.name)[:40]
    return f"record-{record.number}{f'-{name}' if name else ''}.{ending}"


def export_of(records: Sequence[Record], form: str) -> Made:
    """Records in one of `FORMS`; of a form for one record the first counts."""
    known = FORMS[form]
    lives = [life_of(one) for one in records]
    content = _MAKERS[form](lives)
    if len(records) == 1:
        name = file_name(records[0], known.ending)
    else:
        name = f"records-{len(records)}.{known.ending}"
    return Made(name=name, kind=known.kind, content=content)


def _lines(lives: Sequence[Life]) -> list[tuple[AnyLine, ...]]:
    return [one.lines for one in lives]


def _json(found: object) -> bytes:
    return f"{json.dumps(found, ensure_ascii=False, indent=2)}\n".encode()


def _fhir(lives: Sequence[Life]) -> bytes:
    life = lives[0]
    record, site = life.record, life.record.site
    file = read_export(chain_bytes(record))
    head: Head = file.stated
    facts = ExportFacts(
        site=site.name,
        place=life.facts.get("place", ""),
        air_pressure_kpa=air_of(site).value,
        machine=life.facts.get("machine", "") or record.machine.name,
        vaporizer=life.facts.get("vaporizer", ""),
        is_demo=site.is_demo,
        head=head,
        head_signatures=file.signatures,
        late_after_min=life.rules.late_after_min,
    )
    return f"{fhir_text(fhir_bundle(life.lines, facts))}\n".encode()


def _drugs(lives: Sequence[Life]) -> bytes:
    site: Site = lives[0].record.site
    return drug_lines_csv(_lines(lives), zone=ZoneInfo(site.time_zone)).encode()


_MAKERS: Mapping[str, Callable[[Sequence[Life]], bytes]] = {
    "chain": lambda lives: chain_bytes(lives[0].record),
    "csv": lambda lives: tidy_csv(_lines(lives)).encode(),
    "columns": lambda lives: _json(tidy_description(_lines(lives))),
    "parquet": lambda lives: tidy_parquet(_lines(lives)),
    "fhir": _fhir,
    "animals": lambda lives: animals_csv(_lines(lives)).encode(),
    "drugs": _drugs,
}
