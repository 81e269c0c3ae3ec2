"""From where somebody comes, in words: the browser and the device, as they say of themselves."""

import pytest
from django.test import RequestFactory

from ullage.web.shared.device import address_of, device_of

pytestmark = pytest.mark.web


def words(agent):
    headers = {} if agent is None else {"User-Agent": agent}
    return device_of(RequestFactory().get("/", headers=headers))


@pytest.mark.parametrize(
    ("agent", "said"),
    [
        ("Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Firefox/140.0", "Firefox on Linux"),
        ("Mozilla/5.0 (Windows NT 10.0) Chrome/140.0 Safari/537.36 Edg/140.0", "Edge on Windows"),
        ("Mozilla/5.0 (iPad; CPU OS 18_0) Version/18.0 Safari/604.1", "Safari on iPad"),
        ("Mozilla/5.0 (iPhone; CPU iPhone OS 18_0) CriOS/140.0 Safari/604.1", "Chrome on iPhone"),
        ("Mozilla/5.0 (Linux; Android 14) SamsungBrowser/27.0 Chrome/125.0 Safari/537.36",
         "Samsung browser on Android"),
        ("Mozilla/5.0 (X11; CrOS x86_64) Chrome/140.0 Safari/537.36", "Chrome on Chromebook"),
        ("Mozilla/5.0 (Macintosh) Version/18.0 Safari/605.1.15", "Safari on Mac"),
        ("Mozilla/5.0 (Macintosh) Chrome/140.0 Safari/537.36 OPR/120.0", "Opera on Mac"),
        ("Firefox", "Firefox"),
        ("a program on Linux", "Linux"),
        ("curl/8.0", "an unknown browser"),
        ("", "an unknown browser"),
        ("<script>alert(1)</script>", "an unknown browser"),
        ("Zoë 🐇", "an unknown browser"),
        (None, "an unknown browser"),
    ],
)  # fmt: skip
def test_a_device_is_named_in_words_and_never_by_what_it_sent(agent, said):
    assert words(agent) == said


@pytest.mark.parametrize(
    ("seen", "address"),
    [
        ("10.1.2.3", "10.1.2.3"),
        ("2001:db8::7", "2001:db8::7"),
        ("", ""),
        ("1" * 90, "1" * 64),
    ],
)
def test_the_address_is_the_one_that_the_server_sees(seen, address):
    assert address_of(RequestFactory().get("/", REMOTE_ADDR=seen)) == address


def test_what_a_request_says_of_its_own_address_is_not_believed():
    forged = {"X-Forwarded-For": "203.0.113.7", "X-Real-IP": "203.0.113.7"}

    assert address_of(RequestFactory().get("/", headers=forged, REMOTE_ADDR="10.1.2.3")) == (
        "10.1.2.3"
    )
