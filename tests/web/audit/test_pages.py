"""The page of the audit: for those who manage, filtered, as a table that is itself written down."""

import csv
from io import StringIO

import pytest
from django.db import connection
from django.urls import reverse

from ullage.web.audit.models import AuditLine
from ullage.web.audit.services import Kind, audit_line
from ullage.web.shared.append_only import unguard

pytestmark = [pytest.mark.web, pytest.mark.django_db]


@pytest.fixture
def lines(site, other_site, operator, lead, stranger):
    audit_line(Kind.READ, "The record of Clover.", site=site, person=operator)
    audit_line(Kind.EXPORT, "=cmd of Clover", site=site, person=lead)
    audit_line(Kind.READ, "The record of Juniper.", site=other_site, person=stranger)


def shown(client, asked=""):
    return client.get(reverse("audit:list") + asked).content.decode()


def test_a_lead_reads_what_was_done_at_this_site_alone(as_lead, lines):
    page = shown(as_lead)

    assert "The record of Clover." in page
    assert "Otto Reads (otto)" in page
    assert "Juniper" not in page


@pytest.mark.parametrize("name", ["audit:list", "audit:csv"])
def test_an_operator_is_not_let_in(as_operator, lines, name):
    assert as_operator.get(reverse(name)).status_code == 403


@pytest.mark.parametrize(
    ("asked", "is_there"),
    [
        ("?person=otto", True),
        ("?person=lena&kind=read", False),
        ("?kind=read", True),
        ("?kind=export", False),
        ("?day=2001-01-01", False),
    ],
)
def test_lines_are_found_by_person_kind_and_day(as_lead, lines, asked, is_there):
    assert ("The record of Clover." in shown(as_lead, asked)) is is_there


@pytest.mark.parametrize("asked", ["?day=tomorrow", "?kind=all", "?person=bob", "?person=%00"])
def test_what_cannot_be_asked_gets_a_sentence(as_lead, lines, asked):
    for name in ("audit:list", "audit:csv"):
        reply = as_lead.get(reverse(name) + asked)
        assert reply.status_code == 422
        assert "cannot be looked up" in reply.content.decode()


def test_the_table_holds_the_lines_no_formula_and_is_a_line_itself(as_lead, lines, site):
    reply = as_lead.get(reverse("audit:csv") + "?kind=export")
    rows = list(csv.DictReader(StringIO(reply.content.decode())))

    assert [row["said"] for row in rows] == ["'=cmd of Clover"]
    assert "attachment" in reply["Content-Disposition"]
    last = AuditLine.objects.filter(site=site).order_by("number").last()
    assert (last.kind, last.said) == ("export", "The audit as a table: 1 lines.")


def test_many_lines_come_page_by_page(as_lead, site, lead):
    for number in range(130):
        audit_line(Kind.READ, f"no {number}.", site=site, person=lead)

    assert "no 129." in shown(as_lead)
    assert "no 3." not in shown(as_lead)
    assert "no 3." in shown(as_lead, "?kind=read&page=2")
    assert "kind=read&amp;page=2" in shown(as_lead, "?kind=read")


def test_the_chain_is_checked_on_asking_and_the_check_is_a_line(as_lead, lines, site):
    as_lead.post(reverse("audit:verify"))
    assert "Every line fits the one before it." in shown(as_lead)

    unguard(connection, "audit_auditline")
    AuditLine.objects.filter(said__contains="Clover").update(said="nothing")
    reply = as_lead.post(reverse("audit:verify"), follow=True).content.decode()

    assert "shows something else than its text" in reply
    assert AuditLine.objects.filter(site=site, kind="verify").count() == 2
