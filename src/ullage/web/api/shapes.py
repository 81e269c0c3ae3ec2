"""What goes in and out of the interface: names, kinds and limits of every part."""

from datetime import datetime
from typing import Literal
from uuid import UUID

from ninja import Field, Schema

from ullage.web.cases.services import MOST_AT_ONCE

__all__ = [
    "PROBLEMS",
    "EnrolIn",
    "EpochOut",
    "LineIn",
    "LineOut",
    "LinesOut",
    "NowOut",
    "Problem",
    "QueueIn",
    "QueueOut",
    "RecordOut",
    "RecordsOut",
    "ResultOut",
    "TabletOut",
    "TicketIn",
    "TicketOut",
]


class Problem(Schema):
    """Why something was not done, as a sentence."""

    says: str


#: The answers that every address may give instead of its own.
PROBLEMS: dict[int, type[Schema]] = dict.fromkeys((401, 403, 404, 413, 422, 423, 429, 503), Problem)


class LineIn(Schema):
    """One entry or amendment, worded on the device; the three parts are kept as they are sent."""

    word: str
    signature: str = ""
    ticket: str = ""


class QueueIn(Schema):
    """What a device has waiting, in the order in which it was written."""

    tablet: UUID | None = None
    sent_at: str = ""
    lines: list[LineIn] = Field(..., max_length=MOST_AT_ONCE)


class ResultOut(Schema):
    """What became of one line.

    taken: it stands in its record. again: it stood there already. kept: it stands under "not taken"
    until a lead has settled it. waits: nothing was kept; sign in and send it again.
    """

    id: str
    outcome: Literal["taken", "again", "kept", "waits"]
    order: int
    says: str
    asks: str


class QueueOut(Schema):
    """What became of each line, in the order sent."""

    server_at: datetime
    epoch: UUID
    results: list[ResultOut]


class TicketIn(Schema):
    """Which device asks; none where it is not enrolled."""

    tablet: UUID | None = None


class TicketOut(Schema):
    """That a person is signed in at a device, from when until when."""

    ticket: str
    author: str
    begins: datetime = Field(..., serialization_alias="from")
    until: datetime


class EnrolIn(Schema):
    """A device with its public key (JWK); ``tablet`` is the code that it had before a restore."""

    name: str
    public_key: dict[str, object]
    tablet: UUID | None = None


class TabletOut(Schema):
    """A device as it is enrolled."""

    tablet: UUID
    name: str
    site: str


class EpochOut(Schema):
    """The name of this database and the time of the server; a restored database has another."""

    server_at: datetime
    epoch: UUID


class RecordOut(Schema):
    """One record: whose it is, where the case is in its life, and how far the record goes.

    ``facts`` are the newest of each name.
    """

    code: UUID
    number: str
    name: str
    species: str
    machine: str
    site: str
    state: str
    opened_at: datetime
    began_at: datetime | None
    closed_at: datetime | None
    count: int
    head: str
    facts: dict[str, str] = {}


class RecordsOut(Schema):
    """Records of one site, the newest first, and whether there are more after them."""

    site: str
    records: list[RecordOut]
    more: bool


class LineOut(Schema):
    """One line of a record: its fixed text, and its fingerprint, which binds all before it."""

    order: int
    text: str
    fingerprint: str


class LinesOut(Schema):
    """Lines of a record in their order, and whether there are more after them."""

    record: UUID
    count: int
    head: str
    lines: list[LineOut]
    more: bool


class AnswerOut(Schema):
    """An answer with its band, verdict, reasons and where it comes from."""

    question: str
    text: str
    value: float | None
    low: float | None
    high: float | None
    unit: str
    sentence: str
    verdict: str | None
    todo: str
    settles: str
    reasons: list[str]
    assumptions: list[str]
    cautions: list[str]
    where_from: list[dict[str, str]]


class WarningOut(Schema):
    """One warning that stands now; a question where it rests on no entry."""

    warning: str
    cause: str
    says: str
    todo: str
    since: datetime
    is_question: bool
    verdict: str


class LastOut(Schema):
    """The last entry of one variable, as it was typed."""

    entry: str
    typed: str
    number: str
    unit: str
    observed: datetime


class NowOut(Schema):
    """What is reckoned of a running case at one moment."""

    record: UUID
    count: int
    at: datetime
    animal: str
    running_min: float | None
    due: AnswerOut | None
    due_at: datetime | None
    oxygen_left: AnswerOut | None
    fluids: AnswerOut
    warnings: list[WarningOut]
    last: dict[str, LastOut]
    caution: str
