"""The page of the interface for programs, from its own description."""

from collections.abc import Iterator
from typing import Any

from tools.docs_code import django_ready
from tools.docs_data import table_of

__all__ = ["interface"]


def interface() -> str:
    """Each address with what it takes and gives, and each shape with its parts."""
    django_ready()
    from ullage.web.api.interface import api

    schema: dict[str, Any] = api.get_openapi_schema()
    lines = [
        "# The interface for programs",
        "",
        "From `/api/openapi.json`; [how to use it](../how-to/use-the-interface.md).",
        "",
    ]
    for path, methods in schema["paths"].items():
        for method, one in methods.items():
            lines += _operation(path, method, one)
    for name, shape in sorted(schema["components"]["schemas"].items()):
        lines += [f"## {name}", "", shape.get("description", ""), "", *_parts(shape), ""]
    return "\n".join(lines)


def _operation(path: str, method: str, one: dict[str, Any]) -> Iterator[str]:
    asked = ", ".join(f"`{each['name']}`" for each in one.get("parameters", ())) or "nothing"
    body = one.get("requestBody", {}).get("content", {}).get("application/json", {})
    given = one["responses"]["200" if "200" in one["responses"] else 200]
    answer = given["content"]["application/json"]["schema"]
    refused = ", ".join(str(code) for code in one["responses"] if str(code) != "200")
    yield from (f"## {method.upper()} `{path}`", "", one.get("description", ""), "")
    yield f"- Asked: {asked}."
    if body:
        yield f"- Sent: {_kind(body['schema'])}."
    yield from (f"- Answer: {_kind(answer)}; refused with {refused}.", "")


def _parts(shape: dict[str, Any]) -> list[str]:
    must = set(shape.get("required", ()))
    rows = [
        (f"`{name}`", _kind(part), "" if name in must else "may be left out")
        for name, part in shape.get("properties", {}).items()
    ]
    return list(table_of(("part", "kind", ""), rows)) if rows else []


def _kind(part: dict[str, Any]) -> str:
    """What a part is, in a word."""
    if "$ref" in part:
        name = part["$ref"].rpartition("/")[2]
        return f"[{name}](#{name.lower()})"
    if "anyOf" in part:
        return " or ".join(_kind(one) for one in part["anyOf"])
    if part.get("type") == "array":
        return f"list of {_kind(part['items'])}"
    if "enum" in part:
        return ", ".join(f"`{one}`" for one in part["enum"])
    kind = str(part.get("format") or part.get("type") or "table")
    return {"null": "nothing", "object": "table", "date-time": "time"}.get(kind, kind)
