"""Our own checks of a bundle, on top of the library's: it looks at shapes and lets much by.

What it takes and must not: words of no list, units and codes that are none, a species missing,
extensions that nobody knows, no subject, references that lead nowhere.
"""

import re
from collections import Counter
from collections.abc import Hashable, Iterator, Mapping
from functools import cache
from typing import Any

from ullage.answers.record.codes import (
    device_code,
    loinc_code,
    system_uri,
    units_allowed,
    units_of,
)
from ullage.reference.record import loinc_check_digit, record_file, variable_rows

__all__ = ["fhir_faults"]

#: Resources that say of whom they are.
_OF_SOMEBODY = frozenset({"Observation", "Encounter", "Procedure", "MedicationAdministration"})
_LOINC = re.compile(r"([0-9]{1,7})-([0-9])", re.ASCII)
#: Parts of the extension of an animal -> how often each may stand there.
_ANIMAL = {"species": (1, 1), "breed": (0, 1), "genderStatus": (0, 1)}
#: So many faults of the library are told.
_MOST = 20


def fhir_faults(bundle: Mapping[str, Any]) -> tuple[str, ...]:
    """What is wrong with a bundle, each in a sentence; empty when nothing was found.

    Parameters
    ----------
    bundle : as `fhir_bundle` made it, or as read from JSON.

    Returns
    -------
    Faults of shape as the library finds them; words, units, codes, extensions, subjects and
    references as we look at them. Not a conformance test against the published definitions.

    >>> fhir_faults({"resourceType": "Bundle", "type": "heap"})
    ("Bundle.type is 'heap', which is no word of its list.",)
    """
    urls = {
        one.get("fullUrl", ""): one.get("resource", {}).get("resourceType", "")
        for one in _entries(bundle)
    }
    return (
        *_shapes(bundle),
        *_addresses(bundle),
        *(
            fault
            for one in _entries(bundle)
            for fault in _resource_faults(one.get("resource", {}), urls)
        ),
    )


def _entries(bundle: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    found = bundle.get("entry", [])
    return [one for one in found if isinstance(one, Mapping)] if isinstance(found, list) else []


# --- shape and words, by the models of the library --------------------------------------------


def _shapes(bundle: Mapping[str, Any]) -> Iterator[str]:
    from fhir.resources.bundle import Bundle
    from pydantic import ValidationError

    try:
        parsed = Bundle.model_validate(bundle)
    except ValidationError as why:
        for one in why.errors()[:_MOST]:
            where = ".".join(str(part) for part in one["loc"])
            yield f"Bundle.{where}: {one['msg']}."
        return
    yield from _words(parsed, "Bundle")


def _words(node: Any, where: str) -> Iterator[str]:
    """Words that stand in no list of theirs, through every model below this one."""
    model: Any = type(node)
    allowed = _lists(model)
    for name, one in node.__dict__.items():
        if one is None:
            continue
        if name in allowed:
            said = one if isinstance(one, list) else [one]
            for word in said:
                if word not in allowed[name]:
                    yield f"{where}.{name} is {word!r}, which is no word of its list."
        for place, below in enumerate(one if isinstance(one, list) else [one]):
            if hasattr(below, "model_fields_set"):
                yield from _words(below, _step(where, name, place, below))


def _step(where: str, name: str, place: int, below: Any) -> str:
    kind = below.get_resource_type() if name == "resource" else ""
    return kind or f"{where}.{name}" + (f"[{place}]" if place else "")


@cache
def _lists(model: Hashable) -> dict[str, frozenset[str]]:
    """The lists of words of one model, by field; ours where the library cuts a list short."""
    found = {}
    for name, one in getattr(model, "model_fields", {}).items():
        extra = one.json_schema_extra
        words = extra.get("enum_values") if isinstance(extra, dict) else None
        if words:
            whole = record_file("exchange")["words"].get(
                f"{getattr(model, '__name__', '')}.{name}", words
            )
            found[name] = frozenset(whole)
    return found


# --- our own ------------------------------------------------------------------------------------


def _addresses(bundle: Mapping[str, Any]) -> Iterator[str]:
    urls = Counter(one.get("fullUrl", "") for one in _entries(bundle))
    yield from (f"{url or 'No address'} stands {n} times." for url, n in urls.items() if n > 1)
    for one in _entries(bundle):
        expected = f"urn:uuid:{one.get('resource', {}).get('id', '')}"
        if one.get("fullUrl") != expected:
            yield f"The address {one.get('fullUrl')!r} is not that of its resource."


def _resource_faults(resource: Mapping[str, Any], urls: Mapping[str, str]) -> Iterator[str]:
    kind = str(resource.get("resourceType", ""))
    where = f"{kind} {str(resource.get('id', ''))[:8]}"
    if kind == "Patient":
        yield from _animal(resource, where)
    if kind in _OF_SOMEBODY:
        yield from _subject(resource, where, urls)
    if kind == "Observation":
        yield from _unit_of_variable(resource, where)
    for name, node in _tables(resource, ""):
        yield from _table_faults(name, node, where, urls)


def _tables(node: Any, name: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Every table in a resource, with the name under which it stands."""
    if isinstance(node, Mapping):
        yield name, node
        for below, one in node.items():
            if isinstance(one, Mapping | list):
                yield from _tables(one, below)
    elif isinstance(node, list):
        for one in node:
            yield from _tables(one, name)


def _table_faults(
    name: str, node: Mapping[str, Any], where: str, urls: Mapping[str, str]
) -> Iterator[str]:
    leads = node.get("reference")
    if isinstance(leads, str) and leads not in urls:
        yield f"{where}: the reference {leads[:60]!r} leads to nothing in the bundle."
    if name in {"extension", "modifierExtension"}:
        yield from _extension(name, node, where)
    if name == "coding" or "code" in node:
        yield from _code(node, where)


def _extension(name: str, node: Mapping[str, Any], where: str) -> Iterator[str]:
    url = str(node.get("url", ""))
    values = [key for key in node if key.startswith("value")]
    if url != system_uri("animal") and (name != "extension" or url not in _ANIMAL):
        yield f"{where}: nobody knows the extension {url[:60]!r}."
    if values and node.get("extension"):
        yield f"{where}: the extension {url[:60]!r} has a value and parts; it has one or the other."
    if not values and not node.get("extension"):
        yield f"{where}: the extension {url[:60]!r} says nothing."


def _animal(patient: Mapping[str, Any], where: str) -> Iterator[str]:
    """The profile of an animal: one extension, one species, at most one breed."""
    found = [one for one in patient.get("extension", []) if one.get("url") == system_uri("animal")]
    if len(found) != 1:
        yield f"{where}: an animal has one extension that names its species, not {len(found)}."
        return
    urls = Counter(one.get("url") for one in found[0].get("extension", []))
    for part, (least, most) in _ANIMAL.items():
        if not least <= urls[part] <= most:
            yield f"{where}: {part} of an animal stands {urls[part]} times, not {least} to {most}."


def _subject(resource: Mapping[str, Any], where: str, urls: Mapping[str, str]) -> Iterator[str]:
    subject = resource.get("subject")
    leads = subject.get("reference") if isinstance(subject, Mapping) else None
    if urls.get(str(leads)) not in {"Patient", "Group"}:
        yield f"{where} names no animal and no group that it is of."


def _code(node: Mapping[str, Any], where: str) -> Iterator[str]:
    system, code = node.get("system"), node.get("code")
    if system == system_uri("ucum") and code not in units_allowed():
        yield f"{where}: {code!r} is no unit of the whitelist."
    if system == system_uri("loinc"):
        yield from _loinc(str(code), where)
    if system == system_uri("mdc") and code not in _verified()["mdc"]:
        yield f"{where}: {code!r} is no verified code of the device nomenclature."


def _loinc(code: str, where: str) -> Iterator[str]:
    found = _LOINC.fullmatch(code)
    if found is None or loinc_check_digit(found[1]) != int(found[2]):
        yield f"{where}: {code[:20]!r} is no LOINC code: its check digit does not agree."
    elif code not in _verified()["loinc"]:
        yield f"{where}: {code!r} is no verified LOINC code."


@cache
def _verified() -> dict[str, frozenset[str]]:
    """Codes that may go out: of variables, of the vital signs, of the panel of pressures."""
    data = record_file("exchange")
    listed = [one["code"] for part in ("vital", "panel") for one in data[part].values()]
    variables = variable_rows()
    return {
        "loinc": frozenset([*listed, *(code for key in variables if (code := loinc_code(key)))]),
        "mdc": frozenset(code for key in variables if (code := device_code(key)[0])),
    }


@cache
def _by_device_code() -> dict[str, str]:
    return {device_code(key)[0]: key for key in variable_rows() if device_code(key)[0]}


def _unit_of_variable(resource: Mapping[str, Any], where: str) -> Iterator[str]:
    """Units that are units, but not of what was observed."""
    for one in (resource, *resource.get("component", [])):
        unit = one.get("valueQuantity", {}).get("code")
        codes = one.get("code", {}).get("coding", [])
        keys = {_by_device_code().get(code.get("code")) for code in codes} - {None}
        for key in keys:
            if unit is not None and unit in units_allowed() and unit not in units_of(str(key)):
                yield f"{where}: {unit!r} is no unit of {variable_rows()[str(key)].name.lower()}."
