"""The page of backups, and what Today says of them to leads."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from ullage.web.audit.models import AuditLine
from ullage.web.upkeep.models import BackupRule, UpkeepKind, UpkeepRun
from ullage.web.upkeep.selectors import backups_there, rule_now

pytestmark = [pytest.mark.web, pytest.mark.usefixtures("committed")]

PAGE = "/backups/"


def test_a_lead_makes_a_backup_and_tries_it(as_lead, filled):
    made = as_lead.post(reverse("upkeep:backup"), follow=True).content.decode()
    tried = as_lead.post(reverse("upkeep:drill"), follow=True).content.decode()

    assert "1 record with 33 lines; every chain holds." in made
    assert backups_there()[0].name in made
    assert "the database still holds them" in tried
    assert [one.said for one in AuditLine.objects.filter(kind="backup").order_by("number")] == [
        "Backup asked for",
        "Restore drill asked for",
    ]


def test_whoever_presses_again_at_once_gets_one(as_lead, filled):
    for _ in range(2):
        page = as_lead.post(reverse("upkeep:backup"), follow=True).content.decode()

    assert "less than a minute ago" in page
    assert len(backups_there()) == 1


def test_what_is_at_work_is_said_and_asked_for_again(as_lead, lead):
    UpkeepRun.objects.create(kind=UpkeepKind.BACKUP, asked_at=timezone.now(), by=lead)
    page = as_lead.get(PAGE).content.decode()

    assert "Backup at work." in page
    assert 'hx-trigger="every 3s"' in page
    assert (
        "is being made already"
        in as_lead.post(reverse("upkeep:backup"), follow=True).content.decode()
    )


def test_the_rule_is_kept_with_who_set_it(as_lead, lead):
    as_lead.post(reverse("upkeep:rule"), {"hour": "5", "keep_days": "30"})
    as_lead.post(reverse("upkeep:rule"), {"hour": "6", "keep_days": "30"})

    assert [one.hour for one in BackupRule.objects.order_by("pk")] == [5, 6]
    rule = rule_now()
    assert (rule.hour, rule.time_zone, rule.keep_days, rule.by) == (6, "Europe/London", 30, lead)
    assert "Set by Lena Leads" in as_lead.get(PAGE).content.decode()


@pytest.mark.parametrize(
    ("hour", "keep"),
    [("", "14"), ("-1", "14"), ("24", "14"), ("3", "0"), ("nan", "1e9"), ("3", "9" * 40)],
)
def test_a_rule_that_cannot_be_is_refused_with_a_sentence(as_lead, hour, keep):
    reply = as_lead.post(reverse("upkeep:rule"), {"hour": hour, "keep_days": keep})

    assert reply.status_code == 422
    assert not BackupRule.objects.exists()


def test_today_tells_a_lead_and_nobody_else(as_lead, as_operator, machine):
    ago = timezone.now() - timedelta(hours=50)
    UpkeepRun.objects.create(
        kind=UpkeepKind.BACKUP, asked_at=ago, ended_at=ago, is_fine=True, says="Word."
    )

    assert "The last backup is 2 days old." in as_lead.get("/").content.decode()
    assert "last backup" not in as_operator.get("/").content.decode()
    assert "The last backup is 2 days old." in as_lead.get(PAGE).content.decode()
