"""Pages of people: the first run, who works here, their roles, passwords and second factors."""

from typing import Any

from django.contrib import messages
from django.contrib.auth import login
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ullage.core.errors import RuleBroken
from ullage.web.accounts.forms import FirstRunForm, MeForm, PersonForm, RoleForm
from ullage.web.accounts.selectors import (
    User,
    factors_of,
    first_run_is_open,
    user_for,
    waiting_of,
)
from ullage.web.accounts.services import (
    ONE_TIME_DAYS,
    account_let_in,
    factors_reset,
    first_account_add,
    first_run_check,
    password_renew,
    person_add,
    person_change,
)
from ullage.web.shared.access import at_site
from ullage.web.shared.http import SiteRequest
from ullage.web.sites.selectors import Membership, Role, membership_at, people_of
from ullage.web.sites.services import member_remove, member_role_set

__all__ = [
    "add",
    "factors",
    "first_run",
    "forgotten",
    "let_in",
    "me",
    "one",
    "people",
    "remove",
    "renew",
]

_BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


@sensitive_post_parameters("password", "password_again", "code")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def first_run(request: HttpRequest) -> HttpResponse:
    """Make the first account and the first site; afterwards this page is gone."""
    if not first_run_is_open():
        raise Http404
    form = FirstRunForm(request.POST or None)
    user = _first_account(form) if request.method == "POST" and form.is_valid() else None
    if user is not None:
        login(request, user, backend=_BACKEND)
        return redirect("sites:welcome")
    status = 422 if form.errors else 200
    return render(request, "accounts/first_run.html", {"form": form}, status=status)


def _first_account(form: FirstRunForm) -> User | None:
    """The account, or None with the reason beside the code."""
    try:
        code = first_run_check(form.cleaned_data["code"])
        return first_account_add(code=code, person=form.person(), site_facts=form.site_facts())
    except RuleBroken as refusal:
        form.add_error("code", str(refusal))
        return None


@require_GET
def forgotten(request: HttpRequest) -> HttpResponse:
    """What to do when a password is forgotten: nothing is sent by mail."""
    return render(request, "accounts/forgotten.html")


@require_GET
@at_site("look")
def people(request: SiteRequest) -> HttpResponse:
    """Everybody at this site, with their role."""
    return render(request, "accounts/people.html", {"people": people_of(request.site)})


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@at_site("manage")
def add(request: SiteRequest) -> HttpResponse:
    """Add a person; their one-time password is shown once."""
    form = PersonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            user, password = person_add(
                site=request.site,
                person=form.person(),
                role=Role(form.cleaned_data["role"]),
                by=request.user,
            )
        except RuleBroken as refusal:
            form.add_error("username", str(refusal))
        else:
            return _handed_out(request, user, password)
    status = 422 if form.errors else 200
    return render(request, "accounts/person_add.html", {"form": form}, status=status)


def _handed_out(request: SiteRequest, user: User, password: str) -> HttpResponse:
    """Show a one-time password; who had an account already keeps theirs."""
    if not password:
        messages.success(request, f"{user} has an account already and now belongs here too.")
        return redirect("accounts:people")
    known: dict[str, Any] = {"person": user, "password": password, "days": ONE_TIME_DAYS}
    return render(request, "accounts/handed_out.html", known)


def _member(request: SiteRequest, username: str) -> Membership:
    return membership_at(user_for(username), request.site)


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("manage")
def one(request: SiteRequest, username: str) -> HttpResponse:
    """One person's role here."""
    member = _member(request, username)
    form = RoleForm(request.POST or None, initial={"role": member.role})
    if request.method == "POST" and form.is_valid():
        try:
            role = Role(form.cleaned_data["role"])
            member_role_set(membership=member, role=role, by=request.user)
        except RuleBroken as refusal:
            form.add_error("role", str(refusal))
        else:
            messages.success(request, f"{member.user} is now {member.get_role_display()}.")
            return redirect("accounts:people")
    status = 422 if form.errors else 200
    known = {
        "form": form,
        "member": member,
        "factors": factors_of(member.user),
        "waits": waiting_of([member.user]).get(member.user.pk),
    }
    return render(request, "accounts/person.html", known, status=status)


@never_cache
@require_POST
@at_site("manage")
def renew(request: SiteRequest, username: str) -> HttpResponse:
    """A new one-time password for a person who forgot theirs."""
    member = _member(request, username)
    try:
        password = password_renew(user=member.user, by=request.user)
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
        return redirect("accounts:person", username=username)
    return _handed_out(request, member.user, password)


@never_cache
@require_POST
@at_site("manage")
def factors(request: SiteRequest, username: str) -> HttpResponse:
    """Take away the second factors of a person who lost them; hand out a one-time password."""
    member = _member(request, username)
    try:
        password = factors_reset(user=member.user, by=request.user)
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
        return redirect("accounts:person", username=username)
    return _handed_out(request, member.user, password)


@require_POST
@at_site("manage")
def let_in(request: SiteRequest, username: str) -> HttpResponse:
    """Let somebody who typed wrongly too often try again at once."""
    member = _member(request, username)
    if account_let_in(user=member.user, site=request.site, by=request.user):
        messages.success(request, f"{member.user} may try again at once.")
    else:
        messages.info(request, f"{member.user} does not have to wait.")
    return redirect("accounts:person", username=username)


@require_POST
@at_site("manage")
def remove(request: SiteRequest, username: str) -> HttpResponse:
    """Let a person go from this site; what they recorded stays."""
    member = _member(request, username)
    try:
        member_remove(membership=member, by=request.user)
    except RuleBroken as refusal:
        messages.error(request, str(refusal))
        return redirect("accounts:person", username=username)
    messages.success(request, f"{member.user} no longer belongs to {request.site}.")
    return redirect("accounts:people")


@require_http_methods(["GET", "HEAD", "POST"])
@at_site("look")
def me(request: SiteRequest) -> HttpResponse:
    """How I am called."""
    known = {"full_name": request.user.full_name, "initials": request.user.initials}
    form = MeForm(request.POST or None, initial=known)
    if request.method == "POST" and form.is_valid():
        person_change(user=request.user, **form.cleaned_data)
        messages.success(request, "Saved.")
        return redirect("sites:more")
    status = 422 if form.errors else 200
    return render(request, "accounts/me.html", {"form": form}, status=status)
