"""Each page as it is sent: its guards, its caution, its names, its labels."""

import re

import pytest

from tests.web.addresses.doors import DOORS
from tests.web.addresses.records_doors import RECORDS_FILES

pytestmark = [pytest.mark.web, pytest.mark.django_db]

GETS = [one.name for one in DOORS if one.get is not None]
FILES = {"days:pdf", "days:sheet", "days:case_sheet", "supply:labels_pdf"}
FILES |= {"service:machine_pdf", "service:file", "checks:file", "cases:file"}
FILES |= {"cases:head", "cases:stream"} | RECORDS_FILES
FILES |= {"stock:order_csv", "stock:order_pdf", "audit:csv"}
PARTS = {"supply:answers", "days:case_answers"}
PARTS |= {"cases:live", "cases:levels", "cases:changes", "cases:oxygen"}
PAGES = [one.name for one in DOORS if one.get == 200 and one.name not in FILES | PARTS]

#: Pages for a screen that is locked name nobody, not even the site.
NAMELESS = {"cases:pad"}


@pytest.fixture
def page(seen, name):
    return seen[name].content.decode()


@pytest.mark.parametrize("name", GETS)
def test_every_reply_wears_its_guards(seen, name):
    reply = seen[name]
    policy = reply["Content-Security-Policy"]

    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert reply["X-Content-Type-Options"] == "nosniff"
    assert reply["X-Frame-Options"] == "DENY"
    assert reply["Referrer-Policy"] == "same-origin"


@pytest.mark.parametrize("name", GETS)
def test_no_reply_is_one_that_others_between_may_keep(seen, name):
    reply = seen[name]

    assert "public" not in reply.get("Cache-Control", "")
    assert "Cookie" in reply["Vary"]


@pytest.mark.parametrize("name", ["accounts:person_add"])
def test_a_page_that_hands_out_passwords_is_not_kept(seen, name):
    assert "no-store" in seen[name]["Cache-Control"]


@pytest.mark.parametrize("name", [one for one in PAGES if one not in NAMELESS])
def test_every_page_carries_the_caution_and_the_site(page):
    assert "Decision support for trained people" in page
    assert "Fennel Lane" in page


@pytest.mark.parametrize("name", [*PAGES, *sorted(PARTS)])
def test_no_page_needs_what_the_policy_blocks(page):
    assert not re.search(r"<[^>]+\sstyle=", page)
    assert not re.search(r"<script(?![^>]*\bsrc=)", page)
    assert not re.search(r"\son(click|load|submit|change|input)=", page)
    assert not re.search(r"(src|href)=\"(https?:)?//", page)


@pytest.mark.parametrize("name", PAGES)
def test_every_page_has_one_heading_and_a_title_of_its_own(page):
    assert len(re.findall(r"<h1[\s>]", page)) == 1
    assert re.search(r"<title>[^<]*\S[^<]*</title>", page)


def test_no_two_pages_share_a_title(seen):
    titles = [re.search(r"<title>([^<]*)</title>", seen[one].content.decode())[1] for one in PAGES]

    assert len(set(titles)) == len(titles)


@pytest.mark.parametrize("name", [*PAGES, *sorted(PARTS)])
def test_no_name_stands_twice_in_a_page(page):
    ids = re.findall(r"\sid=\"([^\"]+)\"", page)

    assert sorted(ids) == sorted(set(ids))


@pytest.mark.parametrize("name", PAGES)
def test_what_a_label_or_a_sentence_points_at_is_there(page):
    ids = set(re.findall(r"\sid=\"([^\"]+)\"", page))
    pointed = re.findall(r"(?:\sfor|aria-describedby|aria-labelledby|\slist)=\"([^\"]+)\"", page)

    assert {one for some in pointed for one in some.split()} <= ids


@pytest.mark.parametrize("name", PAGES)
def test_every_entry_has_its_label(page):
    labelled = set(re.findall(r"<label[^>]*\sfor=\"([^\"]+)\"", page))
    inside = " ".join(re.findall(r"<label\b.*?</label>", page, re.DOTALL))

    for tag in re.findall(r"<(?:input|select|textarea)\b[^>]*>", page):
        if re.search(r"type=\"(hidden|submit)\"", tag):
            continue
        found = re.search(r"\sid=\"([^\"]+)\"", tag)
        is_labelled = found is not None and found[1] in labelled
        assert is_labelled or "aria-label" in tag or tag in inside, tag


@pytest.mark.parametrize("name", PAGES)
def test_every_button_and_link_says_what_it_does(page):
    for inner in re.findall(r"<(?:a|button)\b([^>]*>.*?)</(?:a|button)>", page, re.DOTALL):
        attributes, _, words = inner.partition(">")
        bare = re.sub(r"<[^>]+>", "", words).strip()
        assert bare or "aria-label" in attributes, inner[:120]
