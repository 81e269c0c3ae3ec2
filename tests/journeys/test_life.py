"""In a real Chromium and by keyboard alone: a case from its first line to its signature."""

import re

import pytest

from tools.shots import Account, faults, launch, serving, sign_in, watched

pytestmark = [pytest.mark.web, pytest.mark.journey]


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    with serving("demo", tmp_path_factory.mktemp("demo")) as (base, lines):
        printed = re.search(r"Password of every account: (\S+)", "\n".join(lines))
        yield base, Account("lead", printed[1])


@pytest.fixture
def tab(demo):
    """A tablet with the lead signed in, and what is wrong with its page when asked."""
    base, account = demo
    with launch() as opened:
        context = opened.new_context(viewport={"width": 820, "height": 1100})
        page, said = watched(context)
        page.set_default_timeout(60_000)
        sign_in(page, base, account)
        yield page, lambda: faults(page, said)


def go(page, selector):
    """Press Tab until the focus is there; fails where no key leads to it."""
    for _ in range(160):
        if page.evaluate("s => document.activeElement.matches(s)", selector):
            return
        page.keyboard.press("Tab")
    pytest.fail(f"no key leads to {selector}")


def write(page, selector, words):
    go(page, selector)
    page.keyboard.type(words)


def press(page, selector, waits):
    go(page, selector)
    page.keyboard.press("Enter")
    page.wait_for_url(waits)


def make_ready(page, base):
    page.goto(f"{base}/cases/start/")
    write(page, "#id_name", "Teasel")
    write(page, "#id_species", "rabbit")
    write(page, "#id_machine", "Wren")
    write(page, "#id_weight", "3.4 kg")
    press(page, "main form .btn--go", re.compile(r"/about/$"))


def begin(page):
    write(page, "#id_agent", "iso")
    write(page, "#id_flow_oxygen", "1.7")
    if "may not begin yet" in page.inner_text("main"):
        write(page, "#id_override_by", "Tamsin")
        write(page, "#id_override_reason", "It bleeds.")
    press(page, "form[action$='/begin/'] .btn--go", re.compile(r"/cases/[0-9a-f-]{36}/$"))


def recover(page, code_url):
    page.goto(f"{code_url}recovery/")
    go(page, "input[name=gas]")
    page.keyboard.press("Space")
    press(page, "form[action$='/recovery/start/'] .btn--go", re.compile(r"/recovery/$"))
    unmet = page.locator("button[name=met][value=yes]")
    unmet.first.wait_for()
    for left in range(unmet.count(), 0, -1):
        page.locator("body").press("Home")
        go(page, "button[name=met][value=yes]")
        page.keyboard.press("Enter")
        page.wait_for_function(
            "n => document.querySelectorAll('button[name=met][value=yes]').length < n", arg=left
        )


def test_a_case_by_keyboard_from_its_first_line_to_its_signature(demo, tab):
    page, wrong = tab
    base, account = demo
    make_ready(page, base)
    assert wrong() == []
    begin(page)
    code_url = page.url
    recover(page, code_url)
    assert "Recovery is over" in page.inner_text("main")
    assert wrong() == []

    page.goto(f"{code_url}close/")
    assert "not recorded" in page.inner_text("main")
    press(page, "main form .btn--go", re.compile(r"/(about|records/[0-9a-f-]{36})/$"))
    page.goto(f"{code_url}sign/")
    go(page, "input[name=meaning]")
    page.keyboard.press("Space")
    write(page, "#id_password", account.password)
    press(page, "main form .btn--go", re.compile(r"/(about|records/[0-9a-f-]{36})/$"))
    assert "I made this record" in page.inner_text("main")
    assert wrong() == []
