"""Lists as versions, limits as choices: the site decides, old results keep their own."""

import pytest
from django.urls import reverse

from ullage.answers.checks import check_list, list_to_mapping
from ullage.core.errors import PlanUnreadable, RuleBroken
from ullage.web.checks.models import LimitChoice, ListVersion
from ullage.web.checks.selectors import limits_of, list_of, shipped_or_own
from ullage.web.checks.services import check_begin, limit_write, list_change

pytestmark = pytest.mark.web

KEY = "start_of_day"


def without(*left):
    written = list_to_mapping(check_list(KEY))
    steps = [one for one in written["steps"] if one["step"] not in left]
    return written | {"steps": steps}


def test_an_edited_list_counts_from_then_on_and_old_checks_keep_theirs(
    site, machine, operator, lead
):
    before = check_begin(machine=machine, key=KEY, by=operator)
    list_change(site=site, key=KEY, written=without("flowmeters"), reason="Seen monthly.", by=lead)

    assert list_of(before).step("flowmeters") is not None
    assert shipped_or_own(site, KEY)[0].step("flowmeters") is None
    assert [one.number for one in ListVersion.objects.filter(key=KEY)] == [2, 1]


def test_a_list_without_a_required_step_is_refused_by_its_name(site, lead):
    with pytest.raises(PlanUnreadable, match=r"[Oo]xygen.analyser"):
        list_change(
            site=site, key=KEY, written=without("oxygen_analyser"), reason="None here.", by=lead
        )
    assert not ListVersion.objects.exists()


def test_who_may_not_rule_and_what_changes_nothing_write_no_version(site, operator, lead):
    for by, reason, said in (
        (operator, "Quicker.", "A lead or a veterinarian"),
        (lead, " ", "Say why"),
        (lead, "None.", "Nothing was changed"),
    ):
        with pytest.raises(RuleBroken, match=said):
            list_change(site=site, key=KEY, written=without(), reason=reason, by=by)
    assert not ListVersion.objects.filter(by__isnull=False).exists()


def _typed(*left, **more):
    steps = [one.key for one in check_list(KEY).steps if one.key not in left]
    return {"title": "Start of day", "when": "Each morning", "steps": steps, "reason": "", **more}


def test_a_lead_edits_a_list_on_its_page(as_lead, as_operator):
    at = reverse("checks:list_edit", args=[KEY])
    assert as_operator.get(at).status_code == 403
    own = {"own_title_1": "Torch works", "own_good_1": "Its light is bright."}

    assert as_lead.post(at, _typed("flowmeters")).status_code == 422
    half = as_lead.post(at, _typed(reason="Dark room.", own_title_1="Torch works"))
    assert "A step has a title and what good looks like." in half.content.decode()
    lacking = as_lead.post(at, _typed("leak", reason="Too long."))
    assert lacking.status_code == 422
    assert "leak" in lacking.content.decode().lower()
    assert as_lead.post(at, _typed("flowmeters", reason="Dark room.", **own)).status_code == 302

    shown = as_operator.get(reverse("checks:list", args=[KEY])).content.decode()
    assert "Torch works" in shown
    assert "Dark room." in shown


def test_a_list_says_what_it_leaves_out(as_viewer):
    shown = as_viewer.get(reverse("checks:list", args=[KEY])).content.decode()

    assert "What this list leaves out" in shown
    assert "before each case on a coaxial system" in shown
    assert as_viewer.get(reverse("checks:list", args=["evening"])).status_code == 404


def test_limits_stand_side_by_side_and_the_site_chooses(as_lead, as_operator, site):
    page = as_operator.get(reverse("checks:limits")).content.decode()
    assert "not set: a leak test reads Not yet" in page
    assert page.count("mL/min at") >= 4

    at = reverse("checks:limit", args=["leak"])
    assert as_operator.post(at, {"choice": "iso_30"}).status_code == 403
    assert as_lead.post(at, {"choice": "mine"}).status_code == 422
    assert as_lead.post(at, {"choice": "iso_30"}).status_code == 302
    assert limits_of(site)["leak"].high == pytest.approx(0.15)
    assert as_lead.post(reverse("checks:limit", args=["noise"]), {}).status_code == 404


def test_a_limit_of_ones_own_says_who_set_it_and_the_last_one_counts(as_lead, site, lead, operator):
    at = reverse("checks:own_leak")
    assert as_lead.post(at, {"flow_l_min": "200", "at_kpa": "30"}).status_code == 422
    typed = {"flow_l_min": "200", "at_kpa": "30", "reason": "Agreed in spring."}
    assert as_lead.post(at, typed).status_code == 302

    limit = limits_of(site)["leak"]
    assert (limit.high, limit.standing) == (pytest.approx(0.2), "site")
    assert "Agreed in spring" in limit.where_from.text
    with pytest.raises(RuleBroken, match="A lead or a veterinarian"):
        limit_write(site=site, flow_l_min=1.0, at_kpa=3.0, by=operator, reason="More.")
    assert LimitChoice.objects.count() == 1
