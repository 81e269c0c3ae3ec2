"""Who answers for what: signatures, the chain, corrections, the export, the codes used."""

import base64
from collections.abc import Iterator
from typing import Any

from ullage.answers.record.codes import notices
from ullage.answers.record.fhir.around import Around
from ullage.answers.record.fhir.parts import full_url, lean, reference, said
from ullage.answers.record.fixed import utc_text
from ullage.answers.record.seen import NOT_RECORDED
from ullage.answers.record.signed import HeadSignature, fingerprint
from ullage.answers.record.standing import Change
from ullage.answers.record.things import SignatureText

__all__ = ["trail", "used_codes"]


def trail(around: Around, by_order: dict[int, str]) -> Iterator[dict[str, Any]]:
    """Provenance of signatures, of the chain and of corrections; the audit event of the export.

    Parameters
    ----------
    around : of the bundle.
    by_order : order number of an entry -> id of the resource that holds it.
    """
    for one in around.lines:
        if isinstance(one, SignatureText):
            yield _signature(one, around)
    if around.given.head is not None:
        yield _chain(around)
    for change in around.standing.changes:
        yield _correction(change, around, by_order)
    if around.given.exported_at is not None:
        yield _export(around)


def _who(name: str) -> dict[str, str]:
    return {"display": said(name) or NOT_RECORDED}


def _signature(one: SignatureText, around: Around) -> dict[str, Any]:
    at = utc_text(one.times.received)
    told = f"Signed by {one.printed_name}, {at}: {one.meaning.value}."
    return around.made(
        "Provenance",
        ("signature", one.id, str(one.order)),
        [told, f"It covers the lines before line {one.order}."],
        lean(
            {
                "target": [around.encounter, around.procedure],
                "occurredDateTime": utc_text(one.times.observed),
                "recorded": at,
                "activity": {"text": one.meaning.value},
                "agent": [{"who": _who(one.author)}],
                "signature": [{"when": at, "who": _who(one.printed_name)}],
            }
        ),
    )


def _chain(around: Around) -> dict[str, Any]:
    """The head of the chain, and the signatures of it by the key of the site."""
    head = around.given.head
    lines, sum_of = (head.count, head.sum) if head else (0, "")
    what = {
        "identifier": {"value": sum_of},
        "display": f"Fingerprint (SHA-256) of {lines} lines of record {said(around.record)}",
    }
    return around.made(
        "Provenance",
        ("head", sum_of),
        [f"The chain of this record goes to line {lines}; its fingerprint is {sum_of}."],
        lean(
            {
                "target": [around.encounter],
                "activity": {"text": "chain of the record"},
                "agent": [{"who": _who(around.given.site)}],
                "entity": [{"role": "source", "what": what}],
                "signature": [_signed(one) for one in around.given.head_signatures],
            }
        ),
    )


def _signed(one: HeadSignature) -> dict[str, Any]:
    return lean(
        {
            "when": one.at,
            "who": {"display": f"key {fingerprint(one.key)}, {one.count} lines"},
            "data": base64.b64encode(bytes.fromhex(one.signature)).decode("ascii"),
        }
    )


def _correction(change: Change, around: Around, by_order: dict[int, str]) -> dict[str, Any]:
    by = change.by
    held = by_order.get(change.was.order) if change.was else None
    what = "withdrawn" if by.withdrawn else "amended"
    reason = said(by.reason) or NOT_RECORDED
    told = [f"Entry {by.of} {what} by {by.author}: {reason}"]
    if change.was is None:
        told.append(f"It names no entry that stands. It says: {by.typed} {by.number} {by.unit}")
    return around.made(
        "Provenance",
        ("correction", by.id, str(by.order)),
        told,
        lean(
            {
                "target": [reference(held) if held else around.encounter],
                "occurredDateTime": utc_text(by.times.observed),
                "recorded": utc_text(by.times.received),
                "activity": {"text": what},
                "authorization": [{"concept": {"text": reason}}],
                "agent": [{"who": _who(by.author)}],
            }
        ),
    )


def _export(around: Around) -> dict[str, Any]:
    at = around.given.exported_at
    return around.made(
        "AuditEvent",
        ("export", utc_text(at) if at else ""),
        [f"The record was exported by {around.given.exported_by or NOT_RECORDED}."],
        {
            "code": {"text": "export of a record"},
            "action": "R",
            "recorded": utc_text(at) if at else "",
            "agent": [{"who": _who(around.given.exported_by)}],
            "source": {"observer": _who(around.given.site)},
            "entity": [{"what": around.encounter}],
        },
    )


def used_codes(around: Around, resources: list[dict[str, Any]]) -> dict[str, Any]:
    """The codes that stand in the bundle, with the notices that their owners ask for."""
    found: dict[str, dict[str, str]] = {}
    for one in resources:
        for code in _codings(one):
            listed = found.setdefault(code["system"], {})
            listed[code["code"]] = listed.get(code["code"]) or code.get("display", "")
    texts = [one["text"] for one in notices().values()]
    return around.made(
        "ValueSet",
        ("codes",),
        ["Codes of open lists that stand in this bundle.", *texts],
        lean(
            {
                "url": full_url(around.id_of("codes")),
                "name": "CodesOfTheRecord",
                "title": "Codes of this record",
                "status": "active",
                "copyright": " ".join(texts),
                "compose": _compose(found),
            }
        ),
    )


def _compose(found: dict[str, dict[str, str]]) -> dict[str, Any] | None:
    if not found:
        return None
    return {
        "include": [
            {
                "system": system,
                "concept": [
                    lean({"code": code, "display": display})
                    for code, display in sorted(codes.items())
                ],
            }
            for system, codes in sorted(found.items())
        ]
    }


def _codings(node: Any) -> Iterator[dict[str, str]]:
    if isinstance(node, list):
        for one in node:
            yield from _codings(one)
    elif isinstance(node, dict):
        for name, one in node.items():
            if name == "coding":
                yield from (code for code in one if "system" in code)
            elif isinstance(one, dict | list):
                yield from _codings(one)
