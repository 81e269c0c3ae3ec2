"""While the screen is locked the pad of a case is reached, without names and without history."""

import re

import pytest
from django.urls import reverse

pytestmark = [pytest.mark.web, pytest.mark.django_db]


def test_a_locked_screen_reaches_the_pad_and_the_pad_gives_nothing_away(as_operator, record):
    pad = reverse("cases:pad", args=[record.code])
    as_operator.post(reverse("accounts:lock"))
    lock_page = as_operator.get(reverse("accounts:locked"), {"next": pad}).content.decode()
    page = as_operator.get(pad)
    shown = page.content.decode()

    assert f'href="{pad}"' in lock_page
    assert page.status_code == 200
    assert not re.search(r"Otto|otto|Clover|Fennel Lane", shown)
    assert record.number in shown


@pytest.mark.parametrize("name", ["running", "live", "stream", "about"])
def test_the_pages_of_the_case_stay_behind_the_lock(as_operator, record, name):
    as_operator.post(reverse("accounts:lock"))

    there = as_operator.get(reverse(f"cases:{name}", args=[record.code]))
    assert there["Location"].startswith("/locked/")
