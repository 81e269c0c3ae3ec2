"""Write the generated pages of docs/reference and docs/README.md, or check that they are current.

python -m tools.docs            # write
python -m tools.docs --check    # compare, follow internal links; exit 1 and name each offender
"""

import sys
from collections.abc import Callable, Iterator, Mapping
from difflib import unified_diff
from pathlib import Path

from tools import (
    docs_checks,
    docs_code,
    docs_comparisons,
    docs_console,
    docs_data,
    docs_interface,
    docs_links,
    docs_parts,
)

__all__ = ["GENERATED", "current", "main", "problems"]

ROOT = Path(__file__).parents[1]

#: Page -> what writes it. The index comes last: it lists the pages that the others wrote.
GENERATED: Mapping[str, Callable[[], str]] = {
    "docs/reference/commands.md": docs_code.commands,
    "docs/reference/formulas.md": docs_code.formula_pages,
    "docs/reference/values.md": docs_data.values,
    "docs/reference/checks.md": docs_checks.checks,
    "docs/reference/parts.md": docs_parts.parts,
    "docs/reference/settings.md": docs_code.settings,
    "docs/reference/addresses.md": docs_code.addresses,
    "docs/reference/interface.md": docs_interface.interface,
    "docs/explanation/comparisons.md": docs_comparisons.comparisons,
    "docs/README.md": docs_links.index,
}


def current(page: str) -> str:
    """A page as it should be, with one line end at its end."""
    return GENERATED[page]().rstrip() + "\n"


def problems() -> Iterator[str]:
    """Every page or output that is not current, every link and part that is not there."""
    for page in GENERATED:
        path = ROOT / page
        written = path.read_text("utf-8") if path.is_file() else ""
        wanted = current(page)
        if written != wanted:
            diff = unified_diff(written.splitlines(), wanted.splitlines(), "is", "should be", n=0)
            first = next((line for line in diff if line[:1] in "+-" and line[1:2] not in "+-"), "")
            yield f"{page} is not current: run `make docs`. First difference: {first}"
    for told in docs_console.pages():
        yield from docs_console.stale(told)
    yield from docs_links.broken()


def main() -> int:
    """Write the pages, or with --check compare them."""
    if "--check" in sys.argv[1:]:
        found = list(problems())
        for one in found:
            print(one)
        return 1 if found else 0
    for told in docs_console.pages():
        told.write_text(docs_console.refreshed(told), "utf-8")
        print(f"ran the commands of {told.relative_to(ROOT).as_posix()}")
    for page in GENERATED:
        path = ROOT / page
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(current(page), "utf-8")
        print(f"wrote {page}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
