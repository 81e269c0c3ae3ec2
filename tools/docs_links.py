"""The shape of docs: its parts, its index, and links that lead somewhere."""

import re
from collections.abc import Iterator
from pathlib import Path

__all__ = ["broken", "index", "pages", "title_of"]

ROOT = Path(__file__).parents[1]

#: Part -> what it is for. Each part is a folder of docs and holds at least one page.
PARTS = {
    "tutorials": "Tutorials: learn by doing, from the first command on",
    "how-to": "How-to: get one thing done",
    "explanation": "Explanation: why the answers are what they are",
    "reference": "Reference: every command, formula, value, setting and address",
    "decisions": "Decisions: why it was built this way",
}
_LINK = re.compile(r"(?<!\!)\[[^\]]*\]\(([^)\s]+)\)")
_PICTURE = re.compile(r"!\[[^\]]*\]\(([^)\s]+)\)")
_FENCE = re.compile(r"^```.*?^```", re.MULTILINE | re.DOTALL)
_DECISION = ("## Context", "## Decision", "## Consequences", "## What would change it")


def pages(root: Path = ROOT) -> list[Path]:
    """Every page of docs, and the README."""
    return [root / "README.md", *sorted((root / "docs").rglob("*.md"))]


def title_of(page: Path) -> str:
    """The first heading of a page."""
    found = re.search(r"^# (.+)$", page.read_text("utf-8"), re.MULTILINE)
    return found[1].strip() if found else page.stem


def index() -> str:
    """The page that lists every other page, part by part."""
    lines = ["# Documentation", ""]
    for part, words in PARTS.items():
        lines += [f"## {words}", ""]
        found = sorted((ROOT / "docs" / part).glob("*.md"))
        lines += [f"- [{title_of(one)}]({part}/{one.name})" for one in found]
        lines += [""] if found else []
    return "\n".join(lines)


def broken(root: Path = ROOT) -> Iterator[str]:
    """Links that lead nowhere, parts without a page, pages outside the parts, bare decisions."""
    docs = root / "docs"
    for part in PARTS:
        if not list((docs / part).glob("*.md")):
            yield f"docs/{part} holds no page."
    for page in sorted(docs.rglob("*.md")):
        inside = page.relative_to(docs).parts
        if len(inside) > 1 and inside[0] not in PARTS:
            yield f"docs/{'/'.join(inside)} stands outside {', '.join(PARTS)}."
    for page in pages(root):
        yield from _broken_in(page, page.relative_to(root).as_posix())
    for page in sorted((docs / "decisions").glob("*.md")):
        yield from _lacking(page, page.relative_to(root).as_posix())


def _broken_in(page: Path, name: str) -> Iterator[str]:
    text = _FENCE.sub("", page.read_text("utf-8"))
    if not text.lstrip().startswith("# "):
        yield f"{name} does not begin with a heading."
    for link in (*_LINK.findall(text), *_PICTURE.findall(text)):
        if re.match(r"[a-z]+:", link):
            continue
        target, _, anchor = link.partition("#")
        found = (page.parent / target).resolve() if target else page
        if not found.exists():
            yield f"{name}: {link} leads nowhere."
        elif anchor and anchor not in _anchors(found):
            yield f"{name}: {link} names no heading of its page."


def _anchors(page: Path) -> set[str]:
    headings = re.findall(r"^#+ (.+)$", _FENCE.sub("", page.read_text("utf-8")), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", one.lower()).strip().replace(" ", "-") for one in headings}


def _lacking(page: Path, name: str) -> Iterator[str]:
    text = page.read_text("utf-8")
    if not re.fullmatch(r"\d{4}-[a-z0-9-]+\.md", page.name):
        yield f"{name}: a decision is named by four digits and words."
    for heading in _DECISION:
        if heading not in text:
            yield f"{name} lacks the heading {heading[3:]!r}."
