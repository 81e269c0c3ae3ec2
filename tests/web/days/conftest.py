"""A day with a case, a source with a cylinder, and answers as they are kept."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

import pytest
from django.utils import timezone

from ullage.answers import Answer, Verdict, WhereFrom
from ullage.answers.words import CLOCK
from ullage.web.days.models import PlannedCase
from ullage.web.days.selectors import day_subject
from ullage.web.days.services import CaseFacts, case_add
from ullage.web.days.services.working import brief
from ullage.web.supply.models import Cylinder, Reading, Source, StoredAnswer
from ullage.web.supply.services import Worked, answers_store

PHASES = [
    {"name": "Preparation", "minutes": 20.0, "oxygen_l_min": 1.7},
    {"name": "Procedure", "minutes": 75.0, "oxygen_l_min": 1.7, "air_l_min": 0.0},
    {"name": "Waking", "minutes": 15.0, "oxygen_l_min": 2.0},
]


@pytest.fixture
def unspoken(monkeypatch) -> None:
    """Of machines nobody speaks but their own state: no check, no service."""
    from ullage.web.machines.selectors import readiness

    monkeypatch.setattr(readiness, "_SPEAKERS", [])


@pytest.fixture
def today(site) -> date:
    from ullage.web.days.selectors import today_at

    return today_at(site)


@pytest.fixture
def at(site, today) -> Callable[..., datetime]:
    """A time of today on the clock of the site."""
    from zoneinfo import ZoneInfo

    def make(hour: int, minute: int = 0, day: date | None = None) -> datetime:
        naive = datetime.combine(day or today, datetime.min.time())
        local = naive.replace(hour=hour, minute=minute, tzinfo=ZoneInfo(site.time_zone))
        return local.astimezone(UTC)

    return make


@pytest.fixture
def facts(machine, at) -> Callable[..., CaseFacts]:
    def make(**changes: object) -> CaseFacts:
        known: dict[str, object] = {
            "name": "Clover",
            "machine": machine,
            "starts_at": at(10, 30),
            "phases": PHASES,
            "species": "rabbit",
            "weight_kg": 3.4,
            "system": "T-piece",
        }
        return CaseFacts(**{**known, **changes})

    return make


@pytest.fixture
def case(site, operator, facts) -> PlannedCase:
    return case_add(site=site, facts=facts(), by=operator)


@pytest.fixture
def source(site, room, machine) -> Source:
    made = Source.objects.create(site=site, room=room, name="Wall oxygen", kind="cylinder")
    made.machines.add(machine)
    return made


@pytest.fixture
def cylinder(site, room, source) -> Cylinder:
    return Cylinder.objects.create(
        site=site,
        room=room,
        source=source,
        name="Alder",
        size="E",
        water_capacity_l=4.7,
        fill_gauge_kpa=13_700.0,
        state="in_use",
        connected_at=timezone.now() - timedelta(days=2),
    )


@pytest.fixture
def reading(cylinder, operator) -> Reading:
    return Reading.objects.create(
        cylinder=cylinder,
        at=timezone.now() - timedelta(minutes=30),
        gauge_kpa=7100.0,
        typed="71 bar",
        by=operator,
    )


def answer(question: str, unit: str, value: float | None, **more: object) -> Answer:
    known: dict[str, object] = {
        "question": question,
        "unit": unit,
        "value": value,
        "sentence": "Said in one sentence.",
        "reasons": ("Because.",),
        "where_from": (WhereFrom(source="reading", how_known="reading", text="71 bar"),),
    }
    return Answer(**{**known, **more})


@pytest.fixture
def outlook_of() -> Callable[..., dict]:
    """What is kept of one source; verdict and times may be changed."""

    def make(name: str = "Wall oxygen", verdict: Verdict = Verdict.FINE, **changes: object) -> dict:
        until = answer(
            f"How long will {name} last?", CLOCK, 847.0, low=829.0, high=864.0,
            verdict=verdict, todo="Fit a full one before Sorrel.",
        )  # fmt: skip
        told = {
            "name": name,
            "kind": "cylinder",
            "gas": "oxygen",
            "feeds": ["Wren"],
            "verdict": verdict.value,
            "lasts_until": until.as_dict(),
            "lasts": answer("How long?", "min", 161.0, low=144.0, high=178.0).as_dict(),
            "left": answer("How much is left?", "L", 343.0, low=313.0, high=372.0).as_dict(),
            "needed": answer("How much does today need?", "L", 450.0).as_dict(),
            "left_at_end": None,
            "next_reading": None,
            "if_it_fails": None,
            "may_begin": None,
            "by_linear_rule": answer("By the linear rule?", "min", 150.0).as_dict(),
            "change_overs": [],
            "reading_times_min": [],
            "chances": [
                {
                    "case": "Clover",
                    "machine": "Wren",
                    "answer": answer("Clover's chance?", "%", 3.0).as_dict(),
                }
            ],
            "reserve_of": "",
        }
        return {**told, **changes}

    return make


@pytest.fixture
def keep_day(site, today) -> Callable[..., StoredAnswer]:
    """Keep the answers of today as if they had been worked out."""

    def make(*outlooks: dict, day: date | None = None, **changes: object) -> StoredAnswer:
        said = [one["verdict"] for one in outlooks]
        grave = next((one for one in ("Stop", "Look again", "Not yet") if one in said), "Fine")
        payload = {
            "draws": 4096,
            "seed": 1,
            "verdict": grave,
            "unfed": [],
            "unread": [],
            "sources": list(outlooks),
        }
        told = {**payload, **changes}
        subject = day_subject(site, day or today)
        now = timezone.now()
        answers_store(
            site=site,
            worked=Worked(subject=subject, payloads={"day": told, "board": brief(told)}),
            at=now,
        )
        return StoredAnswer.objects.get(subject=subject, kind="day")

    return make


@pytest.fixture
def keep(keep_day, outlook_of) -> Callable[..., StoredAnswer]:
    """Keep answers of one source for today, with a verdict."""

    def make(verdict: Verdict = Verdict.FINE) -> StoredAnswer:
        return keep_day(outlook_of(verdict=verdict))

    return make
