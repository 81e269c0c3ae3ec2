"""The pad in a real Chromium: by keyboard and touch, asked about, amended, late, as a draft."""

import re
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from tests.journeys.pad_site import PadSite, Tablet
from tools.shots import faults, launch

pytestmark = [pytest.mark.web, pytest.mark.journey]

AWAITED_MS = 10_000


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    made = PadSite(tmp_path_factory.mktemp("pad"))
    made.start()
    yield made
    made.kill()


@pytest.fixture(scope="module")
def browser():
    with launch() as opened:
        yield opened


@pytest.fixture
def tablet(site, browser):
    """A tablet on which Ada has a running case open that no other test has."""
    with Tablet(browser, site) as made:
        made.sign_in("ada")
        made.open(site.record())
        yield made


def test_an_observation_goes_by_keyboard_alone(site, tablet):
    page = tablet.page
    page.focus("input[name=heart_rate]")
    for typed in ("120", "16", "", "84"):
        page.keyboard.type(typed)
        page.keyboard.press("Enter")
    page.focus("input[name=ventilation]")
    page.keyboard.press("2")
    page.keyboard.press("Control+Enter")
    tablet.await_said("4 entries kept on this device")
    tablet.await_shared()

    said = {one["what"]: (one["typed"], one["unit"]) for one in site.lines(tablet.record)}
    assert said == {
        "heart_rate": ("120 /min", "/min"),
        "respiratory_rate": ("16 /min", "/min"),
        "cuff_mean": ("84 mmHg", "mm[Hg]"),
        "ventilation": ("assisted by hand", ""),
    }
    assert page.input_value("input[name=heart_rate]") == ""
    assert faults(page, tablet.said) == []


def test_arrows_move_between_tiles_and_escape_leaves_one_as_it_was(tablet):
    page = tablet.page
    focused = "document.activeElement.name"
    page.focus("input[name=heart_rate]")
    page.keyboard.press("ArrowRight")
    assert page.evaluate(focused) == "respiratory_rate"
    page.keyboard.press("ArrowDown")
    below = page.evaluate(focused)
    assert below not in {"respiratory_rate", "heart_rate"}
    page.keyboard.press("ArrowUp")
    assert page.evaluate(focused) == "respiratory_rate"
    page.keyboard.type("99")
    page.keyboard.press("Escape")
    assert page.input_value("input[name=respiratory_rate]") == ""


def test_a_common_value_takes_two_touches(site, tablet):
    page = tablet.page
    tablet.observe(heart_rate="118")
    tablet.await_shared()
    tablet.open(tablet.record)
    assert page.input_value("input[name=heart_rate]") == ""

    page.click("input[name=heart_rate]")
    page.click(".common >> text=120")
    assert page.input_value("input[name=heart_rate]") == "120"
    assert page.evaluate("document.activeElement.name") == "respiratory_rate"
    page.click("[data-pad-keys] >> text=1 >> nth=0")
    page.click("[data-pad-keys] .pad >> text=5")
    tablet.save()
    tablet.await_shared()
    assert [one["typed"] for one in site.lines(tablet.record)] == [
        "118 /min",
        "120 /min",
        "15 /min",
    ]


def test_a_choice_is_one_touch_and_a_second_takes_it_back(tablet):
    page = tablet.page
    brisk = page.locator("input[name=eyelid][value=brisk]")
    brisk.click(force=True)
    assert brisk.is_checked()
    brisk.click(force=True)
    assert not brisk.is_checked()


def test_an_odd_value_is_kept_and_asked_about_and_amended(site, tablet):
    page = tablet.page
    tablet.observe(heart_rate="20")
    page.wait_for_selector("text=Is 20 /min what was meant?", timeout=AWAITED_MS)
    page.click("text=Amend it")
    page.fill("#amend-value", "120")
    page.click("dialog >> text='Amend'")
    assert "Say why" in page.inner_text("dialog")
    page.fill("#amend-reason", "finger slipped")
    page.keyboard.press("Enter")
    tablet.await_said("Amended.")
    tablet.await_shared()

    first, second = site.lines(tablet.record)
    assert (first["typed"], second["typed"], second["of"]) == ("20 /min", "120 /min", first["id"])
    assert (second["reason"], second["number"]) == ("finger slipped", "120")
    assert faults(page, tablet.said) == []


def test_an_entry_is_withdrawn_with_a_reason(site, tablet):
    page = tablet.page
    tablet.observe(heart_rate="130")
    tablet.await_shared()
    page.click("summary:has-text('Amend or withdraw')")
    page.click(".fold button")
    page.fill("#amend-reason", "another animal")
    page.click("text=Withdraw it")
    tablet.await_said("Withdrawn.")
    tablet.await_shared()
    assert site.lines(tablet.record)[-1]["withdrawn"] is True


def test_a_late_entry_has_the_time_at_which_it_was_seen(site, tablet):
    page = tablet.page
    seen = datetime.now(ZoneInfo("Europe/London")) - timedelta(minutes=12)
    page.fill("input[name=heart_rate]", "111")
    page.click("#observation >> text=Seen earlier")
    page.fill("#observation .when .inp input", f"{seen:%H:%M}")
    tablet.save()
    tablet.await_shared()
    found = datetime.fromisoformat(site.lines(tablet.record)[0]["times"]["observed"])
    assert found == seen.replace(second=0, microsecond=0)
    assert "late, written" in page.inner_text("[data-pad-list]")


def test_what_cannot_be_read_is_mended_before_anything_is_kept(site, tablet):
    page = tablet.page
    page.fill("input[name=heart_rate]", "abc")
    page.fill("input[name=respiratory_rate]", "15")
    page.click("text=Save observation")
    tablet.await_said("“abc” cannot be read")
    assert page.input_value("input[name=respiratory_rate]") == "15"
    assert site.lines(tablet.record) == []


def test_nothing_typed_keeps_nothing(site, tablet):
    tablet.page.click("text=Save observation")
    tablet.await_said("Nothing was typed.")
    assert site.lines(tablet.record) == []


def test_what_was_typed_and_not_saved_is_there_after_a_reload(site, tablet):
    page = tablet.page
    page.fill("input[name=heart_rate]", "117")
    page.reload()
    page.wait_for_selector("text=not saved", timeout=AWAITED_MS)
    assert page.input_value("input[name=heart_rate]") == "117"
    assert site.lines(tablet.record) == []
    tablet.save()
    tablet.await_shared()
    assert site.lines(tablet.record)[0]["typed"] == "117 /min"
    page.reload()
    assert page.input_value("input[name=heart_rate]") == ""
    assert not re.search("not saved", page.inner_text("#observation"))


def test_a_clock_that_runs_wrong_is_said_and_taken_out(site, tablet):
    page = tablet.page
    page.evaluate(
        """() => {
          const now = Date.now;
          Date.now = () => now() + 300_000;
          document.dispatchEvent(new Event("visibilitychange"));
        }"""
    )
    tablet.observe(heart_rate="120")
    page.wait_for_selector("text=The clock of this device runs 5 minutes ahead")
    assert "Set it right" in page.inner_text("[data-strip]")
    tablet.await_shared()
    tablet.observe(heart_rate="121")
    tablet.await_shared()
    taken = [one for one in site.lines(tablet.record) if one["typed"] == "121 /min"]
    assert len(taken) == 1
    ahead_s = (
        datetime.fromisoformat(taken[0]["times"]["observed"]) - datetime.now(UTC)
    ).total_seconds()
    assert abs(ahead_s) < 60.0
