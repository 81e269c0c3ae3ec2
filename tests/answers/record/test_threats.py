"""The tables of the page about records name tests that are there and can fail."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]
PAGE = (ROOT / "docs" / "explanation" / "record.md").read_text("utf-8")
ROWS = re.findall(r"^\| ([^|]+) \| ([^|]+) \| `(tests/[^`]+)` \|$", PAGE, re.MULTILINE)


def test_the_list_is_read_from_the_page():
    assert len(ROWS) == 19
    assert {"wrong unit", "clock wrong", "a whole case gone"} <= {one[0] for one in ROWS}


@pytest.mark.parametrize(("threat", "counter", "named"), ROWS, ids=lambda one: one[:30])
def test_each_threat_has_a_counter_and_a_test_that_is_there(threat, counter, named):
    path = ROOT / named

    assert path.is_file(), threat
    assert counter
    assert "assert " in path.read_text("utf-8")


def test_the_page_says_what_stays_unseen():
    unseen = PAGE.partition("## What stays unseen")[2].partition("## ")[0]

    assert "Whoever holds the database, the key and every print" in unseen
    assert "never made" in unseen
    assert "invented" in unseen
