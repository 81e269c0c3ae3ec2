"""At the machine in a real Chromium: read a gauge in two touches, change a cylinder."""

import re

import pytest

from tools.shots import Account, faults, launch, serving, sign_in, watched

pytestmark = [pytest.mark.web, pytest.mark.journey]


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    with serving("demo", tmp_path_factory.mktemp("demo")) as (base, lines):
        printed = re.search(r"Password of every account: (\S+)", "\n".join(lines))
        yield base, Account("operator", printed[1])


@pytest.fixture(scope="module")
def browser():
    with launch() as opened:
        yield opened


def tab_of(browser, demo, **more):
    base, account = demo
    context = browser.new_context(viewport={"width": 390, "height": 800}, **more)
    page, said = watched(context)
    page.set_default_timeout(20_000)
    sign_in(page, base, account)
    return page, lambda: faults(page, said)


@pytest.fixture
def tab(browser, demo):
    """A phone with the operator signed in, and what is wrong with its page when asked."""
    page, wrong = tab_of(browser, demo, has_touch=True)
    yield page, wrong
    page.context.close()


def open_a_cylinder(page, base):
    """The first portable cylinder in use, as its label opens it."""
    page.goto(f"{base}/supplies/scan/")
    page.locator(".menu a", has_text="Portable").first.click()
    page.wait_for_url(re.compile(r"/c/[0-9a-f-]{36}/$"))
    last = page.locator(".dial small", has_text="last").inner_text()
    return float(re.search(r"last ([\d.]+)", last)[1])


def press(page, number):
    for key in str(number):
        page.tap(f"[data-pad] [data-key='{key}']")


def test_a_gauge_is_read_in_two_touches_and_the_answer_follows(demo, tab):
    page, wrong = tab
    last = open_a_cylinder(page, demo[0])
    assert page.input_value("#id_number") == ""
    assert wrong() == []

    press(page, int(last) - 1)
    page.tap("text=Save")
    page.wait_for_selector(f"text=Saved {int(last) - 1} bar")
    assert wrong() == []

    # The work is done apart from the page; the page asks for it until it is there.
    page.wait_for_selector("#answers:not([hx-get])", timeout=60_000)
    assert f"from {int(last) - 1} bar" in page.inner_text("#answers")
    page.wait_for_selector("svg.chart .read_marks")
    assert wrong() == []


def test_a_slip_is_asked_about_and_amended_and_the_first_stays_readable(demo, tab):
    page, wrong = tab
    last = open_a_cylinder(page, demo[0])
    slip = int(last) // 10
    page.fill("#id_number", str(slip))
    page.tap("text=Save")
    page.wait_for_selector("text=used in no sum until you say what it is")
    assert wrong() == []

    page.tap("text=I meant another number")
    page.wait_for_url(re.compile(r"/amend/$"))
    page.fill("#id_number", str(int(last)))
    page.fill("#id_reason >> nth=0", "A digit was missing.")
    assert wrong() == []
    page.tap("main .btn--go")
    page.wait_for_selector(f"text=Saved {int(last)} bar")

    page.click("text=Readings and history")
    page.wait_for_selector("del")
    assert f"{slip} bar" in page.inner_text("del >> nth=0")
    assert wrong() == []


def test_a_change_is_left_half_way_and_taken_up_again(demo, tab):
    page, wrong = tab
    open_a_cylinder(page, demo[0])
    here = page.url
    page.tap(".next .btn")
    page.wait_for_url(re.compile(r"/changes/[0-9a-f-]{36}/$"))
    page.tap("text=No animal is on the machine")
    page.tap("text=The animal is supplied")
    page.wait_for_selector("text=Step 2 of 8")
    assert wrong() == []
    page.tap("text=Flows are off")
    page.wait_for_selector("text=Step 3 of 8")
    page.tap("text=It is the right one")
    page.wait_for_selector(".field--bad")
    assert "Scan the full one, or choose it." in page.inner_text("main")
    assert wrong() == []

    page.goto(here)
    page.tap(".next .btn")
    page.wait_for_selector("text=Step 3 of 8")


def test_everything_works_without_a_script(browser, demo):
    page, _ = tab_of(browser, demo, java_script_enabled=False)
    last = open_a_cylinder(page, demo[0])
    assert not page.is_visible("[data-pad]")
    page.fill("#id_number", str(int(last)))
    page.click("text=Save")
    assert f"Saved {int(last)} bar" in page.inner_text("main")

    page.click("text=Show the chart of readings")
    assert page.locator("svg.chart").count() >= 1
    page.context.close()
