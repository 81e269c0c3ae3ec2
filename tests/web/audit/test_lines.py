"""The audit: lines are added, chained, and neither changed nor taken away."""

import threading

import pytest
from django.db import IntegrityError, connection, transaction
from django.test import RequestFactory

from tests.web.processes import alone, furnished, said
from ullage.web.audit.models import AuditLine
from ullage.web.audit.selectors import Wanted, breaks_of, lines_of
from ullage.web.audit.services import Kind, Seen, audit, audit_line, audit_person
from ullage.web.shared.append_only import unguard
from ullage.web.sites.models import Membership

pytestmark = [pytest.mark.web, pytest.mark.django_db]


def three(site, person):
    for word in ("one", "two", "three"):
        audit_line(Kind.READ, word, site=site, person=person)
    return list(AuditLine.objects.filter(site=site).order_by("number"))


def sql(text: str) -> None:
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(text)


def test_a_line_says_who_what_when_and_from_where(site, operator):
    line = audit_line(
        Kind.EXPORT,
        "A table of readings.",
        site=site,
        person=operator,
        about="case 7",
        seen=Seen(address="10.0.0.9", device="Firefox on Linux"),
    )
    kept = AuditLine.objects.get(pk=line.pk)

    assert (kept.number, kept.name, kept.said) == (1, "Otto Reads (otto)", "A table of readings.")
    assert (kept.about, kept.address, kept.device) == ("case 7", "10.0.0.9", "Firefox on Linux")
    assert '"said":"A table of readings."' in kept.text


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE audit_auditline SET said = 'nothing'",
        "UPDATE audit_auditline SET person_id = NULL",
        "DELETE FROM audit_auditline WHERE number = 2",
        "DELETE FROM audit_auditline",
    ],
)
def test_the_database_refuses_raw_sql_that_changes_or_deletes_a_line(site, operator, change):
    three(site, operator)
    before = list(AuditLine.objects.values_list())

    with pytest.raises(IntegrityError, match="never changed and never deleted"):
        sql(change)
    assert list(AuditLine.objects.values_list()) == before


def test_numbers_of_each_site_run_without_a_gap(site, other_site, operator):
    three(site, operator)
    three(other_site, operator)
    audit_line(Kind.SIGN_IN_FAILED, "nobody", site=None)

    for place, numbers in ((site, [1, 2, 3]), (other_site, [1, 2, 3]), (None, [1])):
        found = AuditLine.objects.filter(site=place).order_by("number")
        assert [one.number for one in found] == numbers
        assert not list(breaks_of(place))


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ("UPDATE audit_auditline SET said = 'else' WHERE number = 2", "Line 2 shows something"),
        ("UPDATE audit_auditline SET text = '{}' WHERE number = 2", "Line 2 does not fit"),
        ("DELETE FROM audit_auditline WHERE number = 2", "Line 2 is missing"),
        ("UPDATE audit_auditline SET number = number + 1 WHERE number = 3", "Line 3 is missing"),
    ],
)
def test_the_chain_finds_what_was_done_behind_the_guards(site, operator, change, says):
    three(site, operator)
    unguard(connection, "audit_auditline")
    sql(change)

    assert says in next(breaks_of(site))


def test_lines_cut_off_at_the_end_are_not_seen(site, operator):
    """What the chain alone cannot show; the threat model says so."""
    three(site, operator)
    unguard(connection, "audit_auditline")
    sql("DELETE FROM audit_auditline WHERE number = 3")

    assert not list(breaks_of(site))


def test_odd_signs_are_kept_as_text_that_every_database_takes(site):
    line = audit_line(Kind.READ, "a\x00b\ud800c\n=1+1" + "x" * 900, site=site)
    kept = AuditLine.objects.get(pk=line.pk)

    assert kept.said.startswith("a b?c =1+1")
    assert len(kept.said) == 400
    assert not list(breaks_of(site))


def test_what_concerns_a_person_stands_at_each_of_their_sites(site, other_site, operator, lead):
    Membership.objects.create(user=operator, site=other_site, role="viewer")
    audit_person(Kind.PASSWORD, operator, "A new one-time password.", by=lead)

    for place in (site, other_site):
        assert AuditLine.objects.get(site=place).name == "Lena Leads (lena)"


def test_a_request_brings_its_address_and_its_device(site, operator):
    agent = "Mozilla/5.0 (Linux; Android 14) AppleWebKit/537.36 Chrome/140.0 Safari/537.36"
    request = RequestFactory().get("/", headers={"User-Agent": agent}, REMOTE_ADDR="10.1.2.3")
    request.user, request.site = operator, site
    line = audit(request, Kind.PRINT, "A page.")

    assert (line.site, line.person, line.address) == (site, operator, "10.1.2.3")
    assert line.device == "Chrome on Android"


def test_a_site_does_not_see_the_lines_of_another(site, other_site, operator, stranger):
    three(site, operator)
    audit_line(Kind.READ, "theirs", site=other_site, person=stranger)

    assert {one.said for one in lines_of(other_site, Wanted())} == {"theirs"}


MANY = """
from ullage.web.audit.services import Kind, audit_line
from ullage.web.sites.models import Site
for _ in range(10):
    audit_line(Kind.READ, "at once", site=Site.objects.get())
"""
CHAIN = """
from ullage.web.audit.models import AuditLine
from ullage.web.audit.selectors import breaks_of
from ullage.web.sites.models import Site
print(list(AuditLine.objects.order_by("number").values_list("number", flat=True)))
print(list(breaks_of(Site.objects.get())))
"""


def test_programs_that_write_at_once_leave_one_chain_without_a_gap(tmp_path):
    make = "from ullage.web.sites.models import Site; Site.objects.create(name='Fennel Lane')"
    furnished(tmp_path, make)
    said([alone(tmp_path, MANY) for _ in range(3)])

    (found,) = said([alone(tmp_path, CHAIN)])
    assert found.splitlines() == [str(list(range(1, 31))), "[]"]


@pytest.mark.skipif(connection.vendor != "postgresql", reason="its own lock")
@pytest.mark.django_db(transaction=True)
def test_writers_at_once_on_postgresql_leave_one_chain_without_a_gap(site, operator):
    def write():
        for _ in range(5):
            audit_line(Kind.READ, "at once", site=site, person=operator)
        connection.close()

    writers = [threading.Thread(target=write) for _ in range(6)]
    for one in writers:
        one.start()
    for one in writers:
        one.join()

    found = AuditLine.objects.filter(site=site).order_by("number")
    assert [one.number for one in found] == list(range(1, 31))
    assert not list(breaks_of(site))
