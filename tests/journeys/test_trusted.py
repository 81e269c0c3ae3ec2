"""What a real Chromium makes of our certificates, trusted by it or not."""

import os
import shutil
import ssl
import subprocess
import threading
from contextlib import contextmanager
from datetime import UTC, datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest
from playwright.sync_api import Error, sync_playwright

from ullage.cli.authority import Kept, authority_new, leaf_new, read_names

pytestmark = [pytest.mark.web, pytest.mark.journey]

REGISTER = """async () => {
  try {
    await navigator.serviceWorker.register("/sw.js");
    await navigator.serviceWorker.ready;
    return "registered";
  } catch (why) { return why.name; }
}"""


class Page(BaseHTTPRequestHandler):
    """One page and one service worker."""

    def do_GET(self) -> None:
        kind = "text/javascript" if self.path == "/sw.js" else "text/html"
        self.send_response(200)
        self.send_header("Content-Type", kind)
        self.end_headers()
        self.wfile.write(b"" if kind == "text/javascript" else b"<!doctype html><title>Pad</title>")

    def log_message(self, *_: object) -> None:
        pass


@pytest.fixture(scope="module")
def kept(tmp_path_factory) -> Kept:
    made = Kept(tmp_path_factory.mktemp("certificates"))
    authority_new(made, read_names(["ullage.lan"]), datetime.now(tz=UTC))
    leaf_new(made, None, datetime.now(tz=UTC))
    return made


@contextmanager
def serving(kept: Kept):
    """A server with the certificate of the site; its port."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), Page)
    offered = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    offered.load_cert_chain(kept.site, kept.site_key)
    server.socket = offered.wrap_socket(server.socket, server_side=True)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield server.server_address[1]
    finally:
        server.shutdown()
        server.server_close()
        thread.join(5)


@contextmanager
def tablet(home, *, trusts: Kept | None = None, ignores: bool = False):
    """A Chromium in its own home, with or without the authority in its store."""
    store = home / ".pki" / "nssdb"
    store.mkdir(parents=True)
    certutil = ["certutil", "-d", f"sql:{store}"]
    subprocess.run([*certutil, "-N", "--empty-password"], check=True)
    if trusts is not None:
        added = ["-A", "-t", "C,,", "-n", "ullage", "-i", str(trusts.authority)]
        subprocess.run([*certutil, *added], check=True)
    with sync_playwright() as running:
        browser = running.chromium.launch(
            executable_path=shutil.which("chromium"),
            env={**os.environ, "HOME": str(home)},
            args=[
                *("--headless", "--no-sandbox", "--disable-gpu"),
                "--host-resolver-rules=MAP *.lan 127.0.0.1",
            ],
        )
        try:
            yield browser.new_page(ignore_https_errors=ignores)
        finally:
            browser.close()


def test_a_tablet_that_trusts_the_authority_keeps_pages_for_later(kept, tmp_path):
    with serving(kept) as port, tablet(tmp_path, trusts=kept) as page:
        page.goto(f"https://ullage.lan:{port}/")

        assert page.evaluate("isSecureContext")
        assert page.evaluate(REGISTER) == "registered"


def test_a_tablet_without_it_shows_no_page(kept, tmp_path):
    with (
        serving(kept) as port,
        tablet(tmp_path) as page,
        pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"),
    ):
        page.goto(f"https://ullage.lan:{port}/")


def test_who_taps_past_the_warning_gets_a_page_that_keeps_nothing(kept, tmp_path):
    with serving(kept) as port, tablet(tmp_path, ignores=True) as page:
        page.goto(f"https://ullage.lan:{port}/")

        assert page.evaluate(REGISTER) == "SecurityError"


def test_what_the_authority_signs_for_another_name_is_not_believed(tmp_path, monkeypatch):
    now = datetime.now(tz=UTC)
    made = Kept(tmp_path / "certificates")
    authority_new(made, read_names(["ullage.lan"]), now)
    monkeypatch.setattr("ullage.cli.authority._may", lambda _: read_names(["bank.lan"]))
    leaf_new(made, None, now)

    with (
        serving(made) as port,
        tablet(tmp_path / "home", trusts=made) as page,
        pytest.raises(Error, match="ERR_CERT_INVALID"),
    ):
        page.goto(f"https://bank.lan:{port}/")
