"""`ullage demo`: the practice site answers, its accounts sign in, and nothing of it stays."""

import os
import re
import signal
import socket
import subprocess
import sys
import urllib.parse
import urllib.request
from contextlib import closing
from http.cookiejar import CookieJar
from pathlib import Path

import pytest
from click.testing import CliRunner

from ullage.answers import CAUTION_LINE
from ullage.cli.house import root

pytestmark = pytest.mark.web

DEMO = [sys.executable, "-c", "from ullage.cli import main; main()", "demo"]


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    """A demo that runs: its process, address, lines, and the folder that its own is made in."""
    place, port = tmp_path_factory.mktemp("demo"), free_port()
    clean = {key: value for key, value in os.environ.items() if not key.startswith("ULLAGE_")}
    clean |= {"TMPDIR": str(place), "PYTHONUNBUFFERED": "1"}
    # A database of this installation, which a demo must leave alone.
    clean["ULLAGE_DATABASE"] = "host=127.0.0.1 port=1 dbname=nothing"
    clean.pop("DJANGO_SETTINGS_MODULE", None)
    process = subprocess.Popen(
        [*DEMO, "--port", str(port), "--seed", "4"],
        env=clean,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    lines = []
    for line in process.stdout:
        lines.append(line.rstrip())
        if CAUTION_LINE in line:
            break
    yield process, f"http://127.0.0.1:{port}/", lines, place
    process.terminate()
    process.wait(timeout=20)
    process.stdout.close()


def signed_in(url, name, password):
    """A browser in which somebody is signed in, and the page they land on."""
    browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))
    with browser.open(f"{url}accounts/login/") as answered:
        token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', answered.read().decode())
    form = {"login": name, "password": password, "csrfmiddlewaretoken": token[1]}
    asked = urllib.request.Request(  # noqa: S310  # an address on this machine
        f"{url}accounts/login/",
        data=urllib.parse.urlencode(form).encode(),
        headers={"Referer": url},
    )
    with browser.open(asked) as answered:
        return browser, answered.read().decode()


def password_of(lines):
    return re.search(r"Password of every account: (\S+)", "\n".join(lines))[1]


def test_it_says_where_it_is_open_who_may_sign_in_and_that_it_is_invented(demo):
    _, url, lines, _ = demo
    said = "\n".join(lines)

    assert url in said
    for role in ("lead", "operator", "veterinarian", "viewer"):
        assert re.search(rf"^  {role} +\w+ \w+$", said, re.MULTILINE)
    assert "All of it is invented (seed 4)." in said
    assert "Nothing is kept." in said
    assert lines[-1] == CAUTION_LINE
    assert max(len(line) for line in lines[:-1]) <= 80


@pytest.mark.parametrize("role", ["lead", "operator", "veterinarian", "viewer"])
def test_every_account_signs_in_and_sees_the_board(demo, role):
    _, url, lines, _ = demo
    _, page = signed_in(url, role, password_of(lines))

    assert "Fennel Lane Research Surgery" in page
    assert "Fit a full one before Mice C-32." in page
    assert "Invented demo data." in page


def test_the_leaking_cylinder_is_named_on_the_board(demo):
    _, url, lines, _ = demo
    _, page = signed_in(url, "operator", password_of(lines))

    assert re.search(r"Birch seems to leak: \d+ mL/min", page)


def test_the_day_plan_prints(demo):
    _, url, lines, _ = demo
    browser, page = signed_in(url, "viewer", password_of(lines))
    plan = re.search(r'href="/(day/[\d-]+/plan.pdf)"', page)[1]
    with browser.open(url + plan) as answered:
        assert answered.read(5) == b"%PDF-"


def test_a_wrong_password_opens_nothing(demo):
    _, url, _, _ = demo
    _, page = signed_in(url, "lead", "not-the-password")

    assert "Fennel Lane" not in page
    assert 'name="password"' in page


def test_a_port_that_is_taken_is_refused_in_one_line():
    with closing(socket.socket()) as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen(1)
        said = CliRunner().invoke(root, ["demo", "--port", str(taken.getsockname()[1])])

    assert said.exit_code == 1
    assert re.fullmatch(r"Error: 127\.0\.0\.1 port \d+ cannot be taken: .*--port\.\n", said.output)


def test_when_it_stops_its_folder_is_gone(demo):
    process, _, _, place = demo
    assert any(Path(place).glob("ullage-demo-*"))
    process.send_signal(signal.SIGTERM)

    assert process.wait(timeout=20) == 0
    assert not any(Path(place).glob("ullage-demo-*"))
