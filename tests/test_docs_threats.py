"""The threat model names tests that exist, and says of each threat what stays."""

import ast
import re
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
THREATS = ROOT / "docs" / "explanation" / "threat-model.md"
ASVS = ROOT / "docs" / "explanation" / "asvs.md"
NAME = re.compile(r"`(test_\w+)`")


@cache
def known_tests() -> frozenset[str]:
    """The name of every test of the project."""
    trees = [ast.parse(one.read_text("utf-8")) for one in (ROOT / "tests").rglob("test_*.py")]
    nodes = (node for tree in trees for node in ast.walk(tree))
    return frozenset(one.name for one in nodes if isinstance(one, ast.FunctionDef))


def rows(page: Path) -> list[list[str]]:
    """The cells of every row of every table, without heads."""
    lines = [one for one in page.read_text("utf-8").splitlines() if one.startswith("| ")]
    cells = [[cell.strip() for cell in one.strip("|").split(" | ")] for one in lines]
    return [one for one in cells if one[0] not in {"Threat", "Area"}]


@pytest.mark.parametrize("row", rows(THREATS), ids=lambda row: row[0])
def test_each_threat_has_what_is_done_a_test_that_exists_and_what_stays(row):
    assert len(row) == 4
    assert all(row)
    named = NAME.findall(row[2])
    assert named
    assert set(NAME.findall(" ".join(row))) <= known_tests()


def test_a_test_that_does_not_exist_would_be_found():
    assert "test_that_nobody_wrote" not in known_tests()
    assert "test_a_test_that_does_not_exist_would_be_found" in known_tests()


@pytest.mark.parametrize("row", rows(ASVS), ids=lambda row: row[0])
def test_each_area_says_what_is_done_and_its_state(row):
    assert len(row) == 3
    assert row[2] in {"met", "partly", "not", "none here"}


def test_the_page_of_the_standard_claims_no_reading():
    text = ASVS.read_text("utf-8")

    assert "from memory: the standard itself was not read" in text.replace("\n", " ")
    assert all("from memory" in line for line in text.splitlines() if line.startswith("## "))


@pytest.mark.parametrize("name", ["durability.md", "offline.md"])
def test_what_was_tried_names_tests_that_exist(name):
    page = (THREATS.parent / name).read_text("utf-8")

    assert len(NAME.findall(page)) >= 8
    assert set(NAME.findall(page)) <= known_tests()
    assert all((ROOT / one).is_file() for one in re.findall(r"`(tests/[^`]+)`", page))
