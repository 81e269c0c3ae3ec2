"""The page of a running case in a real Chromium: two people at once, by keyboard, by finger."""

import sys
import time

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.journeys.pad_site import PadSite, Tablet
from tools.shots import faults, launch

pytestmark = [pytest.mark.web, pytest.mark.journey]

#: Two people on two devices see each other's entries within this [s].
SOON_S = 3.0
#: A finger in a glove needs this much [px].
TARGET_PX = 44
#: What can be touched and is smaller: outside sentences and what is not shown.
SMALL = """(least) => [...document.querySelectorAll(
  "main a[href], main button, main input:not([type=hidden]), main summary, .strip a[href]")]
  .filter((one) => !one.closest("details:not([open]) > :not(summary)") && one.offsetParent !== null)
  .filter((one) => !one.matches("p a, .why__b a, .seg input, .inp input, .tile input"))
  .filter((one) => !one.matches("li span > a:not(.log__a)"))
  .map((one) => [one.outerHTML.slice(0, 90), one.getBoundingClientRect()])
  .filter(([, box]) => box.width > 0 && (box.height < least - 0.5 || box.width < least - 0.5))
  .map(([words, box]) => `${Math.round(box.width)} x ${Math.round(box.height)} ${words}`)"""
#: Rows of choices, tiles and fields are touched on their label.
LABELS = """(least) => [...document.querySelectorAll("main .seg label, main .tile, main .inp")]
  .filter((one) => !one.closest("details:not([open]) > :not(summary)") && one.offsetParent !== null)
  .map((one) => [one.textContent.trim().slice(0, 40), one.getBoundingClientRect()])
  .filter(([, box]) => box.height < least - 0.5)
  .map(([words, box]) => `${Math.round(box.width)} x ${Math.round(box.height)} ${words}`)"""


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    made = PadSite(tmp_path_factory.mktemp("running"))
    made.start()
    yield made
    made.kill()


@pytest.fixture(scope="module")
def browser():
    with launch() as opened:
        yield opened


@pytest.fixture
def two(site, browser):
    """Two tablets of two people with one running case open."""
    record = site.record()
    with Tablet(browser, site) as ada, Tablet(browser, site) as ben:
        for tablet, name in ((ada, "ada"), (ben, "ben")):
            tablet.sign_in(name)
            tablet.open(record)
        yield ada, ben


def tell(words):
    """Print what was measured; pytest shows it with -rP."""
    sys.stdout.write(f"{words}\n")


def last_seen(page, words, began=0.0):
    """Wait until the tile of the heart shows a last value; how long it took since [s]."""
    page.wait_for_function(
        "(words) => document.querySelector('#last-heart_rate')?.textContent.includes(words)",
        arg=words,
        timeout=15_000,
    )
    return time.monotonic() - began


def writes(tablet, heart):
    """Enter a heart rate and save it; when it was saved."""
    page = tablet.page
    page.fill("input[name=heart_rate]", heart)
    began = time.monotonic()
    page.press("input[name=heart_rate]", "Control+Enter")
    return began


def test_two_people_on_two_devices_see_each_other_within_three_seconds(two, record_property):
    ada, ben = two
    took = []
    for heart, (writer, reader) in zip(
        ("121", "122", "123", "124", "125"), [(ada, ben), (ben, ada)] * 3, strict=False
    ):
        began = writes(writer, heart)
        took.append(last_seen(reader.page, f"last {heart}", began))
        writer.await_shared()
    record_property("seconds", [round(one, 2) for one in took])
    tell("others saw an entry after " + ", ".join(f"{one:.2f} s" for one in took))

    assert max(took) <= SOON_S


def test_where_no_stream_comes_through_the_head_is_looked_at(two):
    ada, ben = two
    ben.page.route("**/stream/", lambda route: route.abort())
    ben.page.reload()
    ben.page.wait_for_timeout(500)
    took = last_seen(ben.page, "last 131", writes(ada, "131"))
    tell(f"without a stream after {took:.2f} s")

    assert took <= SOON_S


def test_what_somebody_is_typing_stays_while_others_write(two):
    ada, ben = two
    ben.page.fill("input[name=respiratory_rate]", "17")
    ben.page.focus("input[name=respiratory_rate]")
    writes(ada, "141")
    last_seen(ben.page, "last 141")

    assert ben.page.input_value("input[name=respiratory_rate]") == "17"
    assert ben.page.evaluate("document.activeElement.name") == "respiratory_rate"


def test_the_whole_way_by_keyboard_alone(two):
    """From the top of the page to a saved observation, an event and a word on a warning."""
    ada, _ = two
    page = ada.page
    page.evaluate("document.activeElement.blur()")
    seen = []
    for _ in range(80):
        page.keyboard.press("Tab")
        name = page.evaluate("document.activeElement.name || document.activeElement.className")
        seen.append(name)
        if name == "heart_rate":
            break
    assert seen[0] == "skip"
    assert seen[-1] == "heart_rate"
    page.keyboard.type("151")
    page.keyboard.press("Enter")
    page.keyboard.type("18")
    page.keyboard.press("Control+Enter")
    ada.await_shared()
    page.focus("#event > summary")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.value") == "anaesthesia began"
    page.keyboard.press("Enter")
    ada.await_said("1 entry kept on this device")
    ada.await_shared()
    page.wait_for_function(
        "() => document.querySelector('#events')?.textContent.includes('Anaesthesia began')"
    )

    assert faults(page, ada.said) == []


def test_a_common_value_takes_two_touches(site, browser):
    with Tablet(browser, site) as tablet:
        tablet.sign_in("ada")
        tablet.open(site.record())
        writes(tablet, "110")
        last_seen(tablet.page, "last 110")
        page = tablet.page
        page.wait_for_function(
            "() => document.querySelector('[name=heart_rate]').dataset.last === '110'"
        )
        page.click(".tile:has([name=heart_rate])")
        page.click(".common button:text-is('112')")

        assert page.input_value("input[name=heart_rate]") == "112"


@pytest.mark.parametrize("width", [390, 820, 1280])
def test_whatever_is_touched_is_large_enough_and_nothing_hinders(site, browser, width):
    with Tablet(browser, site) as tablet:
        tablet.sign_in("ada")
        tablet.open(site.record())
        page = tablet.page
        page.set_viewport_size({"width": width, "height": 900})
        writes(tablet, "110")
        for fold in page.locator("details.panel-fold").all():
            fold.evaluate("(one) => { one.open = true; }")

        assert page.evaluate(SMALL, TARGET_PX) == []
        assert page.evaluate(LABELS, TARGET_PX) == []
        assert [one["id"] for one in Axe().run(page).response["violations"]] == []
        assert faults(page, tablet.said) == []
