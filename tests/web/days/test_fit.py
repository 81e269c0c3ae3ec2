"""A plan on a machine that is not fit says so, is refused, and is offered another."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from ullage.answers import Verdict
from ullage.answers.readiness import Remark
from ullage.core.errors import RuleBroken
from ullage.web.days.models import CaseState, PlannedCase
from ullage.web.days.selectors import board_of, plan_page, print_data
from ullage.web.days.services import (
    case_add,
    case_begin,
    case_cancel,
    case_change,
    case_copy,
    case_restore,
    case_take,
    day_copy,
)
from ullage.web.machines.models import Machine
from ullage.web.machines.selectors import readiness_from
from ullage.web.machines.services import PartFacts, part_add, state_set

pytestmark = [pytest.mark.web, pytest.mark.usefixtures("unspoken")]


@pytest.fixture
def robin(site, room):
    return Machine.objects.create(site=site, room=room, name="Robin", system="T-piece", order=5)


@pytest.fixture
def out(machine, operator):
    state_set(thing=machine, to="out_of_use", by=operator, reason="Leak test failed")
    return machine


def test_no_case_is_planned_on_a_machine_out_of_use_and_another_is_named(
    site, operator, facts, out, robin
):
    with pytest.raises(
        RuleBroken, match=r"^Wren is out of use: Leak test failed\. Robin is fit and free then\.$"
    ):
        case_add(site=site, facts=facts(), by=operator)
    assert not PlannedCase.objects.exists()


def test_that_there_is_no_other_machine_is_said_too(site, operator, facts, out):
    with pytest.raises(RuleBroken, match="No other machine is fit and free then"):
        case_add(site=site, facts=facts(), by=operator)


def test_a_part_out_of_use_refuses_the_plan_with_its_reason(site, lead, facts, machine):
    said = PartFacts(name="Relief valve")
    valve = part_add(site=site, kind="relief_valve", said=said, by=lead, machine=machine)
    state_set(thing=valve, to="out_of_use", by=lead, reason="It sticks.")

    with pytest.raises(RuleBroken, match="Relief valve is out of use: It sticks"):
        case_add(site=site, facts=facts(), by=lead)


def test_a_machine_in_doubt_takes_a_case_and_says_so(site, today, operator, facts, machine, robin):
    state_set(thing=machine, to="in_doubt", by=operator, reason="It hisses")
    case = case_add(site=site, facts=facts(), by=operator)
    unfit = plan_page(site, today, timezone.now()).unfit[case.pk]

    assert unfit.answer.sentence == "Wren may be used with care: It hisses."
    assert unfit.instead.machine == robin


def test_what_is_planned_already_stays_and_can_still_be_corrected(operator, facts, case, out):
    changed = case_change(case=case, facts=facts(weight_kg=3.6), by=operator)

    assert changed.weight_kg == 3.6


def test_neither_change_nor_copy_nor_taking_back_brings_a_case_onto_it(
    operator, facts, case, out, robin, today
):
    taken = case_take(case=case, machine=robin, by=operator)
    with pytest.raises(RuleBroken, match="Wren is out of use"):
        case_change(case=taken, facts=facts(), by=operator)
    with pytest.raises(RuleBroken, match="Wren is out of use"):
        case_take(case=taken, machine=out, by=operator)

    PlannedCase.objects.update(machine=out)
    case = PlannedCase.objects.get()
    with pytest.raises(RuleBroken, match="Wren is out of use"):
        case_copy(case=case, to=today + timedelta(days=1), by=operator)
    case_cancel(case=case, by=operator)
    with pytest.raises(RuleBroken, match="Wren is out of use"):
        case_restore(case=case, by=operator)
    assert PlannedCase.objects.get().state == CaseState.CANCELLED


def test_a_day_is_copied_without_the_cases_of_a_machine_out_of_use(
    as_operator, operator, facts, case, robin, today
):
    site, machine = case.site, case.machine
    case_add(site=site, facts=facts(machine=robin, name="Sorrel"), by=operator)
    state_set(thing=machine, to="out_of_use", by=operator, reason="Leak test failed")
    tomorrow = today + timedelta(days=1)
    assert [one.name for one in day_copy(site=site, source=today, to=tomorrow, by=operator)] == [
        "Sorrel"
    ]

    reply = as_operator.post(
        reverse("days:copy", args=[tomorrow]), {"day": today.isoformat()}, follow=True
    )
    assert "One case was left out: the machine is out of use" in reply.content.decode()


def test_a_machine_that_is_busy_then_is_not_offered(site, operator, facts, case, robin, machine):
    case_add(site=site, facts=facts(machine=robin, name="Sorrel"), by=operator)
    heron = Machine.objects.create(site=site, name="Heron", system="Circle", order=1)
    state_set(thing=machine, to="out_of_use", by=operator, reason="Leak test failed")

    with pytest.raises(RuleBroken, match="Heron is fit and free then; its system is Circle"):
        case_add(site=site, facts=facts(name="Tansy"), by=operator)
    state_set(thing=heron, to="out_of_use", by=operator, reason="No absorbent")
    with pytest.raises(RuleBroken, match="No other machine"):
        case_add(site=site, facts=facts(name="Tansy"), by=operator)


def test_the_same_system_is_offered_before_another_one(site, operator, facts, out, robin):
    Machine.objects.create(site=site, room=out.room, name="Heron", system="Circle", order=0)

    with pytest.raises(RuleBroken, match="Robin is fit"):
        case_add(site=site, facts=facts(), by=operator)


def test_a_machine_of_another_site_is_neither_offered_nor_taken(
    as_operator, operator, case, out, other_site
):
    grebe = Machine.objects.create(site=other_site, name="Grebe", system="T-piece")
    with pytest.raises(RuleBroken, match="is no machine of Fennel Lane"):
        case_take(case=case, machine=grebe, by=operator)
    url = reverse("days:take", args=[case.code])
    for sent in (str(grebe.code), "nonsense", ""):
        reply = as_operator.post(url, {"machine": sent}, follow=True)
        assert "Choose a machine of this site; nothing was changed." in reply.content.decode()
    case.refresh_from_db()
    assert case.machine == out


def test_a_case_that_runs_keeps_its_machine(operator, case, source, robin):
    case_begin(case=case, by=operator)

    with pytest.raises(RuleBroken, match="it keeps its machine"):
        case_take(case=case, machine=robin, by=operator)


def test_the_plan_offers_the_other_machine_with_one_touch(as_operator, case, out, robin, today):
    url = reverse("days:day", args=[today])
    shown = as_operator.get(url).content.decode()
    assert "Stop: Wren may not be used: Leak test failed." in shown
    assert "Plan it on Robin" in shown
    assert "First gas now" not in shown

    as_operator.post(reverse("days:take", args=[case.code]), {"machine": str(robin.code)})
    case.refresh_from_db()
    assert case.machine == robin
    after = as_operator.get(url).content.decode()
    assert "First gas now" in after
    assert "Plan it on" not in after


def test_the_form_refuses_offers_and_takes_the_other_machine(as_operator, out, robin, today):
    url = reverse("days:add", args=[today])
    typed = {
        "name": "Clover",
        "machine": str(out.pk),
        "starts": "13:30",
        "minutes_1": "60",
        "oxygen_l_min_1": "1.5",
    }
    offered = as_operator.get(url).content.decode()
    assert "Wren, Theatre 1: out of use" in offered

    refused = as_operator.post(url, typed)
    assert refused.status_code == 422
    shown = refused.content.decode()
    assert "Wren is out of use: Leak test failed." in shown
    assert f'name="machine_meant" value="{robin.pk}"' in shown
    assert 'value="Clover"' in shown

    as_operator.post(url, {**typed, "machine_meant": str(robin.pk)})
    assert PlannedCase.objects.get().machine == robin


@pytest.mark.parametrize("page", ["days:case", "days:plan_case"])
def test_the_pages_of_the_case_say_it_and_offer_the_other_machine(
    as_operator, case, out, robin, page
):
    shown = as_operator.get(reverse(page, args=[case.code])).content.decode()

    assert "Stop: Wren may not be used: Leak test failed." in shown
    assert "Plan it on Robin" in shown


def test_paper_says_it_too(site, today, case, out):
    (row,) = print_data(site, today, timezone.now())["cases"]

    assert "Wren may not be used: Leak test failed." in row["words"]


def test_today_says_the_readiness_of_every_machine_with_its_reason(
    as_viewer, today, reading, keep, robin, case
):
    site = case.site

    def speaker(machines, now):
        passed = Remark(about="check", verdict=Verdict.FINE, sentence="Checked at 08:40.")
        return {one.pk: [passed] for one in machines}

    keep()
    readiness_from(speaker)
    page = as_viewer.get(reverse("days:today")).content.decode()

    assert page.count("May be used: Checked at 08:40.") == 2
    assert board_of(site, today, timezone.now()).machines[0].verdict is Verdict.FINE


def test_a_machine_whose_check_waits_is_not_ready_on_today(site, today, case, reading, keep):
    def speaker(machines, now):
        waits = Remark(
            about="check", verdict=Verdict.NOT_YET, sentence="Not checked today.", todo="Check it."
        )
        return {one.pk: [waits] for one in machines}

    keep()
    readiness_from(speaker)
    found = board_of(site, today, timezone.now()).machines[0]

    assert (found.verdict, found.lead) == (Verdict.NOT_YET, "Check it.")
    assert found.more == "Not checked today."


@pytest.mark.parametrize(
    ("verdict", "said"),
    [
        (Verdict.NOT_YET, "Robin is free then and must be checked first."),
        (Verdict.LOOK_AGAIN, "Robin is free then and may be used with care."),
        (Verdict.STOP, "No other machine is fit and free then."),
    ],
)
def test_no_more_is_said_of_the_other_machine_than_is_known(
    operator, facts, out, robin, verdict, said
):
    site = out.site

    def speaker(machines, now):
        return {one.pk: [Remark(about="x", verdict=verdict, sentence="x.")] for one in machines}

    readiness_from(speaker)
    with pytest.raises(RuleBroken, match=said):
        case_add(site=site, facts=facts(), by=operator)


def test_what_a_check_leaves_to_watch_is_no_reason_to_move_a_case(site, today, case, robin):
    def speaker(machines, now):
        watch = Remark(about="check", verdict=Verdict.LOOK_AGAIN, sentence="Watch the gauge.")
        return {one.pk: [watch] for one in machines}

    readiness_from(speaker)
    assert plan_page(site, today, timezone.now()).unfit == {}


def test_words_of_a_reason_are_shown_as_words(as_viewer, operator, case, today, machine):
    state_set(thing=machine, to="in_doubt", by=operator, reason="<b>x</b>")

    assert "<b>x</b>" not in as_viewer.get(reverse("days:day", args=[today])).content.decode()
