"""A list as it is kept reads back as it was, through JSON and without what came later."""

import json

import pytest

from ullage.answers.checks import shipped_lists
from ullage.answers.checks.kept import list_as_dict, list_from_dict


@pytest.mark.parametrize("check", shipped_lists(), ids=lambda one: one.key)
def test_a_kept_list_is_the_list(check):
    assert list_from_dict(json.loads(json.dumps(list_as_dict(check)))) == check


def test_a_list_kept_before_a_field_came_reads_with_its_usual_value():
    kept = json.loads(json.dumps(list_as_dict(shipped_lists()[0])))
    del kept["then"]
    for step in kept["steps"]:
        del step["absent_is_fine"]
        for one in step["fields"]:
            del one["high"]

    found = list_from_dict(kept)
    assert found.then == ""
    assert not any(step.absent_is_fine for step in found.steps)
