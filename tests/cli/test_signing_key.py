"""`ullage signing-key`: a real process in its own folder."""

import os
import subprocess
import sys

import pytest

from tests.web.prepared import prepared

pytestmark = pytest.mark.web

ASK = [sys.executable, "-c", "from ullage.cli import main; main()", "signing-key"]


def ask(home, *words: str) -> subprocess.CompletedProcess[str]:
    clean = {key: value for key, value in os.environ.items() if not key.startswith("ULLAGE_")}
    clean.pop("DJANGO_SETTINGS_MODULE", None)
    clean["ULLAGE_HOME"] = str(home)
    return subprocess.run([*ASK, *words], env=clean, capture_output=True, text=True, check=False)


def test_a_key_is_shown_lost_and_made_anew(tmp_path):
    first = ask(prepared(tmp_path))
    assert first.returncode == 0, first.stderr
    assert (tmp_path / "signing.pub").read_text() in first.stdout
    assert "PRIVATE" not in first.stdout

    (tmp_path / "signing.pem").chmod(0o644)
    assert "others can read the private key" in ask(tmp_path).stdout

    (tmp_path / "signing.pem").unlink()
    lost = ask(tmp_path)
    assert (lost.returncode, lost.stdout) == (1, "")
    assert lost.stderr.count("\n") == 1
    assert "ullage signing-key --new" in lost.stderr

    again = ask(tmp_path, "--new")
    assert again.returncode == 0
    assert again.stdout.splitlines()[0] != first.stdout.splitlines()[0]
    assert ask(tmp_path, "--new").returncode == 1
