"""Lock, PIN and passkey in a real Chromium with a virtual device that holds the key."""

import re

import pytest

from tests.web.prepared import prepared
from tools.shots import faults, launch, serving, watched

pytestmark = [pytest.mark.web, pytest.mark.journey]

WORD = "plain gravel lantern"
DEVICE = {
    "protocol": "ctap2",
    "transport": "internal",
    "hasResidentKey": True,
    "hasUserVerification": True,
    "isUserVerified": True,
    "automaticPresenceSimulation": True,
}


@pytest.fixture(scope="module")
def browser():
    with launch() as opened:
        yield opened


@pytest.fixture(scope="module")
def base(tmp_path_factory, browser):
    """A site under a name, after its first run."""
    with serving("serve", prepared(tmp_path_factory.mktemp("passkey"))) as (number, lines):
        code = next(x.strip() for x in lines if re.fullmatch(r"  \w{4}-\w{4}", x))
        page = browser.new_page()
        page.goto(f"{number}/first-run/")
        typed = {"code": code, "full_name": "Rowan Hale", "username": "rowan", "name": "Fennel"}
        for name, value in {**typed, "password": WORD, "password_again": WORD}.items():
            page.fill(f"#id_{name}", value)
        page.click("main button.btn--go")
        page.wait_for_url("**/welcome/")
        page.close()
        yield number.replace("127.0.0.1", "localhost")


@pytest.fixture
def tab(browser):
    context = browser.new_context(viewport={"width": 390, "height": 800})
    page, said = watched(context)
    page.set_default_timeout(60_000)
    yield page, lambda: faults(page, said)
    context.close()


def device(page, *, verified=True):
    """A device that holds passkeys; ``verified``: its holder shows who they are."""
    session = page.context.new_cdp_session(page)
    session.send("WebAuthn.enable")
    options = {**DEVICE, "isUserVerified": verified}
    made = session.send("WebAuthn.addVirtualAuthenticator", {"options": options})
    return session, made["authenticatorId"]


def type_password(page, base):
    page.goto(f"{base}/accounts/login/")
    page.fill("#id_login", "rowan")
    page.fill("#id_password", WORD)
    page.press("#id_password", "Enter")
    page.wait_for_load_state()


def test_a_screen_that_nobody_touches_locks_and_a_pin_opens_it(base, tab):
    page, wrong = tab
    page.clock.install()
    type_password(page, base)
    page.goto(f"{base}/people/me/pin/")
    page.fill("#id_pin", "730419")
    page.fill("#id_pin_again", "730419")
    page.fill("#id_password", WORD)
    assert wrong() == []
    page.click("main .btn--go")
    page.wait_for_url("**/sign-in/")

    # Who goes on typing is not locked out, and the server hears of it.
    page.goto(f"{base}/people/me/")
    told = []
    page.on("request", lambda one: told.append(one) if one.url.endswith("/touch/") else None)
    for _ in range(7):
        page.press("#id_full_name", "a")
        page.clock.fast_forward(60_000)
    assert page.input_value("#id_full_name") == "aaaaaaaRowan Hale"
    assert page.inner_text("h1") == "How you are called"
    assert len(told) >= 5

    page.clock.fast_forward(6 * 60_000)
    page.wait_for_url("**/locked/**")
    assert "Rowan" not in page.content()
    assert wrong() == []
    for digit in "730419":
        page.click(f"[data-key='{digit}']")
    page.click("main .btn--go")
    page.wait_for_url(f"{base}/people/me/")


def leave(page, base):
    page.goto(f"{base}/accounts/logout/")
    page.click("main .btn--go")


def add_passkey(page, base, wrong):
    """The password once more, then the device; recovery codes are shown once."""
    page.goto(f"{base}/people/me/sign-in/")
    assert wrong() == []
    page.click("text=Add a passkey")
    page.fill("#id_password", WORD)
    page.press("#id_password", "Enter")
    page.wait_for_selector("[data-passkey=create]")
    assert wrong() == []
    page.fill("#id_name", "Own phone")
    page.click("[data-passkey=create]")
    page.wait_for_selector("text=shown only here and only now")
    assert wrong() == []
    page.click("text=I have kept them")
    assert "Own phone" in page.inner_text("main")


def unlock_by_passkey(page, base, wrong):
    """The lock hides names; the key opens it in one step."""
    page.goto(f"{base}/people/")
    page.click("button.lock")
    page.wait_for_url("**/locked/**")
    assert "Rowan" not in page.content()
    page.goto(f"{base}/people/")
    assert page.inner_text("h1") == "Locked"
    assert wrong() == []
    page.click("[data-passkey=get]")
    page.wait_for_url(f"{base}/people/")
    assert "Rowan Hale" in page.inner_text("main")


def test_a_passkey_from_its_making_to_the_lock(base, tab):
    page, wrong = tab
    session, key = device(page)
    type_password(page, base)
    add_passkey(page, base, wrong)

    leave(page, base)
    type_password(page, base)
    assert "The second step" in page.inner_text("h1")
    assert wrong() == []
    page.click("[data-passkey=get]")
    page.wait_for_url(f"{base}/")

    leave(page, base)
    page.goto(f"{base}/accounts/login/")
    page.click("[data-passkey=get]")
    page.wait_for_url(f"{base}/")
    assert wrong() == []

    unlock_by_passkey(page, base, wrong)

    # A device that does not ask who holds it is not believed.
    session.send("WebAuthn.setUserVerified", {"authenticatorId": key, "isUserVerified": False})
    page.click("button.lock")
    page.wait_for_url("**/locked/**")
    page.click("[data-passkey=get]")
    page.wait_for_function("document.querySelector('[data-passkey-said]').textContent !== ''")
    assert page.inner_text("h1") == "Locked"


def test_at_a_number_the_page_says_that_passkeys_need_a_name(base, tab):
    page, wrong = tab
    page.goto(base.replace("localhost", "127.0.0.1") + "/accounts/login/")

    assert page.locator("[data-passkey]").count() == 0
    assert wrong() == []
