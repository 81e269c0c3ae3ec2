"""In a real Chromium: a part is found broken, its machine stops, and a case goes to another one."""

import re

import pytest

from tools.shots import Account, faults, launch, serving, sign_in, watched

pytestmark = [pytest.mark.web, pytest.mark.journey]


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    with serving("demo", tmp_path_factory.mktemp("demo")) as (base, lines):
        printed = re.search(r"Password of every account: (\S+)", "\n".join(lines))
        yield base, Account("operator", printed[1])


@pytest.fixture
def tab(demo):
    """A phone with the operator signed in, and what is wrong with its page when asked."""
    base, account = demo
    with launch() as opened:
        context = opened.new_context(viewport={"width": 390, "height": 800}, has_touch=True)
        page, said = watched(context)
        page.set_default_timeout(20_000)
        sign_in(page, base, account)
        yield page, lambda: faults(page, said)


def test_a_stuck_relief_valve_stops_its_machine_and_its_case_is_offered_another(demo, tab):
    page, wrong = tab
    page.goto(f"{demo[0]}/machines/")
    page.click("h2 a:has-text('Wren')")
    page.click("#parts a:has-text('Relief valve')")
    page.wait_for_url(re.compile(r"/p/[0-9a-f-]{36}/$"))
    assert wrong() == []
    valve = page.url

    page.click("text=Take out of use, or doubt it")
    page.fill("#id_reason", "It sticks.")
    page.tap("button:has-text('Say so')")
    page.wait_for_selector("text=You may take that back for 15 minutes")
    assert wrong() == []

    page.goto(f"{demo[0]}/")
    row = page.locator("article.brow", has_text="Wren")
    assert "Out of use." in row.inner_text()
    assert "Relief valve is out of use: It sticks." in row.inner_text()

    page.goto(f"{demo[0]}/day/")
    offered = page.locator("article.case", has_text="on Wren", has=page.locator("text=Plan it on"))
    case = offered.first
    name = case.locator("h3 a").inner_text()
    offer = case.locator("button", has_text="Plan it on")
    other = offer.inner_text().removeprefix("Plan it on ")
    assert wrong() == []
    offer.tap()
    page.wait_for_selector(f"text={name} is planned on {other} now.")

    page.goto(valve)
    page.tap("text=Take my last word back")
    page.wait_for_selector("text=is as it was before")
    page.goto(f"{demo[0]}/day/")
    assert "Relief valve is out of use" not in page.inner_text("main")
    assert wrong() == []


def test_a_state_is_said_with_the_keyboard_alone(demo, tab):
    page, wrong = tab
    page.goto(f"{demo[0]}/machines/")
    page.click("h2 a:has-text('Heron')")
    page.focus("text=Take out of use, or doubt it")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(r"/out/$"))
    page.focus("#id_to_0")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Tab")
    page.keyboard.type("It hisses.")
    page.keyboard.press("Enter")

    page.wait_for_selector("text=Heron is in doubt")
    assert "Look again: Heron is in doubt" in page.inner_text("main")
    assert wrong() == []
