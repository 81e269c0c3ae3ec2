"""Every page that is only looked at: for members of the site, by GET alone."""

from uuid import uuid4

import pytest
from django.urls import reverse

from ullage.web.supply.services import change_begin

pytestmark = pytest.mark.web

OF_A_CYLINDER = ["cylinder", "answers", "history", "chart"]
OF_A_SITE = ["list", "scan", "labels", "identify"]


@pytest.mark.parametrize("name", OF_A_CYLINDER)
def test_pages_of_a_cylinder_are_for_its_site_by_get(
    name, as_viewer, as_stranger, client, alder, read
):
    read(alder, 71)
    address = reverse(f"supply:{name}", kwargs={"code": alder.code})

    assert as_viewer.get(address).status_code == 200
    assert as_viewer.post(address).status_code == 405
    assert as_stranger.get(address).status_code == 404
    assert client.get(address).status_code == 302
    nobody = reverse(f"supply:{name}", kwargs={"code": uuid4()})
    assert as_viewer.get(nobody).status_code == 404


@pytest.mark.parametrize("name", OF_A_SITE)
def test_pages_of_a_site_are_for_members_by_get(name, as_viewer, client):
    address = reverse(f"supply:{name}")

    assert as_viewer.get(address).status_code == 200
    assert as_viewer.post(address).status_code == 405
    assert client.get(address).status_code == 302


@pytest.mark.parametrize("name", ["cylinder", "answers", "history", "chart"])
def test_a_person_of_two_sites_is_taken_to_the_site_of_the_label(
    name, as_stranger, stranger, site, alder, read
):
    site.memberships.create(user=stranger, role="viewer")
    read(alder, 71)
    reply = as_stranger.get(reverse(f"supply:{name}", kwargs={"code": alder.code}))

    assert reply.status_code == 200
    assert as_stranger.session["site"] == site.pk


def test_the_answers_come_alone_for_htmx(as_viewer, alder, read):
    read(alder, 71)
    text = as_viewer.get(reverse("supply:answers", kwargs={"code": alder.code})).content.decode()

    assert text.lstrip().startswith('<div id="answers"')
    assert "<html" not in text


@pytest.mark.parametrize("name", ["connect", "correct", "receive"])
def test_forms_are_shown_to_operators_only(name, as_operator, as_viewer, hazel):
    kwargs = {} if name == "receive" else {"code": hazel.code}
    address = reverse(f"supply:{name}", kwargs=kwargs)

    assert as_operator.get(address).status_code == 200
    assert as_viewer.get(address).status_code == 403
    assert as_operator.delete(address).status_code == 405


def test_a_change_cannot_begin_by_get_or_by_a_viewer(as_viewer, as_operator, source, alder):
    address = reverse("supply:change_begin", kwargs={"code": source.code})

    assert as_operator.get(address).status_code == 405
    assert as_viewer.post(address, {"old": str(alder.code)}).status_code == 403


def test_an_open_change_shows_on_both_cylinders(as_viewer, alder, hazel, source, operator):
    change = change_begin(source=source, old=alder, new=hazel, by=operator)
    for one in (alder, hazel):
        page = as_viewer.get(reverse("supply:cylinder", kwargs={"code": one.code}))
        assert "Go on with the change of cylinder" in page.content.decode()
    assert change.step == "animal"
