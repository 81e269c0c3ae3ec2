"""People: the first account, those that a lead adds, new passwords, second factors taken away."""

from dataclasses import dataclass
from datetime import timedelta
from secrets import choice

from django.contrib.auth.hashers import check_password, make_password
from django.db import transaction
from django.db.models import F
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.models import FirstRunCode, User
from ullage.web.accounts.selectors import first_run_is_open, user_named
from ullage.web.accounts.services.sittings import sittings_end
from ullage.web.accounts.services.tries import tries_lift
from ullage.web.audit.services import Kind, audit_line, audit_person
from ullage.web.sites.selectors import Role, Site, memberships_of, role_may
from ullage.web.sites.services import member_add, site_add

__all__ = [
    "ONE_TIME_DAYS",
    "WRONG_TRIES",
    "NewPerson",
    "account_let_in",
    "factors_reset",
    "first_account_add",
    "first_run_check",
    "first_run_code_new",
    "password_renew",
    "person_add",
    "person_change",
]

#: Letters and digits that are not mistaken for one another when read aloud or copied.
_CLEAR = "ABCDEFGHJKMNPQRSTVWXYZ23456789"
WRONG_TRIES = 10
ONE_TIME_DAYS = 14


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPerson:
    """What is typed of a person who gets an account."""

    username: str
    full_name: str
    initials: str = ""
    password: str = ""


def _groups(count: int, length: int = 4) -> str:
    """Random letters in groups; 4.9 bits a letter."""
    return "-".join("".join(choice(_CLEAR) for _ in range(length)) for _ in range(count))


@transaction.atomic
def first_run_code_new() -> str:
    """Make the code of the first run; an earlier one is void."""
    if not first_run_is_open():
        raise RuleBroken("There are accounts already; the first run is over.")
    FirstRunCode.objects.all().delete()
    code = _groups(2)
    FirstRunCode.objects.create(code_hash=make_password(_bare(code)))
    return code


def _bare(code: str) -> str:
    return "".join(letter for letter in code.upper() if letter.isalnum())


def first_run_check(code: str) -> FirstRunCode:
    """The code that was typed, if it is the one in the terminal; a wrong try is counted.

    Raises
    ------
    RuleBroken : no code was made, too many wrong tries, or another code.
    """
    kept = FirstRunCode.objects.order_by("-pk").first()
    if kept is None:
        raise RuleBroken("No code was made. Start the site with `ullage serve`: it prints one.")
    if kept.wrong_tries >= WRONG_TRIES:
        raise RuleBroken(
            "This code is void after too many wrong tries. "
            "Stop `ullage serve` and start it again: it prints a new one."
        )
    if not check_password(_bare(code), kept.code_hash):
        FirstRunCode.objects.filter(pk=kept.pk).update(wrong_tries=F("wrong_tries") + 1)
        raise RuleBroken("This is not the code in the terminal where `ullage serve` runs.")
    return kept


@transaction.atomic
def first_account_add(
    *, code: FirstRunCode, person: NewPerson, site_facts: dict[str, object]
) -> User:
    """Make the first account, a lead, and its site; the code is used up."""
    # The code is taken with the write: of two who send it at once, one gets the account.
    taken, _ = FirstRunCode.objects.filter(pk=code.pk).delete()
    if not taken or not first_run_is_open():
        raise RuleBroken("There are accounts already; the first run is over.")
    user = User.objects.create_user(
        username=person.username,
        password=person.password,
        full_name=person.full_name,
        initials=person.initials,
    )
    site = site_add(name=str(site_facts["name"]), **_without(site_facts, "name"))
    member_add(site=site, user=user, role=Role.LEAD, by=user)
    return user


def _without(facts: dict[str, object], name: str) -> dict[str, object]:
    return {key: value for key, value in facts.items() if key != name}


@transaction.atomic
def person_add(
    *, site: Site, person: NewPerson, role: Role, by: User | None = None
) -> tuple[User, str]:
    """Give a person a role here; a new one gets a one-time password, which is returned once.

    Who has an account already keeps it with its password, and nothing is returned.
    """
    known = user_named(person.username)
    if known is not None:
        member_add(site=site, user=known, role=role, by=by)
        return known, ""
    password = _groups(3)
    user = User.objects.create_user(
        username=person.username,
        password=password,
        full_name=person.full_name,
        initials=person.initials,
        one_time_until=timezone.now() + timedelta(days=ONE_TIME_DAYS),
    )
    member_add(site=site, user=user, role=role, by=by)
    return user, password


@transaction.atomic
def person_change(*, user: User, full_name: str, initials: str) -> None:
    """Change how a person is called."""
    user.full_name, user.initials = full_name, initials
    user.save(update_fields=["full_name", "initials"])


def _refuse_others(user: User, by: User) -> None:
    """Who manages one site must not take the account of somebody from another."""
    managed = {one.site_id for one in memberships_of(by) if role_may(one.role, "manage")}
    theirs = {one.site_id for one in memberships_of(user)}
    if not theirs <= managed:
        raise RuleBroken(
            f"{user} belongs to another site too. A lead of every site they belong to may do this."
        )


@transaction.atomic
def password_renew(*, user: User, by: User) -> str:
    """A new one-time password for a person; the old one is void and their sessions end at once.

    Raises
    ------
    RuleBroken : the person belongs to a site that the asker does not manage.
    """
    _refuse_others(user, by)
    password = _handed_out(user)
    audit_person(Kind.PASSWORD, user, f"A one-time password was handed to {user}.", by=by)
    return password


def _handed_out(user: User) -> str:
    password = _groups(3)
    user.set_password(password)
    user.one_time_until = timezone.now() + timedelta(days=ONE_TIME_DAYS)
    user.save(update_fields=["password", "password_is_short", "one_time_until"])
    tries_lift(user)
    sittings_end(user)
    return password


@transaction.atomic
def factors_reset(*, user: User, by: User) -> str:
    """Take away passkeys, authenticator app and recovery codes of a person who lost them.

    With them goes the password, because it may have been short beside them: a one-time password
    is handed out in its place. Their sessions end.

    Raises
    ------
    RuleBroken : there is none, or the person belongs to a site that the asker does not manage.
    """
    from allauth.mfa.models import Authenticator

    _refuse_others(user, by)
    gone, _ = Authenticator.objects.filter(user=user).delete()
    if not gone:
        raise RuleBroken(f"{user} has no second factor.")
    said = f"The second factors of {user} were taken away, a one-time password was handed out."
    audit_person(Kind.FACTOR, user, said, by=by)
    return _handed_out(user)


@transaction.atomic
def account_let_in(*, user: User, site: Site, by: User) -> bool:
    """Let somebody who typed wrongly too often try again at once; say whether they waited."""
    waited = bool(tries_lift(user))
    if waited:
        said = f"{user} may try again at once after wrong passwords."
        audit_line(Kind.PASSWORD, said, site=site, person=by)
    return waited
