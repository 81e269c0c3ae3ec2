"""A case is planned in a real Chromium: typed, asked about, answered while typing, kept once."""

import re

import pytest

from tools.shots import Account, faults, launch, serving, sign_in, watched

pytestmark = [pytest.mark.web, pytest.mark.journey]


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    with serving("demo", tmp_path_factory.mktemp("demo")) as (base, lines):
        printed = re.search(r"Password of every account: (\S+)", "\n".join(lines))
        yield base, Account("lead", printed[1])


@pytest.fixture(params=[1280, 390])
def tab(request, demo):
    base, account = demo
    with launch() as browser:
        page, said = watched(browser.new_context(viewport={"width": request.param, "height": 1000}))
        page.set_default_timeout(20_000)
        sign_in(page, base, account)
        yield page, lambda: faults(page, said)


def type_a_mouse(page, name):
    page.fill("#id_name", name)
    page.select_option("#id_species", "mouse")
    page.fill("#id_weight_kg", "25")
    page.select_option("#id_machine", index=1)
    page.fill("#id_starts", "16:30")
    page.fill("#id_minutes_0", "5")
    page.fill("#id_minutes_1", "40")
    page.select_option("#id_agent", "isoflurane")
    page.select_option("#id_system", "nose cone")


def test_a_mouse_is_planned_from_a_slip_to_a_plan_that_is_kept_once(demo, tab):
    page, wrong = tab
    name = f"Figwort {page.viewport_size['width']}"
    page.goto(f"{demo[0]}/day/")
    page.click("text=Plan a case")
    page.wait_for_selector("#plan-form")
    assert wrong() == []

    type_a_mouse(page, name)
    page.wait_for_selector("text=25 kg is more than a mouse is likely to weigh")
    page.click("text=Use 25 g")
    page.wait_for_selector("text=No answer yet: Which drugs were given, or none?")
    assert page.evaluate("document.activeElement.id") == "id_weight_kg"
    page.check("#id_no_drugs")
    page.wait_for_selector("svg[aria-label^='Levels when the agent is turned off']:visible")
    assert "Preparation, 0 min to 5 min" in page.inner_text("#plan-spoken")
    assert wrong() == []

    page.locator("#plan-answers .why summary").nth(1).click()
    page.fill("#id_minutes_1", "50")
    page.wait_for_selector("svg[aria-label*='after 55 min']:visible")
    assert page.locator("#plan-answers details[open]").count() == 1
    page.locator("#plan-form button.btn--go").dblclick()
    page.wait_for_selector(f"h1:has-text('Plan {name}')", state="attached")
    assert wrong() == []

    page.goto(f"{demo[0]}/day/")
    assert page.locator(f"article.case h3:has-text('{name}')").count() == 1


def test_two_plans_of_the_rabbit_stand_side_by_side_where_there_is_room(demo, tab):
    page, wrong = tab
    page.goto(f"{demo[0]}/day/")
    page.click("article:has(h3:has-text('Clover')) a:text-is('Plan')")
    page.wait_for_selector("#plan-form")
    page.click("text=Compare")
    page.wait_for_selector("#id_other_agent")
    page.select_option("#id_other_agent", "sevoflurane")
    page.click("main button:has-text('Compare')")
    page.wait_for_selector("text=agent: isoflurane, then sevoflurane")

    first, second = (
        page.locator(".pair--other .pair__s").nth(number).bounding_box() for number in (0, 1)
    )
    assert (first["y"] == second["y"]) is (page.viewport_size["width"] >= 820)
    assert wrong() == []
