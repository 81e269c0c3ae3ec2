"""Data in, bytes of a PDF out."""

import json
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any, cast

from ullage.answers import CAUTION_LINE, Answer
from ullage.core.errors import UnknownReference
from ullage.web.shared.print.letters import only_shown

if TYPE_CHECKING:
    from typst import Compiler, PDFStandard

__all__ = ["TEMPLATES", "printed", "render_pdf"]

#: Templates of any app may import those of the house, as "/shared/print/templates/house.typ".
_ROOT = Path(__file__).parents[2]
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
    words = _with_words(json.loads(kept))
    return printed(_FOLDER / f"{name}.typ", words, kept, datetime.now(UTC))


def printed(template: Path, data: dict[str, Any], kept: str, at: datetime) -> bytes:
    """Print a template of any app; the same data at the same time are the same bytes.

    ``data`` is plain JSON and stands on the pages, ``kept`` is attached as it is. A letter that no
    font here can show stands on the pages as its number.
    """
    with _ONE_AT_A_TIME:
        shown = only_shown(data, _can_show)
        inputs = {
            "data": json.dumps(shown, ensure_ascii=False),
            "kept": kept,
            "caution": CAUTION_LINE,
        }
        made = _compiler().compile(
            input=template,
            sys_inputs=inputs,
            pdf_standards=_STANDARDS,
            timestamp=at.astimezone(UTC).replace(microsecond=0),
        )
    return cast("bytes", made)  # one document asked for, so one file comes back


@lru_cache(maxsize=1)
def _compiler() -> "Compiler":
    from typst import Compiler

    # Only the fonts inside the library: the same page on every machine.
    return Compiler(root=_ROOT, ignore_system_fonts=True)


def _can_show(letters: str) -> bool:
    """Whether the fonts of the library have every one of these letters."""
    from typst import TypstError

    inputs = {"data": json.dumps(letters, ensure_ascii=False)}
    try:
        _compiler().compile(
            input=_FOLDER / "letters.typ", sys_inputs=inputs, pdf_standards=_STANDARDS
        )
    except TypstError:
        return False
    return True


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
