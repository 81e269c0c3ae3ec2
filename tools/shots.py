"""Pictures of the pages at three widths, light and dark; and what is wrong with them.

    python -m tools.shots FOLDER                     the demo site
    python -m tools.shots FOLDER --command serve     an empty site, from its first run
    python -m tools.shots FOLDER --only today,chain --widths 320

Exit status 1 when a page breaks its content security policy, logs an error, scrolls sideways, or
breaks an accessibility rule that axe-core calls serious or critical.
"""

import argparse
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]  # no types
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

__all__ = [
    "PAGES",
    "Shot",
    "Wanted",
    "faults",
    "free_port",
    "launch",
    "main",
    "serving",
    "sign_in",
    "watched",
]

WIDTHS = (1280, 820, 390)
HEIGHT = 900
GRAVE = {"serious", "critical"}
CAUTION = "Decision support for trained people"
WATCH = """
window.__broken = [];
document.addEventListener("securitypolicyviolation", (event) =>
  window.__broken.push(`${event.violatedDirective}: ${event.blockedURI || event.sample}`));
"""


@dataclass(frozen=True, slots=True)
class Wanted:
    """One page: where it starts, and the links to follow from there."""

    name: str
    path: str
    follow: tuple[str, ...] = ()
    needs_sign_in: bool = True
    #: The screen is locked for the picture, and opened again after it.
    is_locked: bool = False
    #: A part that comes after the page; the picture waits for it.
    until: str = ""


#: The link to a case of the demo that has a plan of its anaesthesia.
_PLANNED = "article:has(h3:has-text('Clover')) .btns a[href$='/plan/']"

#: The link to the waste gas of a room.
_ROOM = "a[href*='/exposure/room/']"

#: The first planned case of today that may begin, and the record of a case in the list of all.
_BEGIN = "a[href*='/cases/start/']:has-text('Begin')"
_RECORD = "tr:has-text('{}') a[href$='/about/']"

#: A case on the board of those that run.
_RUNNING = "h2 a[href*='/cases/']:has-text('{}')"

#: Every page that has a picture. A page that is not there (404) or whose link is missing is named.
PAGES = (
    Wanted("sign-in", "/accounts/login/", needs_sign_in=False),
    Wanted("today", "/"),
    Wanted("plan", "/day/"),
    Wanted("case-add", "/day/", ("a[href$='/add/']",)),
    Wanted("case", "/day/", ("a[href*='/case/']",)),
    Wanted("plan-new", "/day/", ("a[href$='/case/']",)),
    Wanted("plan-case", "/day/", (_PLANNED,)),
    Wanted("compare", "/day/", (_PLANNED, "a[href*='/case/compare/']")),
    Wanted("cases", "/cases/"),
    Wanted("case-running", "/cases/", (_RUNNING.format("Bracken"),), until="#levels figure"),
    Wanted("case-bench", "/cases/", (_RUNNING.format("Mice"),), until="#levels figure"),
    Wanted("records", "/cases/all/"),
    Wanted("case-start", "/cases/start/"),
    Wanted("devices", "/cases/tablets/"),
    Wanted("case-start-planned", "/day/", (_BEGIN,)),
    Wanted("record-about", "/cases/all/", (_RECORD.format("Bracken"),)),
    Wanted("record", "/cases/all/", (_RECORD.format("Tansy"),)),
    Wanted("record-running", "/cases/all/", (_RECORD.format("Bracken"), "a[href^='/records/']")),
    Wanted("record-verify", "/cases/all/", (_RECORD.format("Tansy"), "a[href$='/verify/']")),
    Wanted("record-methods", "/cases/all/", (_RECORD.format("Tansy"), "a[href$='/methods/']")),
    Wanted("record-drugs", "/cases/all/", (_RECORD.format("Tansy"), "a[href$='/drugs/']")),
    Wanted("register", "/records/register/"),
    Wanted("record-check", "/records/check/"),
    Wanted("record-group", "/cases/all/", (_RECORD.format("Mice C-31"),)),
    Wanted("case-ready", "/cases/all/", (_RECORD.format("Clover"),)),
    Wanted("record-facts", "/cases/all/", (_RECORD.format("Bracken"), "a[href$='/facts/']")),
    Wanted("record-entries", "/cases/all/", (_RECORD.format("Bracken"), "a[href$='/entries/']")),
    Wanted(
        "record-amend",
        "/cases/all/",
        (_RECORD.format("Bracken"), "a[href$='/entries/']", ".is-amend a[href*='/entries/']"),
    ),
    Wanted("recovery-start", "/cases/all/", (_RECORD.format("Bracken"), "a[href$='/recovery/']")),
    Wanted("recovery", "/cases/all/", (_RECORD.format("Harebell"), "a[href$='/recovery/']")),
    Wanted("recovery-group", "/cases/all/", (_RECORD.format("Mice C-31"), "a[href$='/recovery/']")),
    Wanted("case-close", "/cases/all/", (_RECORD.format("Harebell"), ".menu a[href$='/close/']")),
    Wanted("record-reopen", "/cases/all/", (_RECORD.format("Tansy"), "a[href$='/open/']")),
    Wanted("record-sign", "/cases/all/", (_RECORD.format("Tansy"), "a[href$='/sign/']")),
    Wanted("not-taken", "/cases/not-taken/"),
    Wanted("machines", "/machines/"),
    Wanted("machine", "/machines/", (".card__h h2 a",)),
    Wanted("machine-edit", "/machines/", (".card__h h2 a", "a[href$='/edit/']")),
    Wanted("machine-out", "/machines/", (".card__h h2 a", "a.btn--halt")),
    Wanted("machine-labels", "/machines/labels/"),
    Wanted("parts", "/parts/"),
    Wanted("part", "/machines/", (".card__h h2 a", "#parts a[href^='/p/']")),
    Wanted("part-kinds", "/parts/add/"),
    Wanted("part-add", "/parts/add/vaporizer/"),
    Wanted("part-move", "/machines/", (".card__h h2 a", "#parts a[href^='/p/']", ".next a")),
    Wanted("chain", "/machines/", (".card__h h2 a", ".next a.btn--go")),
    Wanted("checks", "/checks/"),
    Wanted("check-machine", "/checks/", ("a[href*='/checks/machine/']",)),
    Wanted("check", "/checks/", ("a.btn--go[href^='/checks/']",)),
    Wanted("check-failed", "/checks/", ("#Plover a", "a[href^='/checks/']:has(+ .v--stop)")),
    Wanted("check-lists", "/checks/lists/"),
    Wanted("check-list", "/checks/lists/start_of_day/"),
    Wanted("check-list-edit", "/checks/lists/start_of_day/edit/"),
    Wanted("check-limits", "/checks/limits/"),
    Wanted("supplies", "/supplies/"),
    Wanted("cylinder", "/supplies/", ("a[href^='/c/']",)),
    Wanted("cylinder-history", "/supplies/", ("a[href^='/c/']", "a[href$='/history/']")),
    Wanted("source", "/supplies/", ("a[href^='/sources/']:not([href$='/add/'])",)),
    Wanted("source-add", "/sources/add/"),
    Wanted("receive", "/supplies/receive/"),
    Wanted("scan", "/supplies/scan/"),
    Wanted("labels", "/supplies/labels/"),
    Wanted("service", "/service/"),
    Wanted("service-machine", "/service/?thing=machine", ("a[href^='/service/machine/']",)),
    Wanted("service-overdue", "/service/?when=overdue", ("a[href^='/service/part/']",)),
    Wanted(
        "service-drift", "/service/?machine=Wren&thing=vaporizer", ("a[href^='/service/part/']",)
    ),
    Wanted(
        "service-test",
        "/service/?thing=vaporizer",
        ("a[href^='/service/part/']", "a[href$='/test/']"),
    ),
    Wanted(
        "service-event",
        "/service/?machine=Wren&thing=vaporizer",
        ("a[href^='/service/part/']", "a[href^='/service/event/']"),
    ),
    Wanted(
        "service-add", "/service/?thing=hose", ("a[href^='/service/part/']", "a[href$='/add/']")
    ),
    Wanted("service-rules", "/service/rules/"),
    Wanted("service-limit", "/service/rules/limit/"),
    Wanted("service-calendar", "/service/calendar/"),
    Wanted("stock", "/stock/"),
    Wanted("stock-item", "/stock/", (".shelf-list__n",)),
    Wanted("stock-add", "/stock/add/absorbent/"),
    Wanted("stock-order", "/stock/order/"),
    Wanted("stock-rule", "/stock/rule/"),
    Wanted("fitted", "/stock/fitted/"),
    Wanted("canister", "/stock/fitted/", (".shelf-list__n",)),
    Wanted("fitted-add", "/stock/fitted/add/canister/"),
    Wanted("storage", "/stock/storage/"),
    Wanted("storage-place", "/stock/storage/", (".card__h h2 a",)),
    Wanted("catalogue", "/catalogue/"),
    Wanted("settings", "/settings/"),
    Wanted("backups", "/backups/"),
    Wanted("backups-rule", "/backups/rule/"),
    Wanted("settings-place", "/settings/place/"),
    Wanted("settings-units", "/settings/units/"),
    Wanted("settings-reserve", "/settings/reserve/"),
    Wanted("settings-anaesthesia", "/settings/anaesthesia/"),
    Wanted("settings-records", "/settings/records/?species=sheep"),
    Wanted("rooms", "/rooms/"),
    Wanted("room-add", "/rooms/add/"),
    Wanted("waste", "/exposure/"),
    Wanted("waste-room", "/exposure/", (f"{_ROOM}:has-text('Rodent lab')",)),
    Wanted("waste-empty", "/exposure/", (f"{_ROOM}:has-text('Cylinder store')",)),
    Wanted(
        "waste-way",
        "/exposure/",
        (f"{_ROOM}:has-text('Rodent lab')", "a[href*='/exposure/machine/']"),
    ),
    Wanted("waste-limits", "/exposure/limits/"),
    Wanted("waste-limit", "/exposure/limits/isoflurane/"),
    Wanted("waste-purge", "/exposure/purge/?volume_l=6&flow_l_min=4&start_share=2&end_share=50"),
    Wanted("badges", "/exposure/badges/"),
    Wanted("badge", "/exposure/badges/", (".tbl a",)),
    Wanted("badge-add", "/exposure/badges/add/"),
    Wanted("people", "/people/"),
    Wanted("person-add", "/people/add/"),
    Wanted("more", "/more/"),
    Wanted("welcome", "/welcome/"),
    Wanted("password", "/accounts/password/"),
    Wanted("my-sign-in", "/people/me/sign-in/"),
    Wanted("pin", "/people/me/pin/"),
    Wanted("locked", "/people/", is_locked=True),
    Wanted("person", "/people/", ("tbody a[href='/people/operator/']",)),
    Wanted("settings-lock", "/settings/lock/"),
    Wanted("audit", "/audit/"),
    Wanted("away", "/away/", needs_sign_in=False),
    Wanted("nothing-here", "/no/such/page/"),
)


@dataclass(slots=True)
class Shot:
    """Where pictures go, at which widths, and what was found wrong on the way."""

    folder: Path
    base: str
    widths: tuple[int, ...] = WIDTHS
    wrong: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Account:
    """Who signs in."""

    username: str
    password: str


def free_port() -> int:
    """A port that nobody listens on now."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


@contextmanager
def serving(command: str, home: Path) -> Iterator[tuple[str, list[str]]]:
    """Run `ullage serve` or `ullage demo` on a free port; yield its address and its lines."""
    port = free_port()
    env = {key: value for key, value in os.environ.items() if not key.startswith("ULLAGE_")}
    env |= {"ULLAGE_HOME": str(home), "PYTHONUNBUFFERED": "1"}
    env.pop("DJANGO_SETTINGS_MODULE", None)
    program = [sys.executable, "-c", "from ullage.cli import main; main()", command]
    process = subprocess.Popen(
        [*program, "--port", str(port)],
        env=env,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    lines: list[str] = []
    try:
        for line in process.stdout or ():
            lines.append(line.rstrip())
            if CAUTION in line:
                break
        yield f"http://127.0.0.1:{port}", lines
    finally:
        process.send_signal(signal.SIGTERM)
        process.wait(timeout=20)
        if process.stdout:
            process.stdout.close()


@contextmanager
def launch(*more: str) -> Iterator[Browser]:
    """The Chromium of this machine; ``more`` are arguments of its own."""
    with sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path=shutil.which("chromium"),
            args=["--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", *more],
        )
        try:
            yield browser
        finally:
            browser.close()


def watched(context: BrowserContext) -> tuple[Page, list[str]]:
    """A page that remembers what its console and its policy complained about."""
    page = context.new_page()
    page.add_init_script(WATCH)
    said: list[str] = []
    page.on("console", lambda one: said.append(one.text) if one.type == "error" else None)
    page.on("pageerror", lambda one: said.append(str(one)))
    return page, said


def faults(page: Page, said: list[str], *, with_axe: bool = True) -> list[str]:
    """What is wrong with the page as it stands; empties what was said before."""
    found = [f"console: {line}" for line in said if "responded with a status of 4" not in line]
    said.clear()
    found += [f"policy: {line}" for line in page.evaluate("window.__broken || []")]
    wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    if wide > 0:
        found.append(f"scrolls sideways by {wide} px: {_widest(page)}")
    if with_axe:
        for one in Axe().run(page).response["violations"]:
            if one["impact"] in GRAVE:
                where = ", ".join(str(node["target"][0]) for node in one["nodes"][:3])
                found.append(f"axe {one['id']} ({one['impact']}): {where}")
    return found


def _widest(page: Page) -> str:
    """The elements that reach out of the window, innermost last."""
    return str(
        page.evaluate(
            """[...document.querySelectorAll("body *")]
            .filter((one) => one.getBoundingClientRect().right > window.innerWidth + 1)
            .slice(-3).map((one) => one.tagName + "." + one.className).join(" | ")"""
        )
    )


def sign_in(page: Page, base: str, account: Account) -> None:
    """Through the door."""
    page.goto(f"{base}/accounts/login/")
    page.fill("#id_login", account.username)
    page.fill("#id_password", account.password)
    page.click("main button")
    page.wait_for_load_state()


def _first_run(page: Page, base: str, lines: Sequence[str]) -> Account:
    """Make the first account with the code in the lines of the server."""
    code = next(line.strip() for line in lines if re.fullmatch(r"  \w{4}-\w{4}", line))
    account = Account("rowan", "plain gravel lantern")
    typed = {"code": code, "full_name": "Rowan Hale", "username": account.username}
    typed |= {"password": account.password, "password_again": account.password}
    typed |= {"name": "Fennel Lane", "elevation_m": "60"}
    page.goto(f"{base}/first-run/")
    for name, value in typed.items():
        page.fill(f"#id_{name}", value)
    page.click("main button.btn--go")
    page.wait_for_load_state()
    return account


def _account_in(lines: Sequence[str], username: str, password: str) -> Account:
    """The account that was given, or the lead of the practice world with its printed password."""
    printed = re.search(r"Password of every account: (\S+)", "\n".join(lines))
    if not password and printed is None:
        raise SystemExit("No password was printed; give --user and --password.")
    return Account(username or "lead", password or (printed[1] if printed else ""))


def _open(page: Page, base: str, wanted: Wanted) -> str:
    """Go to a page; say what is missing on the way."""
    answered = page.goto(base + wanted.path)
    if wanted.is_locked:
        page.click("button.lock")
        page.wait_for_url("**/locked/**")
    for link in wanted.follow:
        if page.locator(f"main {link}, .ident {link}").count() == 0:
            return f"no link {link!r} on {page.url.removeprefix(base)}"
        page.locator(f"main {link}, .ident {link}").first.click()
        page.wait_for_load_state()
    if wanted.until:
        page.wait_for_selector(wanted.until)
    status = answered.status if answered else 0
    if status >= 400 and wanted.name != "nothing-here":
        return f"{wanted.path} answered {status}"
    return ""


def _take(
    shot: Shot, browser: Browser, scheme: str, account: Account, pages: Sequence[Wanted]
) -> None:
    """All pages in one colour scheme."""
    context = browser.new_context(color_scheme="dark" if scheme == "dark" else "light")
    page, said = watched(context)
    context.set_default_timeout(15_000)
    is_in = False
    for wanted in sorted(pages, key=lambda one: one.needs_sign_in):
        if wanted.needs_sign_in and not is_in:
            sign_in(page, shot.base, account)
            is_in = True
        for width in shot.widths:
            page.set_viewport_size({"width": width, "height": HEIGHT})
            name = f"{wanted.name}-{width}{'-dark' if scheme == 'dark' else ''}"
            missing = _open(page, shot.base, wanted)
            found = [missing] if missing else faults(page, said)
            shot.wrong += [f"{name}: {line}" for line in found]
            if not missing:
                _picture(page, width, shot.folder / f"{name}.png")
            if wanted.is_locked:
                page.fill("#id_password", account.password)
                page.press("#id_password", "Enter")
                page.wait_for_load_state()
    context.close()


def _picture(page: Page, width: int, path: Path) -> None:
    """The whole page; the window grows first, so that what sticks to its edges stands there."""
    tall = page.evaluate("document.documentElement.scrollHeight")
    page.set_viewport_size({"width": width, "height": max(tall, HEIGHT)})
    page.screenshot(path=path, full_page=True)


def _arguments(words: Sequence[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tools.shots", description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--command", choices=["demo", "serve"], default="demo")
    parser.add_argument("--home", type=Path, help="keep the data of the site here")
    parser.add_argument("--user", default="")
    parser.add_argument("--password", default="")
    parser.add_argument("--only", default="", help="names of pages, with commas")
    parser.add_argument("--widths", default=",".join(map(str, WIDTHS)))
    parser.add_argument("--schemes", default="light,dark")
    return parser.parse_args(words)


def main(words: Sequence[str] | None = None) -> int:
    """Take the pictures; return the exit status."""
    asked = _arguments(words)
    asked.folder.mkdir(parents=True, exist_ok=True)
    only = {name for name in asked.only.split(",") if name}
    pages = [one for one in PAGES if not only or one.name in only]
    widths = tuple(int(width) for width in asked.widths.split(","))
    with (
        tempfile.TemporaryDirectory() as made,
        serving(asked.command, asked.home or Path(made)) as (base, lines),
        launch() as browser,
    ):
        shot = Shot(asked.folder, base, widths)
        if asked.command == "serve" and not asked.user:
            first = browser.new_context().new_page()
            account = _first_run(first, base, lines)
        else:
            account = _account_in(lines, asked.user, asked.password)
        for scheme in asked.schemes.split(","):
            _take(shot, browser, scheme, account, pages)
    for line in shot.wrong:
        print(line)
    print(f"{len(pages)} pages, {len(shot.wrong)} things wrong")
    return 1 if shot.wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
