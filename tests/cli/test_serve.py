"""`ullage serve`: a real server on a free port, asked, and stopped; and what it refuses."""

import os
import re
import signal
import socket
import sqlite3
import ssl
import subprocess
import sys
import time
import urllib.request
from contextlib import closing, contextmanager
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address
from pathlib import Path

import pytest
from click.testing import CliRunner
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

from tests.web.prepared import prepared
from ullage.answers import CAUTION_LINE
from ullage.cli.house import root
from ullage.cli.site import Listening, claim
from ullage.core.errors import RuleBroken

pytestmark = pytest.mark.web

SERVE = [sys.executable, "-c", "from ullage.cli import main; main()", "serve"]


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


@contextmanager
def serving(home: Path, port: int, *more: str):
    """A server in its own folder; its lines up to the caution."""
    clean = {key: value for key, value in os.environ.items() if not key.startswith("ULLAGE_")}
    clean |= {"ULLAGE_HOME": str(home), "PYTHONUNBUFFERED": "1"}
    clean.pop("DJANGO_SETTINGS_MODULE", None)
    process = subprocess.Popen(
        [*SERVE, "--port", str(port), *more],
        env=clean,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    try:
        lines = []
        for line in process.stdout:
            lines.append(line.rstrip())
            if CAUTION_LINE in line:
                break
        yield process, lines
    finally:
        process.terminate()
        process.wait(timeout=15)
        process.stdout.close()


def children_of(pid: int) -> list[int]:
    listed = Path(f"/proc/{pid}/task/{pid}/children")
    found = [int(one) for one in listed.read_text().split()] if listed.exists() else []
    threads = Path(f"/proc/{pid}/task").glob("*/children")
    return sorted({*found, *(int(one) for path in threads for one in path.read_text().split())})


def gone(pid: int, within_s: float = 8.0) -> bool:
    until = time.monotonic() + within_s
    while time.monotonic() < until:
        if not Path(f"/proc/{pid}").exists():
            return True
        time.sleep(0.05)
    return False


def test_a_server_prints_its_code_shows_the_first_run_and_stops_cleanly(tmp_path):
    port = free_port()
    with serving(tmp_path, port) as (process, lines):
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/first-run/") as answered:
            page, policy = answered.read().decode(), answered.headers["Content-Security-Policy"]
        stylesheet = re.search(r'href="(/static/shared/ullage\.[^"]+\.css)"', page)[1]
        with urllib.request.urlopen(f"http://127.0.0.1:{port}{stylesheet}") as answered:
            assert answered.status == 200
        helpers = children_of(process.pid)
        process.send_signal(signal.SIGTERM)

        assert process.wait(timeout=8) == 0
        assert len(helpers) == 1
        assert gone(helpers[0])

    assert "Code from the terminal" in page
    assert "script-src 'self'" in policy
    assert "unsafe" not in policy
    assert re.fullmatch(r"  [A-Z2-9]{4}-[A-Z2-9]{4}", next(x for x in lines if x.startswith("  ")))
    assert lines[-1] == CAUTION_LINE


def test_the_worker_ends_even_when_the_server_is_killed(tmp_path):
    with serving(prepared(tmp_path), free_port()) as (process, _):
        helpers = children_of(process.pid)
        process.kill()
        process.wait(timeout=5)

        assert helpers
        assert all(gone(one) for one in helpers)


def test_the_database_of_a_server_writes_ahead_and_syncs_fully(tmp_path):
    script = (
        "from ullage.cli.site import open_site, prepare_site; open_site(); prepare_site();"
        "from django.db import connection as c; cursor = c.cursor();"
        "print(*[cursor.execute(f'PRAGMA {p}').fetchone()[0] for p in "
        "('journal_mode', 'synchronous', 'foreign_keys')])"
    )
    env = os.environ | {"ULLAGE_HOME": str(tmp_path), "DJANGO_SETTINGS_MODULE": ""}
    env.pop("DJANGO_SETTINGS_MODULE")
    env.pop("ULLAGE_DATABASE", None)
    env.pop("ULLAGE_SECRET", None)
    said = subprocess.run(
        [sys.executable, "-c", script], env=env, capture_output=True, text=True, check=False
    )

    # Print of the SQLite documentation: synchronous 2 is FULL.
    assert said.stdout.split() == ["wal", "2", "1"], said.stderr
    with closing(sqlite3.connect(tmp_path / "ullage.sqlite3")) as opened:
        assert opened.execute("PRAGMA journal_mode").fetchone()[0] == "wal"
    assert (tmp_path / "secret").stat().st_mode & 0o077 == 0


def test_the_security_check_of_a_tls_site_has_nothing_to_say(tmp_path):
    env = os.environ | {
        "ULLAGE_HOME": str(tmp_path),
        "ULLAGE_TLS": "1",
        "DJANGO_SETTINGS_MODULE": "ullage.web.settings",
    }
    env.pop("ULLAGE_SECRET", None)
    said = subprocess.run(
        [sys.executable, "-m", "django", "check", "--deploy"],
        env=env,
        capture_output=True,
        text=True,
        check=False,
    )

    assert "no issues (2 silenced)" in said.stdout, said.stderr


def certificate(folder: Path) -> tuple[Path, Path]:
    """A certificate for 127.0.0.1 that signs itself, and its key."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "ullage test")])
    now = datetime.now(tz=UTC)
    here = x509.SubjectAlternativeName([x509.IPAddress(ip_address("127.0.0.1"))])
    made = (
        x509.CertificateBuilder(name, name, key.public_key(), x509.random_serial_number())
        .not_valid_before(now)
        .not_valid_after(now + timedelta(days=1))
        .add_extension(here, critical=False)
        .sign(key, hashes.SHA256())
    )
    pem, private = folder / "site.pem", folder / "site.key"
    pem.write_bytes(made.public_bytes(serialization.Encoding.PEM))
    private.write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
    )
    return pem, private


def test_with_a_certificate_pages_and_cookies_are_for_tls_alone(tmp_path):
    pem, key = certificate(tmp_path)
    trusted = ssl.create_default_context(cafile=str(pem))
    port = free_port()
    options = ("--address", "0.0.0.0", "--tls-cert", str(pem), "--tls-key", str(key))  # noqa: S104  # refused, or with TLS
    with serving(prepared(tmp_path / "home"), port, *options) as (_, lines):
        address = f"https://127.0.0.1:{port}/first-run/"
        with urllib.request.urlopen(address, context=trusted) as answered:
            headers = answered.headers

    assert lines[0].startswith("Ullage is open at https://")
    assert "max-age=" in headers["Strict-Transport-Security"]
    assert "Secure" in headers["Set-Cookie"]


def test_a_busy_port_is_one_line():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        result = CliRunner().invoke(root, ["serve", "--port", str(port)])

    assert result.exit_code == 1
    assert result.output.count("\n") == 1
    assert f"127.0.0.1 port {port} cannot be taken" in result.output
    assert "give --port" in result.output


def test_another_address_asks_for_tls_or_a_named_option():
    result = CliRunner().invoke(root, ["serve", "--address", "0.0.0.0"])  # noqa: S104  # refused

    assert result.exit_code == 1
    assert "--tls-cert and --tls-key" in result.output
    assert "--plain-http-on-this-network" in result.output


def test_a_certificate_without_its_key_is_refused(tmp_path):
    (tmp_path / "site.pem").write_text("")

    with pytest.raises(RuleBroken, match="belong together"):
        Listening(tls_cert=tmp_path / "site.pem")


@pytest.mark.parametrize("address", ["127.0.0.1", "localhost", "::1"])
def test_this_computer_alone_needs_no_tls(address):
    assert Listening(address=address).is_loopback


@pytest.mark.parametrize("address", ["192.168.1.20", "0.0.0.0", "surgery.example"])  # noqa: S104  # refused
def test_what_others_can_reach_is_no_loopback(address):
    assert not Listening(address=address, plain_http_on_this_network=True).is_loopback


def test_the_address_shown_names_host_and_port():
    assert Listening(port=8001).url == "http://127.0.0.1:8001/"
    assert Listening(address="::1").url == "http://[::1]:8000/"


def test_a_site_for_others_answers_to_the_names_they_type(tmp_path):
    listening = Listening(
        address="192.168.1.20", plain_http_on_this_network=True, names=("surgery.lan",)
    )

    assert {"surgery.lan", "192.168.1.20", "localhost"} <= set(listening.hosts)
    assert listening.url == "http://surgery.lan:8000/"


def test_an_address_of_another_computer_cannot_be_claimed():
    elsewhere = Listening(address="203.0.113.7", plain_http_on_this_network=True)

    with pytest.raises(RuleBroken, match=r"203\.0\.113\.7 port 8000 cannot be taken"):
        claim(elsewhere)


def test_help_shows_an_example():
    assert "Example: ullage serve" in CliRunner().invoke(root, ["serve", "--help"]).output
