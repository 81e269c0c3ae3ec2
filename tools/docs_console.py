"""Console blocks of the tutorials and how-tos: each command is run, its output kept current.

A block of the kind ``console`` holds lines that begin with ``$ `` and what they print. Output with
a line ``...`` leaves something out; such a block is compared, never rewritten.
"""

import doctest
import re
import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

__all__ = ["Ran", "blocks_in", "pages", "refreshed", "stale"]

ROOT = Path(__file__).parents[1]
_BLOCK = re.compile(r"^```console\n(.*?)^```$", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True, slots=True)
class Ran:
    """A command as the page shows it, in one line, and the output that stands under it."""

    typed: str
    command: str
    shown: str

    @property
    def leaves_out(self) -> bool:
        """True when the page shows only parts of the output."""
        return "..." in self.shown.splitlines()


def pages() -> list[Path]:
    """The pages whose commands are run."""
    return sorted(
        one for part in ("tutorials", "how-to") for one in (ROOT / "docs" / part).rglob("*.md")
    )


def blocks_in(text: str) -> Iterator[Ran]:
    """Every command of every console block with the output under it."""
    for block in _BLOCK.findall(text):
        for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            typed, _, shown = part.partition("\n")
            while typed.endswith("\\"):
                more, _, shown = shown.partition("\n")
                typed = f"{typed}\n{more}"
            command = " ".join(line.strip() for line in typed.split("\\\n"))
            yield Ran(typed=typed, command=command, shown=shown)


@cache
def printed(command: str) -> str:
    """What a command of ours prints; it is run from the root of the repository."""
    import os

    from click.testing import CliRunner

    from ullage.cli.house import root

    words = shlex.split(command)
    if words[:1] != ["ullage"]:
        raise SystemExit(f"Only ullage commands stand in a console block: {command!r}.")
    before = Path.cwd()
    os.chdir(ROOT)
    try:
        return CliRunner().invoke(root, words[1:]).output
    finally:
        os.chdir(before)


def stale(page: Path) -> Iterator[str]:
    """Every command of a page whose output is not what stands under it."""
    checker = doctest.OutputChecker()
    for ran in blocks_in(page.read_text("utf-8")):
        flags = doctest.ELLIPSIS if ran.leaves_out else 0
        shown, said = ran.shown.rstrip() + "\n", printed(ran.command).rstrip() + "\n"
        if not checker.check_output(shown, said, flags):
            yield f"{page.name}: the output of {ran.command!r} is not current: run `make docs`."


def refreshed(page: Path) -> str:
    """The page with the output of whole blocks as it is now."""

    def current(found: re.Match[str]) -> str:
        parts = ["```console\n"]
        for ran in blocks_in(found[0]):
            output = ran.shown if ran.leaves_out else printed(ran.command).rstrip() + "\n"
            parts.append(f"$ {ran.typed}\n{output}")
        return "".join([*parts, "```"])

    return _BLOCK.sub(current, page.read_text("utf-8"))
