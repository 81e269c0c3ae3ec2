"""The day on paper and the day as it is kept: read back from the file, with its times."""

import subprocess
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from ullage.answers import CAUTION_LINE, Verdict
from ullage.web.days.models import PlannedCase
from ullage.web.days.selectors import day_answers, day_subject
from ullage.web.days.services import day_ask, day_work
from ullage.web.supply.models import StoredAnswer
from ullage.web.supply.services import Worked, answers_store

pytestmark = pytest.mark.web


def words_on(pdf):
    read = subprocess.run(
        ["pdftotext", "-layout", "-", "-"],  # noqa: S607  # poppler-utils
        input=pdf,
        capture_output=True,
        check=True,
    )
    return " ".join(read.stdout.decode().split())


@pytest.fixture
def paper(as_viewer, today):
    def printed(client=None):
        return (client or as_viewer).get(reverse("days:pdf", args=[today]))

    return printed


def test_the_paper_says_what_the_page_says(paper, case, keep):
    keep(Verdict.LOOK_AGAIN)
    words = words_on(paper().content)

    # 10:30 and 20 + 75 + 15 minutes.
    assert "10:30 to 12:20" in words
    assert "Clover" in words
    assert "rabbit; 3.4 kg; T-piece" in words
    assert "procedure 1 h 15 min oxygen 1.7 L/min" in words
    assert "Fit a full one before Sorrel." in words
    assert CAUTION_LINE.split(".")[0] in words


def test_a_weight_that_is_missing_is_missing_on_paper(paper, case):
    PlannedCase.objects.update(weight_kg=None)

    assert "weight not given" in words_on(paper().content)


def test_what_was_cancelled_is_not_printed(paper, case):
    PlannedCase.objects.update(state="cancelled")

    assert "Clover" not in words_on(paper().content)


def test_the_paper_of_an_empty_day_is_a_page_with_its_caution(paper, site):
    reply = paper()

    assert reply["Content-Type"] == "application/pdf"
    assert reply.content.startswith(b"%PDF")
    assert CAUTION_LINE.split(".")[0] in words_on(reply.content)


def test_the_paper_names_its_day_in_the_file(paper, site, today):
    assert paper()["Content-Disposition"] == f'inline; filename="day-plan-{today}.pdf"'


def test_words_that_people_typed_are_only_words_on_paper(paper, case):
    PlannedCase.objects.update(name="#eval(1+1) *Clover* $x$ \\ <b>", system='"] #panic()')
    words = words_on(paper().content)

    assert "#eval(1+1)" in words
    assert "*Clover*" in words
    assert "#panic()" in words


def test_a_stranger_prints_their_own_day(paper, as_stranger, case, keep):
    keep()

    assert "Clover" not in words_on(paper(as_stranger).content)


@pytest.fixture
def kept(site, today):
    subject = day_subject(site, today)

    def store(at, **payload):
        answers_store(site=site, worked=Worked(subject=subject, payloads=payload), at=at)

    return store


def test_work_that_began_earlier_never_replaces_work_that_began_later(kept):
    now = timezone.now()
    kept(now, day={"sources": [], "unfed": [], "which": "later"})
    kept(now - timedelta(seconds=1), day={"sources": [], "unfed": [], "which": "earlier"})

    (row,) = StoredAnswer.objects.all()
    assert (row.payload["which"], row.worked_out_at) == ("later", now)


def test_work_of_the_same_moment_replaces_itself(kept):
    now = timezone.now()
    kept(now, day={"which": 1})
    kept(now, day={"which": 2})

    assert StoredAnswer.objects.get().payload["which"] == 2


def test_asking_does_not_make_what_is_kept_go_away(site, today, case, keep):
    keep()
    before = day_answers(site, today)
    day_ask(site=site, day=today)
    after = day_answers(site, today)

    assert after.is_stale
    assert not before.is_stale
    assert after.outlooks == before.outlooks
    assert after.worked_out_at == before.worked_out_at


def test_a_day_that_nobody_asked_about_has_no_answer_and_says_so(site, today):
    nothing = day_answers(site, today)

    assert nothing.outlooks == ()
    assert nothing.worked_out_at is None
    assert nothing.verdict is Verdict.NOT_YET


def test_the_answers_of_one_day_are_not_those_of_another(site, today, case, reading):
    day_work(site_pk=site.pk, day=today)

    assert day_answers(site, today).outlooks
    assert day_answers(site, today + timedelta(days=1)).outlooks == ()


def test_the_same_plan_worked_out_twice_gives_the_same_answers(site, today, case, reading):
    """Same seed, same draws; only the time of the work and what follows from now may differ."""
    PlannedCase.objects.update(starts_at=case.starts_at)
    day_work(site_pk=site.pk, day=today + timedelta(days=2))
    first = StoredAnswer.objects.get(kind="day").payload
    day_work(site_pk=site.pk, day=today + timedelta(days=2))
    second = StoredAnswer.objects.get(kind="day").payload

    for payload in (first, second):
        payload.pop("origin")
    assert first["seed"] is not None
    assert first == second


def answers_in(told):
    """Every answer that stands anywhere in what is kept."""
    if isinstance(told, dict):
        if {"sentence", "unit"} <= told.keys():
            yield told
        told = list(told.values())
    for one in told if isinstance(told, list) else ():
        yield from answers_in(one)


def test_every_number_that_is_kept_carries_its_unit_and_where_it_is_from(
    site, today, case, reading
):
    day_work(site_pk=site.pk, day=today)
    found = list(answers_in(StoredAnswer.objects.get(kind="day").payload))

    assert len(found) >= 4
    assert all(one["unit"] and one["sentence"].strip() for one in found)
    assert all(one["where_from"] for one in found if one["value"] is not None)


def test_every_number_that_is_kept_lies_in_its_band(site, today, case, reading):
    day_work(site_pk=site.pk, day=today)
    bands = [
        [one["low"], one["value"], one["high"]]
        for one in answers_in(StoredAnswer.objects.get(kind="day").payload)
    ]
    whole = [band for band in bands if None not in band]

    assert len(whole) >= 3
    assert all(band == sorted(band) for band in whole)


def test_the_board_gets_the_same_numbers_without_the_working(site, today, case, reading):
    day_work(site_pk=site.pk, day=today)
    whole, brief = day_answers(site, today), day_answers(site, today, "board")

    assert [one.verdict for one in brief.outlooks] == [one.verdict for one in whole.outlooks]
    for short, long in zip(brief.outlooks, whole.outlooks, strict=True):
        assert (short.left.value, short.left.low) == (long.left.value, long.left.low)
        assert short.left.steps == ()
    assert brief.worked_out_at == whole.worked_out_at
