"""The first day in a real Chromium: the code, the first account, the first machine; by keyboard."""

import re

import pytest

from tools.shots import faults, launch, serving, watched

pytestmark = [pytest.mark.web, pytest.mark.journey]

WORD = "plain gravel lantern"


@pytest.fixture(scope="module")
def open_site(tmp_path_factory):
    with serving("serve", tmp_path_factory.mktemp("site")) as (base, lines):
        yield base, next(x.strip() for x in lines if re.fullmatch(r"  \w{4}-\w{4}", x))


@pytest.fixture(scope="module")
def browser():
    with launch() as opened:
        yield opened


@pytest.fixture
def tab(browser):
    """A page 320 px wide, and what is wrong with it when asked."""
    context = browser.new_context(viewport={"width": 320, "height": 700}, color_scheme="dark")
    page, said = watched(context)
    page.set_default_timeout(15_000)
    yield page, lambda: faults(page, said)
    context.close()


def type_by_keyboard(page, **typed):
    """Go from entry to entry with Tab alone and type; buttons and choices are passed by."""
    left = dict(typed)
    page.keyboard.press("Tab")
    for _ in range(60):
        name = page.evaluate("document.activeElement.name || ''")
        if name in left:
            page.keyboard.type(left.pop(name))
        if not left:
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"not reached with Tab: {left}")


def test_from_the_code_in_the_terminal_to_the_first_machine_by_keyboard(open_site, tab):
    base, code = open_site
    page, wrong = tab
    page.goto(base)
    assert page.url == f"{base}/first-run/"
    assert wrong() == []

    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to content"
    type_by_keyboard(
        page,
        code="AAAA-AAAA",
        full_name="Tara Keld",
        username="tara",
        password=WORD,
        password_again=WORD,
        name="Fennel Lane",
        elevation_m="60",
    )
    page.keyboard.press("Enter")
    page.wait_for_selector(".field--bad")
    assert page.evaluate("document.activeElement.getAttribute('role')") == "alert"
    assert page.input_value("#id_name") == "Fennel Lane"
    assert wrong() == []

    page.fill("#id_code", code)
    page.press("#id_code", "Enter")
    page.wait_for_url("**/welcome/")
    assert page.inner_text("h1") == "Nothing is known yet"
    assert wrong() == []

    page.click("text=Add a machine")
    type_by_keyboard(page, name="Wren", usual_flow_l_min="500 mL/min")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(r"/machines/[0-9a-f-]{36}/$"))
    assert "0.5 L/min" in page.inner_text("main")
    assert wrong() == []


def test_the_door_opens_again_and_the_first_run_is_gone(open_site, tab):
    base, _ = open_site
    page, wrong = tab
    assert page.goto(f"{base}/first-run/").status == 404

    page.goto(f"{base}/settings/")
    assert "/accounts/login/" in page.url
    page.fill("#id_login", "tara")
    page.fill("#id_password", WORD)
    page.press("#id_password", "Enter")
    page.wait_for_url("**/settings/")
    assert "1\u202f006" in page.inner_text("main")
    assert wrong() == []


def test_everything_works_without_a_script(open_site, browser):
    base, _ = open_site
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{base}/accounts/login/")
    page.fill("#id_login", "tara")
    page.fill("#id_password", WORD)
    page.click("main button")
    page.goto(f"{base}/settings/reserve/")
    page.fill("#id_reserve_kpa", "200 psi")
    page.click("main .btn--go")

    assert "Kept back by the rule of this site" in page.inner_text("main")
    context.close()
