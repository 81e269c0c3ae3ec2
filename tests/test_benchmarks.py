import sys
from math import nan
from types import ModuleType

import pytest

from benchmarks import frame
from benchmarks.__main__ import main
from benchmarks.frame import Figure, best_seconds, figures_of, line


def figure(**changes):
    given = {"name": "a figure", "value": 1.0, "limit": 2.0, "comparison": "<=", "n": 10, "seed": 7}
    return Figure(**{**given, **changes})


@pytest.mark.parametrize(
    ("value", "comparison", "limit", "met"),
    [
        (2.0, "<=", 2.0, True),
        (2.1, "<=", 2.0, False),
        (2.0, ">=", 2.0, True),
        (1.9, ">=", 2.0, False),
        (90.0, "within", (87.0, 93.0), True),
        (86.9, "within", (87.0, 93.0), False),
        (93.1, "within", (87.0, 93.0), False),
        (nan, "<=", 2.0, False),
        (nan, ">=", 2.0, False),
        (nan, "within", (0.0, 1.0), False),
    ],
)
def test_a_figure_knows_whether_it_keeps_its_limit(value, comparison, limit, met):
    assert figure(value=value, comparison=comparison, limit=limit).met is met


def test_a_line_names_value_limit_count_seed_and_outcome():
    said = line(figure(value=0.12345, unit="s"))

    assert said == "a figure: 0.1235 s | limit <= 2 s | n 10 | seed 7 | met"


def test_a_line_of_a_range_prints_both_ends():
    said = line(figure(value=95.0, comparison="within", limit=(87.0, 93.0), seed=None, unit="%"))

    assert said == "a figure: 95 % | limit 87 to 93 % | n 10 | seed none | missed"


def test_a_module_that_is_not_there_is_printed_as_missed(capsys):
    assert main(["no_such_module"]) == 0
    said = capsys.readouterr().out

    assert said.startswith("no_such_module: not measured")
    assert "missed | ModuleNotFoundError" in said


def test_a_module_that_fails_half_way_keeps_what_it_measured(monkeypatch):
    def measured():
        yield figure()
        1 / 0  # noqa: B018  # the fault is what is tested

    broken = ModuleType("benchmarks.broken")
    broken.figures = measured
    monkeypatch.setitem(sys.modules, "benchmarks.broken", broken)
    first, second = figures_of("broken")

    assert first == figure()
    assert (second.met, second.note) == (False, "ZeroDivisionError: division by zero")


def test_every_module_of_the_order_is_run_and_the_frame_is_not():
    found = frame.modules()

    assert found[: len(frame.ORDER)] == frame.ORDER
    assert not {"frame", "__init__", "__main__"} & set(found)


def test_the_best_of_several_runs_is_timed():
    runs = []

    assert best_seconds(lambda: runs.append(1), repeats=3) >= 0.0
    assert len(runs) == 3
