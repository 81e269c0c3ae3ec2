"""Pages of the upkeep, for those who manage a site: backups, drills, and how all is."""

from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ullage.core.errors import RuleBroken
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest
from ullage.web.upkeep.forms import RuleForm
from ullage.web.upkeep.selectors import (
    UpkeepKind,
    backups_folder,
    backups_there,
    health,
    is_on_the_same_disk,
    rule_now,
    runs_of,
    runs_waiting,
    upkeep_warning,
)
from ullage.web.upkeep.services import rule_set, run_asked
from ullage.web.upkeep.tasks import run_upkeep

__all__ = ["backup_now", "backups", "drill_now", "rule"]

_SHOWN = 10


@require_GET
@at_site("manage")
def backups(request: SiteRequest) -> HttpResponse:
    """The backups there are, the last drills, and how the installation is."""
    now = timezone.now()
    known = {
        "warning": upkeep_warning(now),
        "rule": rule_now(),
        "files": backups_there()[:_SHOWN],
        "folder": backups_folder(),
        "is_same_disk": is_on_the_same_disk(),
        "backups": runs_of(UpkeepKind.BACKUP).exclude(ended_at=None)[:_SHOWN],
        "drills": runs_of(UpkeepKind.DRILL).exclude(ended_at=None)[:3],
        "restores": runs_of(UpkeepKind.RESTORE)[:3],
        "waiting": list(runs_waiting(now)),
        "health": list(health(now)),
    }
    return render(request, "upkeep/backups.html", known)


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("manage")
def rule(request: SiteRequest) -> HttpResponse:
    """When backups are made, and for how long each is kept."""
    is_now = rule_now()
    initial = {"hour": is_now.hour, "keep_days": is_now.keep_days}
    form = RuleForm(request.POST or None, site=request.site, initial=initial)
    if request.method == "POST" and form.is_valid():
        rule_set(**form.cleaned_data, site=request.site, by=request.user)
        messages.success(request, "The rule of backups: saved.")
        return redirect("upkeep:backups")
    known = {"form": form, "rule": is_now}
    return render(request, "upkeep/rule.html", known, status=422 if form.errors else 200)


@require_POST
@at_site("manage")
def backup_now(request: SiteRequest) -> HttpResponse:
    """Ask for a backup."""
    return _asked(request, UpkeepKind.BACKUP)


@require_POST
@at_site("manage")
def drill_now(request: SiteRequest) -> HttpResponse:
    """Ask for a restore drill."""
    return _asked(request, UpkeepKind.DRILL)


def _asked(request: SiteRequest, kind: UpkeepKind) -> HttpResponse:
    try:
        with transaction.atomic():
            run = run_asked(kind=kind, site=request.site, by=request.user)
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
    else:
        run_upkeep.enqueue(run.pk)
        messages.success(request, f"{kind.label}: asked for. What comes of it shows here.")
    return redirect("upkeep:backups")
