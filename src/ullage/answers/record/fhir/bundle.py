"""A record as one FHIR R5 bundle: a collection whose references lead nowhere outside it."""

import json
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from ullage.answers.record.fhir.about import about
from ullage.answers.record.fhir.around import Around
from ullage.answers.record.fhir.given import administrations
from ullage.answers.record.fhir.parts import ExportFacts, full_url, lean, made_id, said
from ullage.answers.record.fhir.readings import held_in, observations
from ullage.answers.record.fhir.trail import trail, used_codes
from ullage.answers.record.fixed import utc_text
from ullage.answers.record.standing import record_standing
from ullage.answers.record.things import AnyLine
from ullage.core.errors import PlanUnreadable

__all__ = ["fhir_bundle", "fhir_text"]

#: JSON of what is neither a table, a list nor a number with digits of its own.
_plain = json.JSONEncoder(ensure_ascii=False).encode


def fhir_bundle(lines: Iterable[AnyLine], facts: ExportFacts | None = None) -> dict[str, Any]:
    """One record as a bundle of resources.

    Parameters
    ----------
    lines : of one record, in their order.
    facts : place, machine, head of the chain and the like; None: nothing is known beside the lines.

    Returns
    -------
    Tables fit for `fhir_text`; numbers keep their digits. The same lines give the same bundle. What
    was corrected is amended with the original in a note, what was withdrawn is entered in error.

    Raises
    ------
    PlanUnreadable : lines of several records.

    >>> fhir_bundle([])["type"]
    'collection'
    """
    kept = tuple(lines)
    names = list(dict.fromkeys(one.record for one in kept))
    if len(names) > 1:
        raise PlanUnreadable(f"A bundle is of one record; these lines are of {len(names)}.")
    known = facts or ExportFacts()
    standing = record_standing(kept, known.late_after_min)
    around = Around(names[0] if names else "", kept, standing, known)
    found = [*about(around), *observations(around), *administrations(around)]
    found.extend(trail(around, held_in(around)))
    found.append(used_codes(around, found))
    last = max((one.times.received for one in kept), default=None)
    at = around.given.exported_at or last
    return lean(
        {
            "resourceType": "Bundle",
            "id": made_id(around.record, "bundle"),
            "meta": found[0].get("meta"),
            "identifier": {"value": said(around.record)} if said(around.record) else None,
            "type": "collection",
            "timestamp": utc_text(at) if at else "",
            "entry": [{"fullUrl": full_url(one["id"]), "resource": one} for one in found],
        }
    )


def fhir_text(bundle: dict[str, Any]) -> str:
    """A bundle as JSON in which every number has the digits that were typed.

    >>> fhir_text({"value": Decimal("38.10"), "on": True})
    '{"value":38.10,"on":true}'
    """
    parts: list[str] = []
    _write(bundle, parts)
    return "".join(parts)


def _write(node: Any, parts: list[str]) -> None:
    if isinstance(node, dict):
        for place, (name, one) in enumerate(node.items()):
            parts.append(f"{'{' if place == 0 else ','}{_plain(name)}:")
            _write(one, parts)
        parts.append("}" if node else "{}")
    elif isinstance(node, list):
        for place, one in enumerate(node):
            parts.append("[" if place == 0 else ",")
            _write(one, parts)
        parts.append("]" if node else "[]")
    elif isinstance(node, Decimal):
        parts.append(format(node, "f"))
    else:
        parts.append(_plain(node))
