"""Data in, bytes of a PDF out."""

import json
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any, cast

from ullage.answers import CAUTION_LINE, Answer
from ullage.core.errors import UnknownReference

if TYPE_CHECKING:
    from typst import Compiler, PDFStandard

__all__ = ["TEMPLATES", "render_pdf"]

_FOLDER = Path(__file__).parent / "templates"
_STANDARDS: list["PDFStandard"] = ["a-3a", "ua-1"]
_ONE_AT_A_TIME = Lock()

#: What can be printed.
TEMPLATES = ("case", "day", "labels", "machine", "order")


def render_pdf(template_name: str, data: dict[str, Any]) -> bytes:
    """Print a template; the shapes of the data stand in the docstring of the package."""
    name = template_name.removesuffix(".typ")
    if name not in TEMPLATES:
        raise UnknownReference(f"No template {name!r}. There are: {', '.join(TEMPLATES)}.")
    kept = json.dumps(data, default=_plain, ensure_ascii=False, indent=1)
    words = json.dumps(_with_words(json.loads(kept)), ensure_ascii=False)
    inputs = {"data": words, "kept": kept, "caution": CAUTION_LINE}
    with _ONE_AT_A_TIME:
        made = _compiler().compile(
            input=_FOLDER / f"{name}.typ",
            sys_inputs=inputs,
            pdf_standards=_STANDARDS,
            timestamp=datetime.now(UTC).replace(microsecond=0),
        )
    return cast("bytes", made)  # one document asked for, so one file comes back


@lru_cache(maxsize=1)
def _compiler() -> "Compiler":
    from typst import Compiler

    # Only the fonts inside the library: the same page on every machine.
    return Compiler(root=_FOLDER, ignore_system_fonts=True)


def _plain(thing: object) -> Any:
    if isinstance(thing, Answer):
        return thing.as_dict()
    return str(thing)


def _with_words(value: Any) -> Any:
    """The same data, each answer with its number and range in the words every face prints."""
    if isinstance(value, list):
        return [_with_words(one) for one in value]
    if not isinstance(value, dict):
        return value
    if {"question", "unit", "sentence"} <= value.keys():
        answer = Answer.from_dict(value)
        return {**value, "number_text": answer.number_text, "range_text": answer.range_text}
    return {key: _with_words(one) for key, one in value.items()}
