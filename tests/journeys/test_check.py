"""The start of the day on a phone: ten steps, four of them measured, and every touch counted."""

import re

import pytest

from tools.shots import Account, faults, launch, serving, sign_in, watched

pytestmark = [pytest.mark.web, pytest.mark.journey]

MOST_TOUCHES = 25


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    with serving("demo", tmp_path_factory.mktemp("demo")) as (base, lines):
        printed = re.search(r"Password of every account: (\S+)", "\n".join(lines))
        yield base, Account("operator", printed[1])


class Hand:
    """One finger on a phone; keys of the phone's own keyboard count as touches too."""

    def __init__(self, page):
        self.page, self.touches = page, 0

    def touch(self, what):
        self.touches += 1
        self.page.locator(what).locator("visible=true").first.tap()

    def keys(self, text):
        for key in text:
            self.touches += 1
            self.page.keyboard.press(key)

    def good(self, title):
        self.at(title)
        self.touch("button[name=good][value=yes]")

    def at(self, title):
        self.page.wait_for_selector(f"#step h2:has-text('{title}')")

    def tile(self, field, words):
        self.touch(f"[data-for=id_{field}] button:text-is('{words}')")


def the_start_of_the_day(hand):
    """Every step of the list, as a good machine shows it."""
    hand.good("Self-inflating bag")
    hand.at("Reserve oxygen")
    hand.touch("#id_gauge_kpa")
    hand.keys("135")
    hand.touch("label:has-text('Yes')")
    hand.touch("text=Save the result")
    hand.good("Oxygen supply")
    hand.at("Oxygen-failure alarm")
    hand.touch("text=No animal is connected")
    hand.good("Oxygen-failure alarm")
    hand.at("suction bulb")
    hand.tile("flat_off_min", "10")
    hand.tile("flat_on_min", "10")
    hand.touch("text=Save the result")
    hand.good("Flowmeters")
    hand.at("Oxygen analyser")
    hand.tile("air_fraction", "21")
    hand.tile("oxygen_fraction", "97")
    hand.touch("text=Save the result")
    hand.at("Breathing system holds")
    hand.touch("text=No animal is connected")
    hand.tile("held_kpa", "30")
    hand.tile("held_flow_l_min", "100")
    hand.touch("text=Save the result")
    hand.good("caveng")
    hand.good("Relief valve open")


def test_the_start_of_the_day_takes_at_most_25_touches(demo):
    base, account = demo
    with launch() as browser:
        context = browser.new_context(viewport={"width": 390, "height": 800}, has_touch=True)
        page, said = watched(context)
        page.set_default_timeout(20_000)
        sign_in(page, base, account)
        page.goto(f"{base}/checks/")
        page.click("#Curlew a")
        hand = Hand(page)
        hand.touch("form[action$='/start_of_day/'] button")
        hand.at("Self-inflating bag")
        assert faults(page, said) == []
        the_start_of_the_day(hand)
        hand.touch("button:has-text('End the check')")

        page.wait_for_selector("text=May be used: 10 of 10 steps passed.")
        assert faults(page, said) == []
        assert page.locator(".chk .v--fine").count() == 10
        assert hand.touches <= MOST_TOUCHES
