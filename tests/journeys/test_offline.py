"""The server is gone, the network is cut, people change: nothing that was entered is lost."""

import json
import random
import sqlite3
from contextlib import closing
from datetime import datetime, timedelta

import pytest

from tests.counts import counted
from tests.journeys.pad_site import PadSite, Tablet
from tests.journeys.wire import CUTS, Wire
from tools.shots import faults, launch

pytestmark = [pytest.mark.web, pytest.mark.journey]


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    made = PadSite(tmp_path_factory.mktemp("offline"))
    made.start()
    yield made
    made.kill()


@pytest.fixture(scope="module")
def browser():
    with launch("--host-resolver-rules=MAP testserver 127.0.0.1") as opened:
        yield opened


@pytest.fixture
def wire(site):
    made = Wire(site.port)
    yield made
    made.close()


@pytest.fixture
def tablet(site, browser):
    with Tablet(browser, site) as made:
        made.sign_in("ada")
        yield made


def at(text: str) -> datetime:
    return datetime.fromisoformat(text)


def words(waits: list[dict]) -> list[dict]:
    """What the device kept, as it was worded there."""
    return [json.loads(one["word"]) for one in waits]


def agree(kept: list[dict], lines: list[dict]) -> None:
    """Everything stands in the record once, in the order of the device, with its own times."""
    assert [one["id"] for one in lines] == [one["id"] for one in kept]
    assert [one["typed"] for one in lines] == [one["typed"] for one in kept]
    assert [at(one["times"]["observed"]) for one in lines] == [at(one["observed"]) for one in kept]
    assert [at(one["times"]["written"]) for one in lines] == [at(one["written"]) for one in kept]


def test_pulling_the_plug_on_the_server_loses_nothing(site, tablet):
    page, record = tablet.page, site.record()
    tablet.open(record)
    tablet.observe(heart_rate="120", respiratory_rate="15")
    tablet.await_shared()
    first = site.lines(record)
    try:
        page.fill("input[name=heart_rate]", "121")
        site.kill()
        page.click("text=Save observation")
        page.wait_for_selector("text=Not connected since")
        tablet.observe(heart_rate="122", respiratory_rate="16")
        page.fill("input[name=heart_rate]", "123")

        tablet.forget_files()
        page.reload()
        page.wait_for_selector("text=not saved")
        page.wait_for_selector("header.bar >> text=3 entries wait")
        assert "on this device alone" in page.inner_text("[data-strip]")
        assert "Numbers on this page are from" in page.inner_text("[data-strip]")
        page.click("text=Save observation")
        tablet.until(lambda: len(tablet.waits()) == 4)
        kept = words(tablet.waits())
        page.goto(f"{site.url}/day/")
        page.wait_for_selector("[data-away-pages] >> text=Clover")
        page.go_back()
    finally:
        site.start()
    tablet.await_shared()

    lines = site.lines(record)
    assert lines[:2] == first
    agree(kept, lines[2:])
    assert all(
        at(one["times"]["received"]) - at(one["times"]["written"]) > timedelta(seconds=1)
        for one in lines[2:]
    )
    page.wait_for_selector("[data-sync] >> text=shared")


@pytest.mark.soak
def test_cuts_of_the_network_lose_and_double_nothing(site, browser, wire, record_property):
    """A tenth of 200 cuts, all under soak: before, in and after a request, at any moment."""
    dice, cuts, record = random.Random(5), counted(200), site.record()
    kinds = [*CUTS, "any moment", "offline"]
    with Tablet(browser, site, wire.url) as tablet:
        tablet.sign_in("ada")
        tablet.open(record)
        for number in range(cuts):
            cut_while_saving(tablet, wire, kinds[number % len(kinds)], dice)
        tablet.page.evaluate("dispatchEvent(new Event('online'))")
        tablet.await_shared()
        acked = tablet.acked()

    lines = site.lines(record)
    assert [one["typed"] for one in lines] == [f"{100 + number} /min" for number in range(cuts)]
    agree(words(acked), lines)
    assert site.aside(record) == []
    again = sum(one["outcome"] == "again" for one in acked)
    assert again > 0, "no reply was lost"
    made = {kind: wire.cuts.count(kind) for kind in kinds}
    assert sum(made.values()) == cuts
    record_property("cuts", made)
    record_property("acknowledged again", again)


def cut_while_saving(tablet: Tablet, wire: Wire, kind: str, dice: random.Random) -> None:
    """Save one entry while the network is cut; wait until it was."""
    before = len(wire.cuts)
    if kind == "offline":
        tablet.context.set_offline(True)
    elif kind in CUTS:
        wire.cut_next = kind
    tablet.observe(heart_rate=str(100 + before))
    if kind in CUTS:
        tablet.until(lambda: len(wire.cuts) > before)
        return
    tablet.page.wait_for_timeout(dice.choice((0, 5, 10, 20, 40)))
    if kind == "offline":
        tablet.page.wait_for_selector("text=Not connected since")
        tablet.context.set_offline(False)
    else:
        wire.cut()
    wire.cuts.append(kind)


TILES = "#observation .tile input"


def test_fifty_lines_go_in_one_request_at_most(site, browser, wire):
    record = site.record()
    with Tablet(browser, site, wire.url) as tablet:
        tablet.sign_in("ada")
        tablet.open(record)
        wire.down()
        names = tablet.page.eval_on_selector_all(TILES, "all => all.map((one) => one.name)")
        for _ in range(12):
            tablet.observe(**dict.fromkeys(names, "30"))
        waits = len(tablet.waits())
        assert waits > 100
        kept, before = words(tablet.waits()), wire.requests
        wire.up()
        tablet.page.evaluate("dispatchEvent(new Event('online'))")
        tablet.await_shared()
        agree(kept, site.lines(record))
        assert wire.requests - before == -(-waits // 50)


FULL = """() => {
  IDBObjectStore.prototype.add = () => { throw new DOMException("full", "QuotaExceededError"); };
}"""
REFUSED = """
IDBFactory.prototype.open = () => { throw new DOMException("refused", "SecurityError"); };
"""


def test_what_a_full_store_refuses_stays_in_its_field(tablet, site):
    page, record = tablet.page, site.record()
    tablet.open(record)
    page.evaluate(FULL)
    page.fill("input[name=heart_rate]", "118")
    page.click("text=Save observation")
    page.wait_for_selector("text=Not kept: write it on paper.")
    assert page.input_value("input[name=heart_rate]") == "118"
    assert tablet.waits() == []
    assert faults(page, tablet.said) == []


def test_without_a_store_the_plain_form_goes_to_the_server(tablet, site):
    page, record = tablet.page, site.record()
    page.add_init_script(REFUSED)
    page.goto(f"{site.url}/cases/{record}/")
    page.wait_for_selector("text=This device keeps nothing for later")
    page.fill("input[name=heart_rate]", "119")
    page.click("text=Save observation")
    page.wait_for_load_state()
    tablet.until(lambda: site.lines(record))
    assert [one["typed"] for one in site.lines(record)] == ["119 /min"]


def enrol(tablet: Tablet, name: str) -> None:
    tablet.page.goto(f"{tablet.url}/cases/tablets/")
    tablet.page.fill("#enrol-name", name)
    tablet.page.click("text=Enrol this device >> nth=-1")
    tablet.page.wait_for_selector("text=This device is enrolled.")


def test_whoever_signs_in_later_does_not_become_the_author(site, browser, wire):
    record = site.record()
    with Tablet(browser, site, wire.url) as tablet:
        page = tablet.page
        tablet.sign_in("ada")
        enrol(tablet, "Table 1")
        tablet.open(record)
        tablet.observe(heart_rate="120")
        tablet.await_shared()
        page.route("**/api/queue/", lambda route: route.abort())
        tablet.observe(heart_rate="121", respiratory_rate="16")
        kept = words(tablet.waits())
        assert len(kept) == 2

        tablet.sign_out()
        assert tablet.pages_kept() == []
        page.wait_for_selector("header.bar >> text=2 entries wait")
        page.wait_for_timeout(500)
        assert len(tablet.waits()) == 2
        tablet.sign_in("ben")
        page.unroute("**/api/queue/")
        tablet.open(record)
        tablet.await_shared()
        tablet.observe(heart_rate="125")
        tablet.await_shared()

    lines = site.lines(record)
    authors = [one["author"] for one in lines]
    assert authors == ["Ada Operates (ada)"] * 3 + ["Ben Operates (ben)"]
    agree(kept, lines[1:3])
    assert site.aside(record) == []


def test_an_expired_session_still_takes_entries(site, tablet):
    page, record = tablet.page, site.record()
    tablet.open(record)
    site.ask("delete from django_session")
    page.evaluate("document.dispatchEvent(new Event('ullage:shared'))")
    page.wait_for_selector("[data-strip] >> text=Sign in to share")
    tablet.observe(heart_rate="120")
    page.wait_for_selector("[data-sync] >> text=sign in to share")
    kept = words(tablet.waits())
    page.reload()
    page.wait_for_url("**/accounts/login/**")
    page.wait_for_selector("header.bar >> text=1 entry waits")
    tablet.sign_in("ada")
    tablet.await_shared()
    agree(kept, site.lines(record))
    assert site.lines(record)[0]["author"] == "Ada Operates (ada)"


def test_an_enrolled_device_shares_after_the_session_has_ended(site, tablet):
    record = site.record()
    enrol(tablet, "Table 3")
    tablet.open(record)
    tablet.observe(heart_rate="120")
    tablet.await_shared()
    site.ask("delete from django_session")
    tablet.observe(heart_rate="121")
    tablet.await_shared()
    authors = [(one["typed"], one["author"]) for one in site.lines(record)]
    assert authors == [("120 /min", "Ada Operates (ada)"), ("121 /min", "Ada Operates (ada)")]


def test_signing_out_without_a_server_is_said_to_it_later(site, browser, wire):
    with Tablet(browser, site, wire.url) as tablet:
        page = tablet.page
        tablet.sign_in("ada")
        tablet.open(site.record())
        page.goto(f"{wire.url}/accounts/logout/")
        wire.down()
        page.click("main button")
        page.wait_for_selector("h1:has-text('Not connected')")
        assert tablet.pages_kept() == []
        wire.up()
        page.goto(f"{wire.url}/day/")
        page.wait_for_url("**/accounts/login/**")


def test_a_locked_pad_takes_entries_for_their_author_to_confirm(site, browser, wire):
    record = site.record()
    with Tablet(browser, site, wire.url) as tablet:
        page = tablet.page
        tablet.sign_in("ada")
        enrol(tablet, "Table 2")
        tablet.open(record)
        wire.down()
        page.click("header >> text=Lock")
        page.wait_for_selector("text=their author confirms them later")
        shown = page.inner_text("body")
        assert not any(name in shown for name in ("Clover", "Ada", "A.O.", "Events"))
        page.fill("input[name=heart_rate]", "120")
        page.click("text=Save observation")
        tablet.until(lambda: len(tablet.waits()) == 1)
        page.goto(f"{wire.url}/cases/{record}/")
        page.wait_for_selector("text=their author confirms them later")
        assert "Clover" not in page.content()
        assert page.locator("text=Amend or withdraw").count() == 0
        wire.up()
        page.evaluate("dispatchEvent(new Event('online'))")
        tablet.await_shared()
        page.goto(f"{wire.url}/cases/{record}/")
        page.wait_for_selector("text=password")
        assert page.evaluate("location.pathname") == "/locked/"

    (line,) = site.lines(record)
    assert (line["author"], line["author_confirmed"]) == ("Ada Operates (ada)", False)


def test_two_tabs_of_one_browser_send_nothing_twice(site, browser, wire):
    record = site.record()
    with Tablet(browser, site, wire.url) as tablet:
        tablet.sign_in("ada")
        tablet.open(record)
        second = tablet.context.new_page()
        tablet.open(record, second)
        wire.down()
        for number in range(3):
            tablet.observe(heart_rate=str(120 + number))
            tablet.observe(second, respiratory_rate=str(15 + number))
        assert len(tablet.waits()) == 6
        kept, before = words(tablet.waits()), wire.requests
        wire.up()
        for page in (tablet.page, second):
            page.evaluate("dispatchEvent(new Event('online'))")
        tablet.await_shared()
        agree(kept, site.lines(record))
        assert wire.requests - before == 1
        second.wait_for_selector("[data-sync] >> text=shared")


def test_after_a_restore_the_last_week_is_offered_again(site, tablet):
    record = site.record()
    tablet.open(record)
    tablet.observe(heart_rate="120")
    tablet.await_shared()
    copy = site.home / "before.sqlite3"
    with (
        closing(sqlite3.connect(site.home / "ullage.sqlite3")) as now,
        closing(sqlite3.connect(copy)) as then,
    ):
        now.backup(then)
    tablet.observe(heart_rate="121", respiratory_rate="16")
    tablet.await_shared()
    lost = site.lines(record)
    assert len(lost) == 3
    site.kill()
    try:
        for one in site.home.glob("ullage.sqlite3*"):
            one.unlink()
        copy.rename(site.home / "ullage.sqlite3")
        site.run(
            "from ullage.cli.site import open_site\nopen_site()\n"
            "from ullage.web.cases.services import epoch_renew\nepoch_renew(reason='Restored.')"
        )
        assert len(site.lines(record)) == 1
    finally:
        site.start()
    tablet.page.evaluate("dispatchEvent(new Event('online'))")
    tablet.until(lambda: len(site.lines(record)) == 3)
    assert [one["id"] for one in site.lines(record)] == [one["id"] for one in lost]


def test_a_page_that_is_no_secure_context_says_so_and_posts_its_form(site, browser):
    """Plain http under a name: the browser keeps nothing there, so nothing is said to be kept."""
    record = site.record()
    with Tablet(browser, site, f"http://testserver:{site.port}") as tablet:
        page = tablet.page
        tablet.sign_in("ada")
        page.goto(f"{tablet.url}/cases/{record}/")
        assert page.evaluate("isSecureContext") is False
        page.wait_for_selector("text=This device keeps nothing for later")
        page.fill("#observation input[name=heart_rate]", "119")
        page.click("text=Save observation")
        tablet.until(lambda: [one["typed"] for one in site.lines(record)] == ["119 /min"])


def test_another_version_keeps_what_waits_and_opens_what_was_kept(site, browser, wire):
    """The service worker changes while entries wait: they stay, and kept pages still open."""
    record = site.record()
    with Tablet(browser, site, wire.url) as tablet:
        page = tablet.page
        tablet.sign_in("ada")
        tablet.open(record)
        page.route("**/api/queue/", lambda route: route.abort())
        tablet.observe(heart_rate="120", respiratory_rate="15")
        kept = words(tablet.waits())
        before = page.evaluate(CACHES)
        said = f'"{before[0].removeprefix("ullage-static-")}"'.encode()
        wire.swapped = (said, said[::-1])
        page.evaluate("navigator.serviceWorker.getRegistration().then((one) => one.update())")
        tablet.until(lambda: page.evaluate(CACHES) != before and len(page.evaluate(CACHES)) == 1)
        wire.down()
        tablet.forget_files()
        page.reload()
        page.wait_for_selector("[data-pad-keys]:not([hidden])")
        assert words(tablet.waits()) == kept
        wire.up()
        page.unroute("**/api/queue/")
        page.evaluate("dispatchEvent(new Event('online'))")
        tablet.await_shared()
        agree(kept, site.lines(record))


CACHES = "caches.keys().then((all) => all.filter((one) => one.startsWith('ullage-static-')))"
