"""The rules of the house that no reviewer should have to police."""

import ast
import inspect
import pkgutil
import re
import subprocess
from functools import cache
from importlib import import_module
from itertools import pairwise
from pathlib import Path
from typing import Any, get_type_hints

import pytest

import ullage.core
from ullage.answers.endings import ending_of, unit_by_name
from ullage.answers.formula_docs import described
from ullage.core.units import KINDS
from ullage.reference import sources, table

ROOT = Path(__file__).parents[1]
SRC = ROOT / "src" / "ullage"

#: Made by a program of ours; a test of its own regenerates and compares it.
GENERATED = {SRC / "core" / "gas" / "tables.py"}

CODE = sorted(
    one for one in SRC.rglob("*.py") if "migrations" not in one.parts and one not in GENERATED
)
TESTS = sorted((ROOT / "tests").rglob("*.py"))


def named(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def core_modules() -> list[Any]:
    found = pkgutil.walk_packages(ullage.core.__path__, "ullage.core.")
    return [import_module(one.name) for one in found if not one.name.split(".")[-1].startswith("_")]


def test_a_module_of_the_core_offers_what_it_lists():
    missing = [
        f"{module.__name__}.{name}"
        for module in core_modules()
        for name in getattr(module, "__all__", ())
        if not hasattr(module, name)
    ]

    assert not missing


def core_functions() -> list[Any]:
    found = {}
    for module in core_modules():
        for name in getattr(module, "__all__", ()):
            thing = getattr(module, name, None)
            if inspect.isfunction(thing):
                found[f"{thing.__module__}.{thing.__qualname__}"] = thing
    return [found[name] for name in sorted(found)]


FUNCTIONS = core_functions()
functions = pytest.mark.parametrize("function", FUNCTIONS, ids=lambda one: one.__qualname__)

#: A number taken or handed back: alone, or many of them in an array.
NUMBERS = {"float", "int", "Floats"}


def kind_of(annotation: Any) -> str:
    """The name of an annotation without ``| None``."""
    text = annotation if isinstance(annotation, str) else getattr(annotation, "__name__", "")
    return text or str(annotation)


def is_number(annotation: Any) -> bool:
    text = str(annotation) if not isinstance(annotation, type) else annotation.__name__
    return text in {"float", "int", "float | None", "int | None"} or "ndarray" in text


@functions
def test_every_number_taken_has_a_unit_in_the_docstring(function):
    text = inspect.getdoc(function) or ""
    taken = {name for name, kind in get_type_hints(function).items() if is_number(kind)}
    bare = {
        name
        for name in taken - {"return"}
        if not any(one.name == name and one.unit for one in described(function).parameters)
    }

    assert not bare, f"no [unit] for {sorted(bare)} in:\n{text}"


@functions
def test_names_and_docstring_agree_on_the_unit(function):
    words = described(function)
    hints = get_type_hints(function)
    said = {one.name: one.unit for one in words.parameters if is_number(hints.get(one.name))}
    if is_number(hints["return"]):
        said[function.__name__] = words.unit
    wrong = {name: unit for name, unit in said.items() if unit_by_name(name) != unit}

    assert not wrong, f"described otherwise than named: {wrong}"


@functions
def test_what_returns_a_number_says_in_which_unit(function):
    if not is_number(get_type_hints(function)["return"]):
        return
    text = inspect.getdoc(function) or ""

    assert re.search(r"^Returns\n-+\n\[.+?\]", text, re.MULTILINE), "no [unit] under Returns"


@functions
def test_a_source_named_in_a_docstring_is_known(function):
    named_sources = {line.key for line in described(function).sources}

    assert named_sources <= set(sources())


def test_every_ending_belongs_to_a_kind_that_people_can_type():
    for name in ("gauge_kpa", "flow_l_min", "volume_m3", "error_share", "temperature_band_k"):
        ending = ending_of(name)
        assert ending.unit in KINDS[ending.kind]


PURE = [one for one in CODE if one.relative_to(SRC).parts[0] in {"core", "answers"}]

#: Calls that read a clock, a file, the environment, the network or a person.
IMPURE = {
    *("open", "input", "utcnow", "localtime", "monotonic", "perf_counter"),
    *("getenv", "read_text", "read_bytes", "write_text", "write_bytes", "urlopen", "system"),
    *("datetime.now", "date.today", "datetime.today", "timezone.now", "time.time"),
}
#: Calls that roll dice; answers may, when the seed is handed in.
DICE = {"random", "randint", "choice", "uniform", "normal", "default_rng", "seed", "shuffle"}


def calls_in(path: Path) -> set[str]:
    """The last word of every call, and its last two words: `open`, `datetime.now`."""
    calls = [node.func for node in ast.walk(parsed(path)) if isinstance(node, ast.Call)]
    words = [ast.unparse(call).split(".") for call in calls]
    return {".".join(one[-count:]) for one in words for count in (1, 2)}


@cache
def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


@pytest.mark.parametrize("path", PURE, ids=named)
def test_core_and_answers_call_no_clock_file_environment_or_dice(path):
    banned = IMPURE | (DICE if path.is_relative_to(SRC / "core") else set())

    assert not calls_in(path) & banned


@pytest.mark.parametrize("path", PURE, ids=named)
def test_dice_in_answers_are_seeded_by_the_caller(path):
    unseeded = [
        node.lineno
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.Call)
        and getattr(node.func, "attr", "") == "default_rng"
        and (not node.args or isinstance(node.args[0], ast.Constant))
    ]

    assert not unseeded


ABOVE = [one for one in CODE if one.relative_to(SRC).parts[0] in {"answers", "web", "cli"}]


def constant(node: ast.expr) -> str:
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""


@pytest.mark.parametrize("path", ABOVE, ids=named)
def test_a_source_named_in_an_answer_is_known(path):
    named_sources = {
        constant(word.value)
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") in {"WhereFrom", "View"}
        for word in node.keywords
        if word.arg == "source"
    }

    assert named_sources - {""} <= set(sources())


@pytest.mark.parametrize("path", ABOVE, ids=named)
def test_a_value_asked_for_by_name_is_in_the_tables(path):
    missing = [
        (name, key)
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.Call)
        and getattr(node.func, "id", "") in {"sourced", "stated", "printed"}
        and len(node.args) == 2
        for name, key in [(constant(node.args[0]), constant(node.args[1]))]
        if name and key and key not in table(name)
    ]

    assert not missing


LISTED = [
    one
    for one in CODE
    if (
        one.relative_to(SRC).parts[0] in {"core", "reference", "answers", "cli"}
        and not one.name.startswith("_")
    )
    or one.name == "__init__.py"
]


@pytest.mark.parametrize("path", LISTED, ids=named)
def test_a_module_lists_what_it_offers(path):
    tree = parsed(path)
    if all(isinstance(node, ast.Expr) for node in tree.body):
        return
    listed = [
        node
        for node in tree.body
        if isinstance(node, ast.Assign | ast.AnnAssign)
        and "__all__" in ast.unparse(node).split("=")[0]
    ]

    assert listed


@pytest.mark.parametrize("path", CODE, ids=named)
def test_the_code_neither_asserts_nor_prints_nor_leaves_work_undone(path):
    text = path.read_text(encoding="utf-8")
    undone = re.findall(r"\b(?:TODO|FIXME|XXX|NotImplementedError)\b", text)
    loud = [
        node.lineno
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.Assert)
        or (isinstance(node, ast.Call) and getattr(node.func, "id", "") == "print")
    ]

    assert not undone
    assert not loud


@pytest.mark.parametrize("path", CODE, ids=named)
def test_a_comment_has_at_most_two_lines(path):
    lines = path.read_text(encoding="utf-8").splitlines()
    starts = [bool(re.match(r"\s*#(?!:)", line)) for line in lines]
    long = [
        number
        for number, (one, two, three) in enumerate(
            zip(starts, starts[1:], starts[2:], strict=False), start=1
        )
        if one and two and three
    ]

    assert not long, f"{named(path)}, lines {long}"


@pytest.mark.parametrize("path", [*CODE, *TESTS], ids=named)
def test_an_ignored_complaint_says_why(path):
    unexplained = [
        number
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if re.search(r"#\s*(?:type: ignore|noqa)", line)
        and not re.search(r"#\s*(?:type: ignore\[[\w, -]+\]|noqa: [A-Z0-9, ]+)\s+# \S+", line)
        and path != Path(__file__)
    ]

    assert not unexplained


def checks_in(path: Path) -> list[ast.FunctionDef]:
    return [
        node
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
    ]


#: How the names of helpers begin that fail a test by themselves.
CHECKING = ("assert", "check", "expect_", "django_assert")


def can_fail(test: ast.FunctionDef) -> bool:
    """Whether it asserts, expects an error, or calls a helper whose name says that it checks."""
    for node in ast.walk(test):
        if isinstance(node, ast.Assert):
            return True
        called = getattr(node, "func", None)
        name = str(getattr(called, "attr", getattr(called, "id", "")))
        if name in {"raises", "expect"} or name.startswith(CHECKING):
            return True
    return False


@pytest.mark.parametrize("path", TESTS, ids=named)
def test_every_test_can_fail(path):
    assert not [test.name for test in checks_in(path) if not can_fail(test)]


@pytest.mark.parametrize("path", TESTS, ids=named)
def test_an_expected_error_is_recognised_by_its_words(path):
    wordless = [
        node.lineno
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.Call)
        and getattr(node.func, "attr", "") == "raises"
        and not any(one.arg == "match" for one in node.keywords)
    ]

    assert not wordless


@pytest.mark.parametrize("path", TESTS, ids=named)
def test_a_published_value_names_a_source_that_we_know(path):
    marks = [
        node.args[0].value
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.Call)
        and getattr(node.func, "attr", "") == "published"
        and node.args
        and isinstance(node.args[0], ast.Constant)
    ]

    assert set(marks) <= set(sources())


def tracked() -> list[Path]:
    said = subprocess.run(
        ["git", "ls-files", "-z"],  # noqa: S607  # git is what keeps the list
        cwd=ROOT,
        capture_output=True,
        check=False,
    )
    names = said.stdout.decode().split("\0") if said.returncode == 0 else []
    return [ROOT / name for name in names if name and (ROOT / name).is_file()]


TEXTS = [
    one
    for one in tracked()
    if one.suffix in {"", ".py", ".md", ".toml", ".txt", ".html", ".css", ".js", ".svg", ".typ"}
    or one.suffix in {".csv", ".json", ".yml", ".cfg"}
]

#: Put together here, so that this file does not hold what it looks for.
MACHINE_PATH = re.compile(r"(?<![\w.])/(?:" + "|".join(("work", "root", "tmp", "home")) + r")/\w")
HOST = re.compile(
    r"\b[\w-]+\.(?:" + "|".join(("python" + "hosted", "pypi", "npmjs")) + r")\b|\bpypi\."
)
ADDRESS = re.compile(r"\b\w+:/" + r"/([\w.\[\]:-]+)")
#: Name spaces of open standards, this machine, and names that stand for no host.
NO_HOST = re.compile(
    r"^(hl7\.org|terminology\.hl7\.org|loinc\.org|unitsofmeasure\.org|snomed\.info|dicom\.nema\.org"
    r"|www\.nlm\.nih\.gov|www\.w3\.org|vega\.github\.io|www\.apache\.org|localhost|127\.0\.0\.1|\[::1\]|0\.0\.0\.0"
    r"|testserver|10\.\d+\.\d+\.\d+|192\.168\.\d+\.\d+|[\w.-]+\.(example|test|invalid|lan))(:\d+)?$"
)


def test_git_lists_the_files_that_these_rules_read():
    if not (ROOT / ".git").exists():
        pytest.skip("not a git checkout: there is no list of tracked files")

    assert ROOT / "README.md" in TEXTS


def test_no_text_names_a_path_of_a_machine():
    found = [named(one) for one in TEXTS if MACHINE_PATH.search(one.read_text("utf-8"))]

    assert not found


def test_no_text_names_a_host():
    # The tables of the fact base cite standards by the page on which they stand.
    ours = [one for one in TEXTS if not one.is_relative_to(SRC / "reference" / "data" / "facts")]
    found = {
        f"{named(one)}: {host}"
        for one in ours
        for host in ADDRESS.findall(one.read_text("utf-8"))
        if not NO_HOST.match(host.rstrip(".:"))
    }
    registries = {named(one) for one in TEXTS if HOST.search(one.read_text("utf-8"))}

    assert not found
    assert not registries


def test_locked_requirements_carry_hashes_and_no_address():
    for path in sorted((ROOT / "requirements").glob("*.txt")):
        text = path.read_text("utf-8")
        pinned = re.findall(r"^[\w\[\].-]+==", text, re.MULTILINE)

        assert pinned
        assert "--hash=sha256:" in text
        assert "://" not in text


def test_a_changelog_fragment_is_one_sentence_with_a_kind():
    for path in sorted((ROOT / "changelog.d").glob("*.md")):
        words = path.read_text("utf-8").strip()

        assert re.fullmatch(r"[a-z0-9-]+\.(added|changed|fixed)\.md", path.name), path.name
        assert words.endswith("."), path.name
        assert "\n" not in words, path.name


def test_anaesthesia_is_spelled_one_way():
    spelled = re.compile(r"\banesth", re.IGNORECASE)
    found = [named(one) for one in CODE if spelled.search(one.read_text("utf-8"))]

    assert not found


def test_the_rules_see_what_they_are_about():
    assert len(FUNCTIONS) > 10
    assert len(CODE) > 50
    assert all(one.name for one in FUNCTIONS if hasattr(one, "name"))
    assert not [pair for pair in pairwise(CODE) if pair[0] == pair[1]]
