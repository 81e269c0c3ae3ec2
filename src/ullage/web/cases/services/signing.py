"""People sign records: asked again who they are, for what they saw."""

from dataclasses import dataclass

from django.db import transaction

from ullage.answers.record.things import Meaning
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import Sitting, User
from ullage.web.accounts.services import proof_take
from ullage.web.cases.models import Line, Record
from ullage.web.cases.services.chain import record_locked
from ullage.web.cases.services.life import record_sign

__all__ = ["Shown", "sign_purpose", "sign_record"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """That the person showed again who they are: the code of the proof, and at which device."""

    code: str
    sitting: Sitting


def sign_purpose(record: Record, meaning: Meaning, count: int) -> str:
    """For what somebody shows who they are: this record, as far as they saw it, with this meaning.

    What they read on the page is what is signed.
    """
    return f"Sign record {record.number} of {record.name} up to line {count}: {meaning.value}"


@transaction.atomic
def sign_record(*, record: Record, by: User, meaning: Meaning, count: int, shown: Shown) -> Line:
    """Write the signature of a person who was asked again just now, and sign the new head.

    Raises
    ------
    RuleBroken : the record went on since the person saw it, or the proof does not hold.
    """
    locked = record_locked(record)
    if locked.count != count:
        raise RuleBroken(
            f"The record went on to line {locked.count} since you opened this page. Look at what "
            "is new, then sign."
        )
    purpose = sign_purpose(locked, meaning, count)
    proof_take(shown.code, user=by, sitting=shown.sitting, purpose=purpose)
    return record_sign(record=locked, by=by, meaning=meaning)
