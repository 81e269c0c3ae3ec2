"""Proof of a person: bound to who, where and what for; short-lived; taken once."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import AnonymousUser
from django.db import connection
from django.test import RequestFactory
from django.utils import timezone

from tests.web.processes import alone, furnished, said
from ullage.web.accounts.again import ProofForm
from ullage.web.accounts.models import Proof, Sitting, Tries
from ullage.web.accounts.services import NotProven, proof_new, proof_take, sitting_end
from ullage.web.audit.models import AuditLine

pytestmark = [pytest.mark.web, pytest.mark.django_db]

WORD = "a long enough word"
FOR = "Sign the record of Clover as written"


def sitting_for(user):
    now = timezone.now()
    return Sitting.objects.create(
        user=user, began_at=now, touched_at=now, session_key=f"k{user.pk}"
    )


@pytest.fixture
def here(operator):
    return sitting_for(operator)


@pytest.fixture
def code(operator, here):
    return proof_new(user=operator, sitting=here, purpose=FOR, method="password")


@pytest.fixture
def request_of(operator, here):
    request = RequestFactory().post("/")
    request.user, request.sitting, request.session = operator, here, {}
    return request


def form_of(request, **typed):
    return ProofForm(typed, request=request, purpose=FOR)


def test_a_proof_is_taken_once(operator, here, code):
    assert proof_take(code, user=operator, sitting=here, purpose=FOR) == "password"
    with pytest.raises(NotProven, match="Show again who you are"):
        proof_take(code, user=operator, sitting=here, purpose=FOR)


def test_it_serves_nobody_else_nowhere_else_and_for_nothing_else(operator, lead, here, code):
    known = {"user": operator, "sitting": here, "purpose": FOR}
    for other in (
        {"user": lead},
        {"sitting": sitting_for(operator)},
        {"purpose": "Sign the record of Juniper as written"},
    ):
        with pytest.raises(NotProven, match="Show again who you are"):
            proof_take(code, **{**known, **other})
    assert proof_take(code, **known) == "password"


@pytest.mark.parametrize("made_up", ["", "x", "0" * 43, "\x00", "ü\ud800"])
def test_a_made_up_code_proves_nothing(operator, here, code, made_up):
    with pytest.raises(NotProven, match="Show again who you are"):
        proof_take(made_up, user=operator, sitting=here, purpose=FOR)


def test_it_is_void_after_two_minutes_and_with_the_session(operator, here, code):
    Proof.objects.update(until=timezone.now() - timedelta(seconds=1))
    with pytest.raises(NotProven, match="Show again who you are"):
        proof_take(code, user=operator, sitting=here, purpose=FOR)
    Proof.objects.update(until=timezone.now() + timedelta(minutes=1))
    sitting_end(here)
    with pytest.raises(NotProven, match="Show again who you are"):
        proof_take(code, user=operator, sitting=here, purpose=FOR)


def test_the_code_itself_is_not_kept(code):
    with connection.cursor() as cursor:
        cursor.execute("SELECT digest FROM accounts_proof")
        assert code not in str(cursor.fetchall())


def test_the_right_password_gives_a_proof_and_a_line(request_of, operator, here, site):
    form = form_of(request_of, password=WORD)
    assert form.is_valid()
    proven = form.proof()

    assert proof_take(proven, user=operator, sitting=here, purpose=FOR) == "password"
    assert AuditLine.objects.get(site=site, kind="again").said == f"By password: {FOR}"


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({}, "Type your password, or use a passkey."),
        ({"password": "not the right word"}, "This is not your password."),
        ({"password": "x" * 5000}, "at most 4000"),
        ({"credential": "{}"}, "The passkey was not recognised."),
        ({"credential": "not json"}, "The passkey was not recognised."),
        ({"credential": '{"id":"AAAA","response":{}}'}, "The passkey was not recognised."),
        ({"credential": "[1]", "password": WORD}, "The passkey was not recognised."),
    ],
)
def test_whatever_else_comes_gets_a_sentence(request_of, typed, says):
    from allauth.core import context

    with context.request_context(request_of):
        form = form_of(request_of, **typed)
        assert not form.is_valid()
    assert says in str(form.errors)
    assert not Proof.objects.exists()


def test_wrong_passwords_have_to_wait_and_are_written_down(request_of, site):
    for _ in range(5):
        assert not form_of(request_of, password="not the right word").is_valid()
    form = form_of(request_of, password=WORD)

    assert not form.is_valid()
    assert "Too many wrong tries. Wait 1 minute" in str(form.errors)
    assert AuditLine.objects.filter(site=site, kind="again_failed").count() == 5
    Tries.objects.all().delete()
    assert form_of(request_of, password=WORD).is_valid()


def test_somebody_elsewhere_cannot_use_up_the_tries_here(request_of, operator):
    elsewhere = RequestFactory().post("/")
    elsewhere.user, elsewhere.sitting, elsewhere.session = operator, sitting_for(operator), {}
    for _ in range(8):
        form_of(elsewhere, password="not the right word").is_valid()

    assert form_of(request_of, password=WORD).is_valid()


def test_without_a_person_there_is_no_proof(request_of):
    request_of.user = AnonymousUser()

    assert not form_of(request_of, password=WORD).is_valid()


TAKE = """
import sys
from ullage.web.accounts.models import Sitting, User
from ullage.web.accounts.services import NotProven, proof_take
try:
    proof_take(sys.argv[1], user=User.objects.get(), sitting=Sitting.objects.get(), purpose="p")
    print("taken")
except NotProven:
    print("refused")
"""
MAKE = """
from django.utils import timezone
from ullage.web.accounts.models import Sitting, User
user = User.objects.create_user("otto")
now = timezone.now()
Sitting.objects.create(user=user, began_at=now, touched_at=now)
"""
PROVE = """
from ullage.web.accounts.models import Sitting, User
from ullage.web.accounts.services import proof_new
print(proof_new(user=User.objects.get(), sitting=Sitting.objects.get(), purpose="p", method="x"))
"""


def test_of_several_programs_that_take_one_proof_one_gets_it(tmp_path):
    furnished(tmp_path, MAKE)
    (code,) = said([alone(tmp_path, PROVE)])
    found = said([alone(tmp_path, TAKE, code.strip()) for _ in range(4)])

    assert sorted(one.strip() for one in found) == ["refused", "refused", "refused", "taken"]
