"""The small parts that every resource is made of: ids, codes, quantities, notes, narratives."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from html import escape
from typing import Any
from uuid import UUID, uuid5

from ullage.answers.record.chained import Head
from ullage.answers.record.codes import system_uri
from ullage.answers.record.fixed import fixed_text, utc_text
from ullage.answers.record.signed import HeadSignature

__all__ = [
    "ExportFacts",
    "coding",
    "full_url",
    "lean",
    "made_id",
    "narrative",
    "note",
    "quantity",
    "reference",
    "said",
]

#: Ids are made from this and the ids of the lines, so that the same record gives the same ids.
_SPACE = UUID("5f0d9a52-8c1e-5b7a-9d43-2c6f8e1b7a90")
#: What neither XML nor FHIR takes in a text.
_ODD = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]")
#: More significant digits than this need not be kept by who reads the bundle.
MOST_DIGITS = 18


@dataclass(frozen=True, slots=True, kw_only=True)
class ExportFacts:
    """What is known beside the lines: place, pressure of the air, machine, how far the chain goes.

    ``exported_at`` and ``exported_by`` stand in the audit event; without a time there is none.
    ``late_after_min`` is set by the site; None takes what is proposed.
    """

    site: str = ""
    place: str = ""
    air_pressure_kpa: float | None = None
    machine: str = ""
    vaporizer: str = ""
    is_demo: bool = False
    head: Head | None = None
    head_signatures: tuple[HeadSignature, ...] = field(default=())
    exported_at: datetime | None = None
    exported_by: str = ""
    late_after_min: float | None = None


def made_id(record: str, *of: str) -> str:
    """The id of a resource, from the record and the line that it is made of.

    >>> made_id("r1", "entry", "r1-2") == made_id("r1", "entry", "r1-2")
    True
    """
    return str(uuid5(_SPACE, fixed_text({"of": [record, *of]})))


def full_url(resource_id: str) -> str:
    """The address of a resource inside its bundle.

    >>> full_url("a")
    'urn:uuid:a'
    """
    return f"urn:uuid:{resource_id}"


def reference(resource_id: str, display: str = "") -> dict[str, Any]:
    """A reference to a resource of the same bundle."""
    return lean({"reference": full_url(resource_id), "display": said(display)})


def said(text: str) -> str:
    """A text as FHIR takes it: control characters show as a replacement, no blanks at its ends.

    >>> said(" a\\x00b ")
    'a\\ufffdb'
    """
    return _ODD.sub("\ufffd", text).strip()


def lean(node: Mapping[str, Any]) -> dict[str, Any]:
    """A table without what is empty: FHIR has no empty texts, lists or tables.

    >>> lean({"a": "", "b": [], "c": 0, "d": None, "e": {}})
    {'c': 0}
    """
    return {name: one for name, one in node.items() if one is not None and one not in ("", [], {})}


def coding(system: str, code: str, display: str = "") -> dict[str, Any]:
    """A code of a list by the name of the list."""
    return lean({"system": system_uri(system), "code": code, "display": display})


def quantity(digits: str, unit: str, code: str) -> dict[str, Any] | None:
    """A number with its digits as typed, and its unit; None where it has too many digits.

    Parameters
    ----------
    digits : as the record keeps them.
    unit : as the record keeps it, for people.
    code : of UCUM; empty where the unit is of no whitelist, and then it goes out as text alone.

    >>> quantity("38.10", "Cel", "Cel")["value"]
    Decimal('38.10')
    """
    value = Decimal(digits)
    if len(value.as_tuple().digits) > MOST_DIGITS:
        return None
    known = {"system": system_uri("ucum"), "code": code} if code else {}
    return lean({"value": value, "unit": said(unit), **known})


def note(text: str, author: str = "", at: datetime | None = None) -> dict[str, Any]:
    """A remark, who made it and when."""
    return lean(
        {
            "authorString": said(author),
            "time": utc_text(at) if at else "",
            "text": said(text) or "not recorded",
        }
    )


def narrative(lines: Iterable[str]) -> dict[str, str]:
    """What a resource says, for people who read no codes.

    >>> narrative(["a < b"])["div"]
    '<div xmlns="http://www.w3.org/1999/xhtml"><p>a &lt; b</p></div>'
    """
    told = "".join(f"<p>{escape(said(line))}</p>" for line in lines if said(line))
    shown = told or "<p>not recorded</p>"
    return {
        "status": "generated",
        "div": f'<div xmlns="http://www.w3.org/1999/xhtml">{shown}</div>',
    }
