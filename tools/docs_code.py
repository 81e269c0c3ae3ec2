"""Pages of docs/reference that are made from the code: commands, formulas, settings, addresses."""

import ast
import os
import tempfile
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path
from typing import Any

from tools.docs_data import table_of
from ullage.answers.formulas import Formula, formulas

__all__ = ["addresses", "commands", "django_ready", "formula_pages", "settings"]

ROOT = Path(__file__).parents[1]
SRC = ROOT / "src" / "ullage"

#: What each variable of the environment is for; the check refuses one that is missing here.
MEANINGS = {
    "ULLAGE_HOME": "Folder of the database, the secrets, the backups and the static files.",
    "ULLAGE_DATABASE": "Connection string of a PostgreSQL database; empty: SQLite in the folder.",
    "ULLAGE_HOSTS": "Names under which the site may be reached, with commas between.",
    "ULLAGE_ORIGINS": "Origins, with their scheme, from which forms are accepted.",
    "ULLAGE_BACKUPS": "Folder of the backups, best on another disk; empty: backups in the folder.",
    "ULLAGE_SECRET": "Secret of the sessions; empty: made at first use and kept in the folder.",
    "ULLAGE_SESSION_H": "Hours that a session may last; 24 when empty.",
    "ULLAGE_SESSION_IDLE_H": "Hours that a session may lie untouched; 12 when empty.",
    "ULLAGE_SIGNING_KEY": "File of the key that signs records; empty: signing.pem in the folder.",
    "ULLAGE_TASKS": "How queued answers are worked out.",
    "ULLAGE_TLS": "Any text says that the site is reached over TLS; cookies are then marked so.",
    "ULLAGE_SOAK": "Any text runs the full counts of what the tests run at a tenth.",
}

#: Fields of a site that nobody sets.
_NOT_SET = {"id", "code", "is_demo"}


def commands() -> str:
    """Each command with its help as the terminal shows it."""
    from ullage.cli.house import COMMANDS, root

    whole = root.make_context("ullage", [], resilient_parsing=True, terminal_width=80)
    lines = ["# Commands", "", "What `--help` prints, for each command.", ""]
    lines += ["## ullage", "", "```text", root.get_help(whole), "```", ""]
    for name in COMMANDS:
        command = root.get_command(whole, name)
        if command is None:
            raise SystemExit(f"The command {name} is listed in cli/house.py and cannot be loaded.")
        context = command.make_context(name, [], whole, resilient_parsing=True, terminal_width=80)
        lines += [f"## ullage {name}", "", "```text", command.get_help(context), "```", ""]
    return "\n".join(line.rstrip() for line in "\n".join(lines).splitlines())


def formula_pages() -> str:
    """Each formula that `ullage compute` offers."""
    lines = [
        "# Formulas",
        "",
        "What `ullage compute` offers, and the catalogue of the site shows. A value is typed with",
        "its unit; a bare number is in the unit of its name.",
        "",
    ]
    for group, members in groupby(formulas(), key=lambda one: one.group):
        lines += [f"## {group}", ""]
        for one in members:
            lines += _formula(one)
    return "\n".join(lines)


def _formula(one: Formula) -> Iterator[str]:
    yield f"### {one.name}"
    yield ""
    yield one.summary
    yield ""
    result = f"[{one.unit}]" + (f" {one.returns}" if one.returns else "")
    yield f"Result: {result}"
    yield ""
    rows = (
        (
            f"`{given.name}`",
            given.unit,
            " ".join((given.meaning, f"One of: {', '.join(given.words)}." if given.words else "")),
            given.default,
        )
        for given in one.parameters
    )
    yield from table_of(("takes", "unit", "meaning", "when left out"), rows)
    yield ""
    if one.sources:
        yield "Where from: " + "; ".join(f"{line.key} ({line.what})" for line in one.sources) + "."
        yield ""
    if one.example:
        yield from ("```sh", one.example, "```", "")


def settings() -> str:
    """The variables of the environment, and what a site sets for itself."""
    django_ready()
    from ullage.web.sites.models import Site

    found = _variables()
    unknown = sorted(set(found) - set(MEANINGS))
    if unknown:
        raise SystemExit(f"tools/docs_code.py: say what {', '.join(unknown)} is for in MEANINGS.")
    fields = [one for one in Site._meta.fields if one.editable and one.name not in _NOT_SET]
    lines = [
        "# Settings",
        "",
        "## Variables of the environment",
        "",
        "`ullage serve` and `ullage demo` set what they need; set these where you run the site",
        "in another way.",
        "",
        *table_of(
            ("variable", "meaning", "when not set"),
            ((f"`{name}`", MEANINGS[name], found[name]) for name in sorted(found)),
        ),
        "",
        "## What a site sets for itself",
        "",
        "On the page Settings of the site, by a lead or the veterinarian; each change is kept with",
        "who made it and when.",
        "",
        *table_of(("setting", "starts as"), (_setting(one) for one in fields)),
    ]
    return "\n".join(lines)


def _setting(field: Any) -> tuple[str, str]:
    from django.db.models import NOT_PROVIDED

    default = field.default
    shown = "not set" if default is NOT_PROVIDED or callable(default) else str(default)
    return f"`{field.name}`", "not set" if shown in {"", "None"} else shown


def _variables() -> dict[str, str]:
    """Variable -> its default in words, from every `os.environ.get` of package and tests."""
    found: dict[str, str] = {}
    for path in (*sorted(SRC.rglob("*.py")), *sorted((ROOT / "tests").rglob("*.py"))):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            for name, default in _asked_for(node):
                found.setdefault(name, default)
                found[name] = found[name] or default
    return found


def _asked_for(node: ast.AST) -> Iterator[tuple[str, str]]:
    if not (isinstance(node, ast.Call) and ast.unparse(node.func) == "os.environ.get"):
        return
    name = node.args[0]
    if isinstance(name, ast.Constant) and str(name.value).startswith("ULLAGE_"):
        given = node.args[1] if len(node.args) > 1 else None
        if isinstance(given, ast.Constant):
            yield str(name.value), f"`{given.value!s}`" if given.value else ""
        else:
            yield str(name.value), f"`{_in_words(given)}`" if given else ""


def _in_words(given: ast.expr) -> str:
    """A path below the home folder as a person writes it."""
    words = ast.unparse(given).replace("Path.home()", "~").replace(" / ", "/")
    return words.replace("'", "")


def addresses() -> str:
    """Each address of the site with its name and what it shows."""
    django_ready()
    from django.urls import get_resolver

    rows = sorted(_patterns(get_resolver().url_patterns, "/", ""))
    lines = ["# Addresses", "", "Names are those used in templates and code.", ""]
    for app, members in groupby(rows, key=lambda row: row[0]):
        lines += [f"## {app or 'Sign-in'}", ""]
        kept = [(f"`{where}`", name, words) for _, where, name, words in members]
        lines += [*table_of(("address", "name", "what it is"), kept), ""]
    return "\n".join(lines)


def _patterns(found: Any, before: str, app: str) -> Iterator[tuple[str, str, str, str]]:
    for one in found:
        where = f"{before}{one.pattern}"
        if hasattr(one, "url_patterns"):
            yield from _patterns(one.url_patterns, where, one.namespace or app)
        else:
            yield app, where, one.name or "", _words(one.callback)


def _words(view: Any) -> str:
    """The first line of a view of ours; a library's view speaks for itself by its name."""
    inner = getattr(view, "__wrapped__", view)
    ours = str(getattr(inner, "__module__", "")).startswith("ullage.")
    return (view.__doc__ or "").strip().split("\n")[0] if ours else ""


def django_ready() -> None:
    """Set up the site with an own empty folder; no database is opened."""
    os.environ.setdefault("ULLAGE_HOME", tempfile.mkdtemp(prefix="ullage-docs-"))
    os.environ.setdefault("ULLAGE_SECRET", "only-for-docs")
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ullage.web.settings")
    import django
    from django.apps import apps

    if not apps.ready:
        django.setup()
