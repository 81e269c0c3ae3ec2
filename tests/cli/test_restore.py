"""A backup that is not there is told before anything is asked or opened."""

from click.testing import CliRunner

from ullage.cli.house import root


def test_a_backup_that_is_not_there_is_told_before_anything_is_asked(tmp_path):
    home = tmp_path / "home"
    result = CliRunner().invoke(root, ["restore", str(tmp_path / "no.zip"), "--home", str(home)])

    assert result.exit_code == 1
    assert "no such file. Name a backup that is there." in result.output
    assert "Go on?" not in result.output
    assert not home.exists()
