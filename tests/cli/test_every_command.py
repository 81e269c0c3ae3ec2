"""What every command owes its user: help with an example, and errors in one line."""

import pytest
from click.testing import CliRunner

from ullage.cli.house import COMMANDS, root


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_with_an_example(name):
    result = CliRunner().invoke(root, [name, "--help"], terminal_width=80)

    assert result.exit_code == 0
    assert "Example: ullage" in result.output
    assert max(len(line) for line in result.output.splitlines()) <= 80


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_is_known_by_its_own_name(name):
    command = root.get_command(None, name)

    assert command.name == name


def test_the_whole_has_an_example_too():
    result = CliRunner().invoke(root, ["--help"])

    assert "Example: ullage" in result.output
    for name in COMMANDS:
        assert f"  {name} " in result.output


def test_a_command_that_is_not_there_is_refused():
    result = CliRunner().invoke(root, ["mend"])

    assert result.exit_code == 2
    assert "No such command 'mend'" in result.output
