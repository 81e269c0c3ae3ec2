"""A small site with a running case, served by a process that can be killed and started again."""

import json
import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any
from urllib.error import URLError
from urllib.request import urlopen

from playwright.sync_api import Browser, Page

from tests.web.prepared import clean_environment, prepared
from tools.shots import Account, free_port, sign_in, watched

__all__ = ["PASSWORD", "PadSite", "Tablet"]

PASSWORD = "a long enough word for all"

#: In the page: the lines that wait, and whether a page is kept.
STORED = """(store) => new Promise((resolve, reject) => {
  const opening = indexedDB.open("ullage-pad");
  opening.onerror = () => reject(opening.error);
  opening.onsuccess = () => {
    const asked = opening.result.transaction(store).objectStore(store).getAll();
    asked.onsuccess = () => { opening.result.close(); resolve(asked.result); };
  };
})"""
EMPTIED = "(name) => !document.querySelector(`#observation [name=${name}]`).value"
PAGES = """async () =>
  (await (await caches.open("ullage-pages-1")).keys()).map(({ url }) => new URL(url).pathname)"""
KEPT = """async (path) => Boolean(await (await caches.open("ullage-pages-1")).match(path))"""

_RECORDS = 16
_START_S = 120
_MAKE = """
import json
from ullage.cli.site import open_site, prepare_site
open_site()
prepare_site()
from ullage.web.accounts.models import User
from ullage.web.cases.models import CaseState
from ullage.web.cases.services import Opening, record_open, state_write
from ullage.web.machines.models import Machine
from ullage.web.sites.models import Membership, Role, Room, Site
site = Site.objects.create(name="Fennel Lane", elevation_m=60.0, quick_lock_min=60)
room = Room.objects.create(site=site, name="Theatre 1", volume_m3=60.0, air_changes_per_h=15.0)
machine = Machine.objects.create(site=site, room=room, name="Wren", system="T-piece")
people = {}
for name in ("Ada Operates", "Ben Operates", "Lena Leads"):
    role = Role.LEAD if name.endswith("Leads") else Role.OPERATOR
    username = name.partition(" ")[0].lower()
    people[username] = User.objects.create_user(username=username, password=%r, full_name=name)
    Membership.objects.create(user=people[username], site=site, role=role)
facts = {"weight": "4.1 kg", "sex": "female", "agent": "isoflurane", "system": "T-piece"}
codes = []
for number in range(%d):
    opening = Opening(machine=machine, name=f"Clover {number}", species="cat", facts=facts)
    record = record_open(site=site, opening=opening, by=people["ada"])
    state_write(record=record, to=CaseState.RUNNING, by=people["ada"])
    codes.append(str(record.code))
print(json.dumps(codes))
"""


class PadSite:
    """Its folder, its port, and what stands in its database."""

    def __init__(self, home: Path) -> None:
        self.home = home
        self.port = free_port()
        self.process: subprocess.Popen[bytes] | None = None
        self.env = clean_environment(prepared(home))
        said = self.run(_MAKE % (PASSWORD, _RECORDS))
        self._records: list[str] = json.loads(said.splitlines()[-1])

    def run(self, program: str) -> str:
        """Run a few lines beside the server; what they print."""
        ran = subprocess.run(
            [sys.executable, "-c", program],
            env=self.env,
            capture_output=True,
            text=True,
            check=False,
        )
        if ran.returncode:
            raise RuntimeError(ran.stderr)
        return ran.stdout

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        """Serve, and wait until it answers."""
        program = "from ullage.cli import main; main()"
        self.process = subprocess.Popen(
            [
                sys.executable,
                "-c",
                program,
                "serve",
                "--port",
                str(self.port),
                "--name",
                "testserver",
            ],
            env=self.env,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        last = time.monotonic() + _START_S
        why = ""
        while self.process.poll() is None and time.monotonic() < last:
            try:
                with urlopen(f"{self.url}/sw.js", timeout=5):  # noqa: S310  # our own server
                    return
            except (URLError, OSError) as broken:
                why = str(broken)
            time.sleep(0.1)
        self.kill()
        raise RuntimeError(f"The server does not answer: {why}")

    def kill(self) -> None:
        """Pull the plug: the server and what it started are gone at once."""
        if self.process is not None:
            with suppress(ProcessLookupError):
                os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait(timeout=20)
            self.process = None

    def record(self) -> str:
        """A running case that no other test has."""
        return self._records.pop()

    def lines(self, record: str) -> list[dict[str, Any]]:
        """The entries and amendments of a record, in their order, read from the file itself."""
        found = self.ask(
            "select text from cases_line join cases_record on cases_record.id = record_id"
            " where cases_record.code = ? and kind in ('entry', 'amendment')"
            ' order by "order"',
            record.replace("-", ""),
        )
        return [json.loads(text) for (text,) in found]

    def aside(self, record: str) -> list[tuple[str, str]]:
        """What was not taken of a record: why, and the words."""
        return self.ask(
            "select why, sent from cases_nottaken where sent like ? order by id", f"%{record}%"
        )

    def ask(self, query: str, *words: str) -> list[tuple[Any, ...]]:
        """Ask or tell the database, past the server."""
        database = sqlite3.connect(self.home / "ullage.sqlite3", timeout=10)
        try:
            found = database.execute(query, words).fetchall()
            database.commit()
        finally:
            database.close()
        return found


class Tablet:
    """A browser with a store of its own, and what a person does with it."""

    def __init__(self, browser: Browser, site: PadSite, url: str = "") -> None:
        self.site = site
        self.url = url or site.url
        self.record = ""
        self.context = browser.new_context(viewport={"width": 820, "height": 1100})
        self.page, self.said = watched(self.context)
        self.page.set_default_timeout(15_000)

    def __enter__(self) -> "Tablet":
        return self

    def __exit__(self, *_: object) -> None:
        self.context.close()

    def sign_in(self, username: str) -> None:
        sign_in(self.page, self.url, Account(username, PASSWORD))

    def sign_out(self) -> None:
        self.page.goto(f"{self.url}/accounts/logout/")
        self.page.click("main button")
        self.page.wait_for_url("**/accounts/login/**")

    def open(self, record: str, page: Page | None = None) -> None:
        """The running page of a case, kept by the service worker."""
        self.record = record
        page = page or self.page
        page.goto(f"{self.url}/cases/{record}/")
        page.wait_for_selector("[data-pad-keys]:not([hidden])")
        self.until(lambda: page.evaluate(KEPT, f"/cases/{record}/pad/"))

    def observe(self, page: Page | None = None, **typed: str) -> None:
        """Type an observation and save it."""
        page = page or self.page
        for name, value in typed.items():
            page.fill(f"#observation input[name={name}]", value)
        self.save(page, next(iter(typed)))

    def save(self, page: Page | None = None, name: str = "heart_rate") -> None:
        """Save what is typed; a field is emptied only once it is kept."""
        page = page or self.page
        page.click("text=Save observation")
        page.wait_for_function(EMPTIED, arg=name)

    def await_said(self, text: str) -> None:
        self.page.wait_for_selector(f"[data-pad-said] >> text={text}")

    def await_shared(self, page: Page | None = None) -> None:
        """Until nothing waits on this device."""
        self.until(lambda: not self.waits(page))

    def until(self, is_so: Callable[[], object], seconds: float = 60.0) -> None:
        """Look again until it is so."""
        last = time.monotonic() + seconds
        while not is_so():
            if time.monotonic() > last:
                raise TimeoutError
            self.page.wait_for_timeout(50)

    def waits(self, page: Page | None = None) -> list[dict[str, Any]]:
        """The lines that wait on this device."""
        return (page or self.page).evaluate(STORED, "queue")

    def forget_files(self) -> None:
        """Empty what the browser keeps of its own, so that only the service worker has files."""
        session = self.context.new_cdp_session(self.page)
        session.send("Network.clearBrowserCache")
        session.detach()

    def pages_kept(self) -> list[str]:
        """The pages that the service worker has kept."""
        return self.page.evaluate(PAGES)

    def acked(self) -> list[dict[str, Any]]:
        """The lines that were acknowledged, in the order of the device."""
        return sorted(self.page.evaluate(STORED, "acked"), key=lambda one: one["n"])
