"""Two people at one check, while a lead changes limits and lists: drawn, and step by step."""

import random
from uuid import uuid4

import pytest

from tests.web.checks.conftest import GOOD
from ullage.answers import Verdict
from ullage.answers.checks import check_list, list_to_mapping
from ullage.core.errors import InvalidQuantity, PlanUnreadable, RuleBroken, UnknownReference
from ullage.web.checks.models import Check, Entry, LimitChoice, ListVersion
from ullage.web.checks.selectors import (
    check_lines,
    limits_of,
    list_named,
    list_of,
    next_step,
    says_no_animal,
    versions_of,
)
from ullage.web.checks.services import (
    Given,
    check_begin,
    check_end,
    check_give_up,
    limit_choose,
    limit_write,
    list_change,
    no_animal_say,
    step_enter,
)
from ullage.web.machines.models import Machine, UseState
from ullage.web.machines.services import state_set

pytestmark = pytest.mark.web

KEY = "start_of_day"
CLOSING = "relief_open"
LEAKS = {"held_kpa": 2.942, "held_flow_l_min": 0.45}


@pytest.fixture
def second(person, site):
    return person("Olga Reads", site, "operator")


class Board:
    """What two people would keep of a check on a board: the last word on each step."""

    def __init__(self, check):
        self.steps = [one.key for one in list_of(check).steps]
        self.shuts = {one.key for one in list_of(check).steps if one.asks_no_animal}
        self.last, self.looked, self.written, self.is_shut = {}, set(), 0, False

    def enter(self, key, verdict):
        """A step was entered; who shuts the system opens it again."""
        self.last[key] = verdict
        self.looked.discard(key)
        self.written += 1
        if key in self.shuts and CLOSING in self.last:
            self.is_shut = True
        elif key == CLOSING:
            self.is_shut = False

    @property
    def verdict(self):
        """May not, not yet, or may be used; every step of this list is grave."""
        if Verdict.STOP in self.last.values():
            return Verdict.STOP
        done = set(self.steps) == set(self.last) and not self.is_shut
        return Verdict.FINE if done and set(self.last.values()) == {Verdict.FINE} else None


def a_step(board, check, dice, by):
    """One drawn step by one of the two; refused where nobody looked for an animal first."""
    key = dice.choice(board.steps)
    fails = key not in GOOD and dice.random() < 0.15
    values = {"good": False} if fails else GOOD.get(key, {"good": True})
    given = Given(values=values)
    if key in board.shuts and key not in board.looked:
        with pytest.raises(RuleBroken, match="First look and say that no animal is connected"):
            step_enter(check=check, key=key, given=given, by=by)
        if dice.random() < 0.5:
            no_animal_say(check=check, step=key, by=by, code=uuid4())
            board.looked.add(key)
            board.written += 1
        return
    entry = step_enter(check=check, key=key, given=given, by=by)
    # The same form again, as a slow line sends it, is the same entry.
    assert step_enter(check=check, key=key, given=given, by=by) == entry
    assert entry.verdict == (Verdict.STOP if fails else Verdict.FINE)
    board.enter(key, entry.verdict)


@pytest.mark.parametrize("seed", range(6))
def test_two_people_lose_nothing_and_the_end_is_what_stands_on_the_board(
    *, check, operator, second, leak_limit, seed
):
    dice = random.Random(seed)
    board = Board(check)
    for _ in range(45):
        by = dice.choice([operator, second])
        assert check_begin(machine=check.machine, key=KEY, by=by) == check
        a_step(board, check, dice, by)
        assert check.entries.count() == board.written
        assert {key for key in board.shuts if says_no_animal(check, key)} == board.looked
        unsaid = next((key for key in board.steps if key not in board.last), None)
        line = next_step(check_lines(check))
        assert (line.step.key if line else None) == unsaid
    if CLOSING not in board.last:
        with pytest.raises(RuleBroken, match="A check ends with its last step"):
            check_end(check=check, by=operator)
        return
    check_end(check=check, by=second)

    machine = Machine.objects.get(pk=check.machine_id)
    assert check.verdict == (board.verdict or Verdict.NOT_YET)
    assert (machine.state == UseState.OUT) == (board.verdict is Verdict.STOP)
    assert check.entries.count() == board.written


def test_both_stand_beside_what_they_entered(check, enter, operator, second):
    enter(check, "flowmeters", operator)
    enter(check, "oxygen_supply", second)
    enter(check, "flowmeters", second, good=False)
    told = {line.step.key: [one.by for one in line.entries] for line in check_lines(check)}

    assert told["flowmeters"] == [second, operator]  # the latest first
    assert told["oxygen_supply"] == [second]


def test_one_ends_it_and_the_other_is_told_that_a_new_one_must_be_begun(
    check, fill, leak_limit, operator, second
):
    check_end(check=fill(check), by=operator)
    late = Given(values={"good": True})

    for deed in (
        lambda: step_enter(check=check, key="flowmeters", given=late, by=second),
        lambda: no_animal_say(check=check, step="leak", by=second, code=uuid4()),
        lambda: check_end(check=check, by=second),
        lambda: check_give_up(check=check, reason="Late.", by=second),
    ):
        with pytest.raises(RuleBroken, match="This check has ended; begin a new one"):
            deed()
    assert Check.objects.get(pk=check.pk).ended_by == operator


def test_a_form_sent_before_the_end_and_again_after_it_is_still_its_entry(
    check, fill, enter, leak_limit, operator
):
    given = Given(values={"good": True})
    first = step_enter(check=check, key="flowmeters", given=given, by=operator)
    check_end(check=fill(check), by=operator)

    assert step_enter(check=check, key="flowmeters", given=given, by=operator) == first


def test_a_word_on_an_animal_holds_for_one_entry_of_its_own_step(check, operator):
    no_animal_say(check=check, step="leak", by=operator, code=uuid4())
    alarm = Given(values={"good": True})

    with pytest.raises(RuleBroken, match="First look"):
        step_enter(check=check, key="oxygen_failure_alarm", given=alarm, by=operator)
    step_enter(check=check, key="leak", given=Given(values=GOOD["leak"]), by=operator)
    with pytest.raises(RuleBroken, match="First look"):
        step_enter(check=check, key="leak", given=Given(values=GOOD["leak"]), by=operator)


# --- limits that change meanwhile ----------------------------------------------------------------


def test_an_entry_keeps_the_limit_of_its_moment_and_the_next_one_takes_the_new(
    check, enter, site, lead, leak_limit
):
    """250 mL/min: beyond a rule of 200 at the same pressure, inside one of 300."""
    limit_write(site=site, flow_l_min=0.2, at_kpa=2.942, by=lead, reason="Until the service.")
    leaks = {"held_kpa": 2.942, "held_flow_l_min": 0.25}
    first = enter(check, "leak", **leaks)
    limit_write(site=site, flow_l_min=0.3, at_kpa=2.942, by=lead, reason="The maker says so.")
    second = enter(check, "leak", **leaks)

    first.refresh_from_db()
    assert (first.verdict, second.verdict) == (Verdict.STOP, Verdict.FINE)
    assert "200 mL/min" in str(first.answer)
    assert "300 mL/min" in str(second.answer)


def test_every_choice_of_a_limit_is_kept_and_the_last_one_counts(site, lead, veterinarian):
    limit_choose(site=site, name="leak", choice="article_30", by=lead)
    limit_write(site=site, flow_l_min=0.1, at_kpa=3.0, by=veterinarian, reason="Mice.")
    assert limits_of(site)["leak"].key == "site"
    assert "Viktor Rules" in limits_of(site)["leak"].where_from.text
    limit_choose(site=site, name="leak", choice="article_30", by=lead)

    assert limits_of(site)["leak"].key == "article_30"
    assert LimitChoice.objects.count() == 3


def test_one_site_chooses_nothing_for_another(site, other_site, leak_limit):
    assert "leak" in limits_of(site)
    assert limits_of(other_site) == {}


@pytest.mark.parametrize("who", ["operator", "viewer"])
def test_limits_and_lists_are_not_set_by_a_small_role(request, site, who):
    by = request.getfixturevalue(who)
    sentence = "A lead or a veterinarian sets the lists and limits of a site"

    with pytest.raises(RuleBroken, match=sentence):
        limit_choose(site=site, name="leak", choice="article_30", by=by)
    with pytest.raises(RuleBroken, match=sentence):
        limit_write(site=site, flow_l_min=0.2, at_kpa=3.0, by=by, reason="Mine.")
    with pytest.raises(RuleBroken, match=sentence):
        list_change(site=site, key=KEY, written={}, reason="Mine.", by=by)
    assert not LimitChoice.objects.exists()


@pytest.mark.parametrize(
    ("flow", "kpa", "name"),
    [(-0.1, 3.0, "flow_l_min"), (0.1, 0.0, "at_kpa"), (float("nan"), 3.0, "flow_l_min")],
)
def test_a_limit_of_its_own_is_one_that_can_be(site, lead, flow, kpa, name):
    with pytest.raises(InvalidQuantity, match=name):
        limit_write(site=site, flow_l_min=flow, at_kpa=kpa, by=lead, reason="Ours.")
    assert not LimitChoice.objects.exists()


def test_a_limit_that_nobody_offers_and_one_without_a_source_are_refused(site, lead):
    with pytest.raises(RuleBroken, match="Choose one of the limits that stand side by side"):
        limit_choose(site=site, name="leak", choice="my uncle", by=lead)
    with pytest.raises(RuleBroken, match="Say where the limit comes from"):
        limit_write(site=site, flow_l_min=0.2, at_kpa=3.0, by=lead, reason=" ")
    with pytest.raises(UnknownReference, match="warmth"):
        limit_choose(site=site, name="warmth", choice="site", by=lead)


# --- lists that change meanwhile -----------------------------------------------------------------


@pytest.fixture
def reworded(site, lead):
    """The site words its start of day anew."""

    def change(title="Our morning", reason="Ours is shorter.", **more):
        written = {**list_to_mapping(check_list(KEY)), "title": title, **more}
        return list_change(site=site, key=KEY, written=written, reason=reason, by=lead)

    return change


def test_a_check_goes_on_with_the_list_it_was_begun_with(check, reworded, fill, operator, machine):
    version = reworded()
    assert check_begin(machine=machine, key=KEY, by=operator) == check
    check_give_up(check=check, reason="The list has changed.", by=operator)
    again = check_begin(machine=machine, key=KEY, by=operator)

    check.refresh_from_db()
    assert list_of(check).title == "Start of day"
    assert again.version == version
    assert list_of(again).title == "Our morning"


def test_versions_are_numbered_and_every_one_stays_readable(site, check, reworded, lead):
    reworded()
    reworded(title="Our mornings", reason="Two of them.")
    told = [(one.number, one.title, one.by, one.reason) for one in versions_of(site, KEY)]

    assert told == [
        (3, "Our mornings", lead, "Two of them."),
        (2, "Our morning", lead, "Ours is shorter."),
        (1, "Start of day", None, ""),
    ]
    assert list_named(site, KEY).list.title == "Our mornings"


def test_the_shipped_words_are_kept_before_they_are_changed(site, reworded):
    reworded()

    assert [one.number for one in versions_of(site, KEY)] == [2, 1]


@pytest.mark.parametrize(
    ("more", "raised", "sentence"),
    [
        ({"reason": "  "}, RuleBroken, "Say why the list changes"),
        ({"title": "Start of day"}, RuleBroken, "Nothing was changed; the list stays as it is"),
        ({"steps": []}, PlanUnreadable, "step"),
        ({"title": " "}, PlanUnreadable, "title"),
    ],
)
def test_a_list_that_cannot_be_leaves_the_old_one(site, reworded, more, raised, sentence):
    with pytest.raises(raised, match=sentence):
        reworded(**more)
    assert not ListVersion.objects.exists()
    assert list_named(site, KEY).list == check_list(KEY)


def test_a_list_without_its_leak_test_is_refused(site, reworded):
    steps = [one for one in list_to_mapping(check_list(KEY))["steps"] if one["step"] != "leak"]

    with pytest.raises(PlanUnreadable, match="Breathing system holds pressure"):
        reworded(steps=steps)
    assert not ListVersion.objects.exists()


def test_the_words_of_one_site_are_not_those_of_another(other_site, reworded):
    reworded()

    assert list_named(other_site, KEY).list == check_list(KEY)


def test_a_machine_that_leaks_comes_back_by_a_lead_and_a_new_check(
    *, check, enter, fill, leak_limit, machine, operator, second, lead
):
    """The whole way of a bad morning: failed, out of use, lifted, checked again, in use."""
    enter(check, "leak", operator, **LEAKS)
    check_end(check=fill(check), by=operator)
    machine.refresh_from_db()
    with pytest.raises(RuleBroken, match="can bring Wren back into use"):
        state_set(thing=machine, to=UseState.IN_USE, by=operator)
    state_set(thing=machine, to=UseState.IN_USE, by=lead)
    again = check_begin(machine=machine, key=KEY, by=second)
    check_end(check=fill(again, second), by=second)

    machine.refresh_from_db()
    assert (check.verdict, again.verdict) == (Verdict.STOP, Verdict.FINE)
    assert machine.state == UseState.IN_USE
    assert Entry.objects.filter(in_check=check, step="leak", word="step").count() == 1
