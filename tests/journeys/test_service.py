"""In a real Chromium: an overdue vaporizer is tested, fails, goes out of use, is mended, passes."""

import re
from datetime import date

import pytest
from PIL import Image

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
        page.set_default_timeout(20_000)
        sign_in(page, base, account)
        yield page, lambda: faults(page, said)


def type_a_test(page, readings):
    page.fill("#id_temperature_k", "20")
    page.fill("#id_fresh_gas_l_min", "3000 mL/min")
    page.check("input[name=carrier][value=oxygen]", force=True)
    for number, (dial, measured) in enumerate(readings, start=1):
        page.fill(f"#id_dial_{number}", dial)
        page.fill(f"#id_measured_{number}", measured)
    page.fill("#id_done_on", date.today().isoformat())  # noqa: DTZ011  # the demo keeps this day
    page.fill("#id_done_by", "Bench of the workshop")


KEEP = "text=Keep the test and see what it comes to"


def fail_the_test(page, wrong):
    """A reading is missing at first; then the vaporizer gives too little, and goes out of use."""
    page.click("a:has-text('Test its output')")
    type_a_test(page, [("1", ""), ("2", "1.4")])
    page.click(KEEP)
    page.wait_for_selector("text=A dial setting and its reading belong together.")
    assert page.input_value("#id_done_by") == "Bench of the workshop"
    assert wrong() == []

    page.fill("#id_measured_1", "0.7")
    page.click(KEEP)
    page.wait_for_selector("text=is out of use: it is beyond the limit")
    assert "less than it says" in page.inner_text("main")
    assert wrong() == []


def write_the_repair(page, sticker):
    """What was done, with a picture of the sticker."""
    Image.new("RGB", (120, 60), "white").save(sticker)
    assert "Out of use" in page.inner_text("main")
    page.click("a:has-text('Write down what was done')")
    page.check("input[name=kind][value=repair]", force=True)
    page.fill("#id_done_on", date.today().isoformat())  # noqa: DTZ011  # the demo keeps this day
    page.fill("#id_done_by", "Bench of the workshop")
    page.set_input_files("#id_file", sticker)
    page.click("text=Keep it")
    page.wait_for_selector("text=SHA-256")


def test_an_overdue_vaporizer_fails_its_test_is_mended_and_passes(demo, tab, tmp_path):
    page, wrong = tab
    page.goto(f"{demo[0]}/service/")
    assert "overdue" in page.inner_text(".due-list li:first-child")
    assert wrong() == []

    page.click(".due-list li:first-child a")
    page.wait_for_url(re.compile(r"/service/part/[0-9a-f-]{36}/$"))
    vaporizer = page.url
    fail_the_test(page, wrong)

    page.goto(vaporizer)
    write_the_repair(page, tmp_path / "sticker.png")
    with page.expect_download() as handed_out:
        page.click("text=Download sticker.png")
    assert handed_out.value.suggested_filename == "sticker.png"
    assert wrong() == []

    page.goto(vaporizer)
    page.click("a:has-text('Test its output')")
    type_a_test(page, [("1", "1.02"), ("2", "2.0")])
    page.click(KEEP)
    page.wait_for_selector("text=Kept, with the day and your name.")
    page.goto(f"{demo[0]}/service/?when=overdue")
    assert "None like that." in page.inner_text("main")
    assert wrong() == []


def test_an_inspector_gets_one_page_and_a_calendar_its_address(demo, tab):
    page, wrong = tab
    page.goto(f"{demo[0]}/machines/")
    page.click("h2 a:has-text('Wren')")
    page.click("text=Service and papers")
    page.wait_for_selector("h2:has-text('Last checks')")
    assert "inspection-sticker.png" in page.inner_text("main")
    assert wrong() == []

    page.goto(f"{demo[0]}/service/calendar/")
    page.fill("#id_name", "Workshop tablet")
    page.click("button:has-text('Make it')")
    address = page.inner_text(".code")
    assert re.search(r"/service/calendar/[\w-]{43}\.ics$", address)
    assert wrong() == []
    read = page.request.get(address)
    assert read.text().startswith("BEGIN:VCALENDAR")
    page.click("button:has-text('Revoke')")
    page.wait_for_selector("text=whoever asks by it finds nothing")
    assert page.request.get(address).status == 404
