"""A day in a real Chromium: the board, a case from slip to flows off, the catalogue."""

import re

import pytest

from tools.shots import Account, faults, launch, serving, sign_in, watched

pytestmark = [pytest.mark.web, pytest.mark.journey]


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    with serving("demo", tmp_path_factory.mktemp("demo")) as (base, lines):
        printed = re.search(r"Password of every account: (\S+)", "\n".join(lines))
        yield base, Account("lead", printed[1])


@pytest.fixture(scope="module")
def browser():
    with launch() as opened:
        yield opened


def tab_of(browser, demo, **more):
    base, account = demo
    context = browser.new_context(**{"viewport": {"width": 820, "height": 1000}, **more})
    page, said = watched(context)
    page.set_default_timeout(20_000)
    sign_in(page, base, account)
    return page, lambda: faults(page, said)


@pytest.fixture
def tab(browser, demo):
    page, wrong = tab_of(browser, demo)
    yield page, wrong
    page.context.close()


def type_a_case(page, name, weight):
    page.fill("#id_name", name)
    page.select_option("#id_machine", index=1)
    page.fill("#id_species", "rabbit")
    page.fill("#id_weight_kg", weight)
    page.fill("#id_starts", "16:30")
    page.fill("#id_minutes_1", "40 min")
    page.fill("#id_oxygen_l_min_1", "1700 mL/min")


@pytest.mark.parametrize(
    ("width", "scheme"), [(1280, "light"), (820, "dark"), (390, "dark"), (320, "light")]
)
def test_the_board_and_the_plan_have_no_fault(browser, demo, width, scheme):
    size = {"width": width, "height": 900}
    page, wrong = tab_of(browser, demo, viewport=size, color_scheme=scheme)
    assert "Fit a full one before Mice C-32." in page.inner_text(".next")
    assert wrong() == []

    page.click(f"nav.{'nav' if width > 900 else 'tabs'} >> text=Plan")
    page.wait_for_url(re.compile(r"/day/[\d-]+/$"))
    assert "Will the gas last the day?" in page.inner_text("main")
    assert wrong() == []
    page.context.close()


def test_a_case_goes_from_a_slip_of_the_pen_to_flows_off(demo, tab):
    page, wrong = tab
    page.goto(f"{demo[0]}/day/")
    page.click("text=Add a case")
    page.wait_for_url(re.compile(r"/add/$"))
    page.wait_for_selector("#id_name")
    assert wrong() == []

    type_a_case(page, "Figwort", "340")
    page.click("text=Add to the plan")
    page.wait_for_selector("text=Did you mean 3.4 kg?")
    assert page.input_value("#id_weight_kg") == "340"
    assert wrong() == []

    page.click("text=Use 3.4 kg")
    case = page.locator("article.case", has_text="Figwort")
    case.wait_for()
    assert "rabbit · 3.4 kg" in case.inner_text()
    assert "Procedure 40 min: oxygen 1.7 L/min" in case.inner_text()

    case.locator("text=First gas now").click()
    page.locator("article.case", has_text="Figwort").locator("text=Running").wait_for()
    page.locator("article.case", has_text="Figwort").locator("text=Flows off").click()
    page.locator("article.case", has_text="Figwort").locator("text=Done; flows off at").wait_for()
    assert wrong() == []


def test_a_cancelled_case_is_taken_back_without_a_script(browser, demo):
    page, _ = tab_of(browser, demo, java_script_enabled=False)
    page.goto(f"{demo[0]}/day/")
    page.click("text=Add a case")
    type_a_case(page, "Ragwort", "3.1")
    page.click("text=Add to the plan")

    page.locator("article.case", has_text="Ragwort").locator("text=Cancel case").click()
    assert "counts in no sum" in page.locator("article.case", has_text="Ragwort").inner_text()
    page.locator("article.case", has_text="Ragwort").locator("text=Take back").click()
    assert "Cancel case" in page.locator("article.case", has_text="Ragwort").inner_text()
    page.context.close()


def test_a_formula_runs_in_the_page_and_its_values_are_found(demo, tab):
    page, wrong = tab
    page.goto(f"{demo[0]}/catalogue/formula/contents_l/")
    page.fill("#id_water_capacity_l", "4.76")
    page.fill("#id_gauge_kpa", "1900 psi")
    page.fill("#id_temperature_k", "70 °F")
    page.click("text=Work it out")
    page.wait_for_selector(".ans__n >> text=659")
    assert wrong() == []

    page.goto(f"{demo[0]}/catalogue/values/")
    page.fill("#id_q", "oxygen flush")
    page.click("text=Find >> nth=-1")
    page.wait_for_selector("text=with “oxygen flush”")
    assert wrong() == []

    page.goto(f"{demo[0]}/catalogue/disagree/")
    assert wrong() == []
