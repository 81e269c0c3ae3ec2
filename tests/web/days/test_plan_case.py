"""Plan a case: what is asked, what is answered, what is kept."""

import io
import re
import subprocess
from html import unescape
from pathlib import Path
from uuid import uuid4

import pikepdf
import pytest
from django.urls import reverse
from django.utils import timezone

from ullage.answers.casefile import case_from_toml
from ullage.web.days.forms import CaseForm
from ullage.web.days.models import PlannedCase
from ullage.web.days.selectors import CasePanel, plan_of
from ullage.web.days.services import CaseFacts, case_add, cases
from ullage.web.days.sheet import sheet_data
from ullage.web.machines.models import Machine
from ullage.web.shared.print import render_pdf

pytestmark = pytest.mark.web

EXAMPLES = Path(__file__).parents[3] / "examples"


@pytest.fixture
def typed(machine):
    return {
        "name": "Tansy",
        "species": "cat",
        "weight_kg": "4",
        "machine": str(machine.pk),
        "system": "T-piece",
        "starts": "10:30",
        "phase_0": "Preparation",
        "minutes_0": "15",
        "phase_1": "Procedure",
        "minutes_1": "45",
        "phase_2": "Waking",
        "minutes_2": "10",
        "agent": "isoflurane",
        "no_drugs": "on",
        "warmed": "yes",
        "co2_measured": "yes",
        "cautery": "no",
    }


@pytest.fixture
def new_url(today):
    return reverse("days:plan_new", args=[today])


@pytest.fixture
def aims(site):
    site.target_mac = 1.3
    site.save()


def answers(client, typed, **changes):
    return client.get(reverse("days:case_answers"), {**typed, **changes}).content.decode()


def test_the_form_starts_empty(as_operator, machine, new_url):
    page = as_operator.get(new_url).content.decode()

    assert 'name="weight_kg" maxlength="40" autocomplete="off" data-quantity="mass"' in page
    assert not re.search(r'name="(weight_kg|minutes_\d|oxygen_l_min_\d)"[^>]* value=', page)
    assert "Still to say: the species, the weight, the minutes of a phase, the agent." in page


def test_no_dial_before_the_drugs_are_said(as_operator, typed, aims):
    del typed["no_drugs"]
    page = answers(as_operator, typed)

    assert "No answer yet: Which drugs were given, or none?" in page
    assert "Vaporizer dial" not in page


def test_no_dial_before_the_site_has_said_its_multiple(as_operator, typed, new_url):
    page = answers(as_operator, typed)

    assert "Which multiple of MAC does the site aim at?" in page
    assert "Vaporizer dial" not in page
    words = "Your site has not set a multiple; a lead sets it under"
    assert words in as_operator.get(new_url).content.decode()


def test_dial_and_levels_come_with_their_ranges(as_operator, typed, aims):
    page = answers(as_operator, typed)

    assert "Vaporizer dial: " in page
    assert "Levels when the agent is turned off" in page
    assert "A T-piece suits 4 kg best." in page


def test_a_case_is_kept_with_its_plan_and_the_flows_of_the_rules(as_operator, typed, aims, new_url):
    reply = as_operator.post(new_url, typed)

    case = PlannedCase.objects.get()
    assert reply.status_code == 302
    assert (case.agent, case.drugs, case.planned["warmed"]) == ("isoflurane", [], True)
    # Teaching, reasonably safe: 250 mL/kg/min.
    assert [one["oxygen_l_min"] for one in case.phases] == pytest.approx([1.0, 1.0, 1.0])
    assert case.minutes == 70.0


def test_what_is_kept_is_what_is_shown_again(as_operator, typed, aims, new_url):
    as_operator.post(new_url, typed)
    page = as_operator.get(reverse("days:plan_case", args=[PlannedCase.objects.get().code]))

    text = page.content.decode()
    assert 'value="45"' in text
    assert 'name="oxygen_l_min_1" value=' not in text
    assert "Vaporizer dial: " in text


def test_the_same_form_sent_twice_plans_one_case(as_operator, typed, aims, new_url):
    typed["code"] = str(uuid4())
    as_operator.post(new_url, typed)
    as_operator.post(new_url, typed)
    as_operator.post(new_url, {**typed, "name": "Sorrel"})

    assert sorted(PlannedCase.objects.values_list("name", flat=True)) == ["Sorrel", "Tansy"]


def test_a_weight_of_25_kg_is_asked_about_for_a_mouse(as_operator, typed, aims):
    page = answers(as_operator, typed, species="mouse", weight_kg="25", system="nose cone")

    assert "25 kg is more than a mouse is likely to weigh" in page
    assert "Use 25 g" in page
    assert 'name="keep"' in page


def test_the_sheet_is_one_page(as_operator, typed, aims):
    reply = as_operator.get(reverse("days:sheet"), typed)

    with pikepdf.open(io.BytesIO(reply.content)) as pdf:
        assert len(pdf.pages) == 1


def test_two_plans_stand_side_by_side(as_operator, typed, aims):
    page = as_operator.get(
        reverse("days:compare"), {**typed, "other_agent": "sevoflurane"}
    ).content.decode()

    assert "agent: isoflurane, then sevoflurane" in page
    assert "more in the second" in page


def mac_in(page):
    return float(re.search(r"One MAC of isoflurane in the cat is ([\d.]+) %", page)[1])


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"vaporizer_for": "sevoflurane"}, "The vaporizer is made for sevoflurane"),
        ({"dial_fraction": "9"}, "A dial of 9 % is beyond the end of the vaporizer"),
        ({"oxygen_l_min_1": "1"}, "No fresh gas flows in Preparation"),
        ({"species": "rabbit", "agent": "enflurane"}, "No MAC of enflurane in the rabbit"),
        ({"weight_kg": "4 stone"}, "Weight:"),
        ({"weight_kg": "-4"}, "must be between 0.0005 and 5000 kg"),
        ({"weight_kg": "nan"}, "Weight:"),
        ({"dead_space_l": "-1"}, "must be between 0 and 2000 mL"),
        ({"minutes_1": "1e-9"}, "must be between 0.1 and 2880 min"),
        ({"drugs": "ketamine"}, "Say that none is given, or name them: not both."),
        ({"agent": "ether"}, "ether is not one of the available choices"),
        ({"machine": "999999"}, "999999 is not one of the available choices"),
    ],
)
def test_what_cannot_be_is_said_in_a_sentence(as_operator, typed, aims, changes, sentence):
    assert sentence in unescape(answers(as_operator, typed, **changes))


@pytest.mark.parametrize("day", ["", "never", "0001-01-01", "2026-02-31"])
def test_a_day_that_is_none_is_today(as_operator, typed, aims, day):
    assert "Vaporizer dial" in answers(as_operator, typed, day=day)


def test_nitrous_oxide_without_enough_oxygen_is_refused(as_operator, typed, aims):
    flows = {f"oxygen_l_min_{number}": "1" for number in range(3)}
    page = answers(as_operator, typed, **flows, nitrous_oxide_l_min_1="6")

    assert "oxygen beside nitrous oxide: give at least" in page


def test_a_species_without_its_own_values_says_from_which_they_are_borrowed(
    as_operator, typed, aims
):
    page = answers(as_operator, typed, species="sheep", weight_kg="50", system="circle")

    assert "four-group set, a proposal from memory" in page
    assert "as in the pig" in page


def test_a_missing_barometer_is_asked_for_and_what_is_typed_is_used(
    as_operator, site, typed, aims, new_url
):
    site.elevation_m = None
    site.save()

    assert "What does the barometer read?" in as_operator.get(new_url).content.decode()
    assert "Neither barometer nor elevation was given" in answers(as_operator, typed)
    page = answers(as_operator, typed, barometric_kpa="800")
    assert "Neither barometer nor elevation was given" not in page
    # Thinner air: one MAC is more per cent of it, 101.3 / 80 times as much.
    assert mac_in(page) == pytest.approx(mac_in(answers(as_operator, typed)) * 1.2666, rel=0.01)


def test_a_site_that_knows_its_air_is_not_asked(as_operator, machine, new_url):
    assert "What does the barometer read?" not in as_operator.get(new_url).content.decode()


def test_what_the_site_has_set_is_taken_and_said(as_operator, site, typed, aims):
    site.mac_overrides = {"cat, isoflurane": {"value": 0.02, "reason": "our own study"}}
    site.value_overrides = {"cat, tidal_l": {"value": 9.0, "reason": "our scale"}}
    site.flow_open_multiple = 3.0
    site.circle_from_kg = 5.0
    site.save()
    page = answers(as_operator, typed)

    assert "MAC set by the site" in page
    assert "Set by the site: tidal l" in page
    assert "Set by the site or for this case" in page
    assert "Circle from, set by the site" in page


def test_the_oxygen_is_that_of_the_source_of_the_machine(
    as_operator, typed, aims, reading, operator
):
    page = answers(as_operator, typed, starts="23:00")

    assert "Will the oxygen last?" in page
    assert "From first gas at 23:00 on, Wall oxygen lasts " in page
    assert "Contents of Wall oxygen during Tansy" in page


def test_without_a_source_it_says_what_is_missing(as_operator, typed, aims):
    page = answers(as_operator, typed)

    assert "No source with a reading feeds oxygen to Wren: fit one and read its gauge." in page
    assert "Choose a machine" in answers(as_operator, typed, machine="")


def test_a_plan_that_is_changed_keeps_what_was_said_before(as_operator, typed, aims, new_url):
    as_operator.post(new_url, typed)
    case = PlannedCase.objects.get()
    url = reverse("days:plan_case", args=[case.code])
    as_operator.post(url, {**typed, "agent": "sevoflurane", "no_drugs": "", "drugs": "ketamine"})

    case.refresh_from_db()
    assert (case.agent, case.drugs) == ("sevoflurane", ["ketamine"])
    page = as_operator.get(url).content.decode()
    assert "agent before: isoflurane" in page
    assert "drugs before: none" in page


def test_flows_that_cannot_be_worked_out_are_asked_for_before_it_is_kept(
    as_operator, typed, new_url
):
    del typed["weight_kg"]
    reply = as_operator.post(new_url, typed)

    assert reply.status_code == 422
    words = "No flow was typed and none can be worked out. Still to say: the weight."
    assert words in reply.content.decode()
    assert not PlannedCase.objects.exists()


def test_a_case_without_an_agent_is_kept_with_the_flows_that_were_typed(
    as_operator, typed, new_url
):
    as_operator.post(new_url, {**typed, "agent": "", "oxygen_l_min_1": "1.5"})

    assert PlannedCase.objects.get().phases[1]["oxygen_l_min"] == 1.5


def test_the_flows_of_a_circle_go_into_the_day_phase_by_phase(as_operator, typed, aims, new_url):
    pig = {"species": "pig", "weight_kg": "30", "system": "circle", "minutes_0": "20"}
    as_operator.post(new_url, {**typed, **pig})

    told = [
        (one["name"], one["minutes"], one["oxygen_l_min"])
        for one in PlannedCase.objects.get().phases
    ]
    # Change of depth 75, then 30 mL/kg/min: the tables of flows for circles.
    assert told == [
        ("Preparation", 10.0, pytest.approx(2.25)),
        ("Preparation", 10.0, pytest.approx(0.9)),
        ("Procedure", 45.0, pytest.approx(0.9)),
        ("Waking", 10.0, pytest.approx(2.25)),
    ]


def test_the_plain_page_of_a_case_leads_to_its_plan(as_operator, typed, aims, new_url):
    as_operator.post(new_url, typed)
    code = PlannedCase.objects.get().code
    reply = as_operator.get(reverse("days:case", args=[code]))

    assert (reply.status_code, reply.url) == (302, reverse("days:plan_case", args=[code]))


def test_flows_typed_on_the_plain_page_end_those_of_the_rules(as_operator, typed, aims, new_url):
    as_operator.post(new_url, typed)
    case = PlannedCase.objects.get()
    as_operator.post(
        reverse("days:case", args=[case.code]),
        {**typed, "oxygen_l_min_0": "2", "oxygen_l_min_1": "2", "oxygen_l_min_2": "2"},
    )

    case.refresh_from_db()
    assert "rows" not in case.planned
    assert (case.agent, case.phases[0]["oxygen_l_min"]) == ("isoflurane", 2.0)


def test_a_copy_asks_again_for_drugs_and_what_was_said_of_the_day(
    as_operator, typed, aims, new_url
):
    as_operator.post(new_url, {**typed, "dead_space_l": "3"})
    as_operator.post(reverse("days:again", args=[PlannedCase.objects.get().code]))

    made = PlannedCase.objects.latest("pk")
    assert (made.agent, made.drugs, made.weight_kg) == ("isoflurane", None, None)
    assert "warmed" not in made.planned
    assert made.planned["dead_space_l"] == pytest.approx(0.003)


def test_a_case_of_another_site_is_not_planned_here(as_stranger, case, typed):
    assert as_stranger.get(reverse("days:plan_case", args=[case.code])).status_code == 404
    reply = as_stranger.get(reverse("days:case_answers"), {**typed, "case": str(case.code)})
    assert reply.status_code == 404


def test_the_same_case_is_worked_out_once(as_operator, typed, aims, monkeypatch):
    from ullage.web.days.selectors import case_plan

    counted = []
    worked = case_plan.case_plan
    monkeypatch.setattr(
        case_plan, "case_plan", lambda given: counted.append(given) or worked(given)
    )
    for _ in range(2):
        answers(as_operator, typed, weight_kg="4.321")
    as_operator.get(reverse("days:compare"), {**typed, "weight_kg": "4.321"})

    assert len(counted) == 1


def test_what_changes_is_shown_when_it_is_asked_for(as_operator, typed, aims):
    reply = as_operator.get(reverse("days:case_changes"), typed)
    part = as_operator.get(
        reverse("days:case_changes"), typed, headers={"HX-Request": "true"}
    ).content.decode()

    assert "Flow doubled" in reply.content.decode()
    assert "Dial up 0.5 %" in part
    assert "<html" not in part


def test_what_a_case_does_to_the_air_is_shown_when_it_is_asked_for(as_operator, typed, aims):
    reply = as_operator.get(reverse("days:case_air"), typed)
    part = as_operator.get(
        reverse("days:case_air"), typed, headers={"HX-Request": "true"}
    ).content.decode()

    assert "over eight hours" in reply.content.decode()
    assert "Which limit does this site follow?" in part
    assert "Is the waste gas scavenged, and how?" in part
    assert "<html" not in part


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"machine": ""}, "Choose a machine: the air is that of its room."),
        ({"no_drugs": ""}, "Without a dial nothing can be said yet."),
        ({"weight_kg": "25 kg", "species": "mouse"}, "more than a mouse is likely to weigh"),
    ],
)
def test_where_the_air_cannot_be_told_it_says_why(as_operator, typed, aims, more, said):
    reply = as_operator.get(reverse("days:case_air"), {**typed, **more})

    assert reply.status_code == 200
    assert said in reply.content.decode()


def test_a_case_without_a_name_is_this_case(as_operator, typed, aims):
    assert "May this case begin" in answers(as_operator, typed, name="")


def test_the_sheet_holds_dial_flows_and_cautions(as_operator, typed, aims, new_url):
    as_operator.post(new_url, {**typed, "cautery": ""})
    pdf = as_operator.get(reverse("days:case_sheet", args=[PlannedCase.objects.get().code])).content
    read = subprocess.run(
        ["pdftotext", "-layout", "-", "-"],  # noqa: S607  # poppler-utils
        input=pdf,
        capture_output=True,
        check=True,
    )
    words = " ".join(read.stdout.decode().split())

    for said in ("Plan of Tansy", "0 min to 10 min", "page 1 of 1", "Decision support"):
        assert said in words


@pytest.mark.parametrize("example", ["case_mouse", "case_cat", "case_pig"])
@pytest.mark.parametrize("country", ["GB", "US"])
def test_the_sheet_of_each_example_is_one_page(example, country, site, today):
    given = case_from_toml((EXAMPLES / f"{example}.toml").read_text(encoding="utf-8"))
    site.country = country
    panel = CasePanel(name=given.case.name, machine=given.case.machine, plan=plan_of(given))
    pdf = render_pdf("case", sheet_data(site, panel, today, timezone.now()))

    with pikepdf.open(io.BytesIO(pdf)) as opened:
        assert len(opened.pages) == 1


@pytest.mark.parametrize(
    ("names", "rows"),
    [
        (["Preparation", "Procedure", "Waking"], [0, 1, 2]),
        (["Induction", "Procedure", "Waking"], [0, 1, 2]),
        (["Procedure"], [1]),
        (["Waking", "Procedure"], [2, 3]),
        (["Induction", "Mask", "Procedure", "Waking"], [0, 1, 2, 3]),
        (["Preparation", "Procedure", "Second look", "Waking"], [0, 1, 2, 3]),
    ],
)
def test_phases_keep_their_order_whatever_they_are_called(names, rows):
    phases = [{"name": name, "minutes": 10.0 + number} for number, name in enumerate(names)]
    facts = CaseFacts(name="Tansy", machine=Machine(pk=1), starts_at=timezone.now(), phases=phases)
    typed = CaseForm.typed_from(facts, timezone.now().time())

    assert [typed[f"phase_{row}"] for row in rows] == names
    assert [typed[f"minutes_{row}"] for row in rows] == [one["minutes"] for one in phases]


def test_who_comes_back_from_comparing_finds_what_was_typed(as_operator, typed, aims, new_url):
    page = as_operator.get(reverse("days:compare"), typed).content.decode()
    back = unescape(re.search(rf'href="({new_url}[^"]+)"', page)[1])
    form = as_operator.get(back).content.decode()

    assert 'value="Tansy"' in form
    assert re.search(r'name="minutes_1"[^>]* value="45"|value="45"[^>]* name="minutes_1"', form)
    assert "Vaporizer dial: " in form
    assert not PlannedCase.objects.exists()


def test_a_weight_that_was_confirmed_stays_confirmed(as_operator, typed, aims, new_url):
    as_operator.post(new_url, {**typed, "weight_kg": "25", "keep": "on"})
    case = PlannedCase.objects.get()
    page = as_operator.get(reverse("days:plan_case", args=[case.code])).content.decode()

    assert (case.weight_kg, case.said) == (25.0, "Yes, keep it as typed")
    assert 'name="keep" id="id_keep" checked' in page
    assert "Still to say" not in page


def test_the_open_question_names_the_drugs_that_were_studied(as_operator, typed, aims):
    page = answers(as_operator, typed, no_drugs="")

    assert "Drugs whose effect on MAC was studied in this species: alfentanil" in page


def test_of_two_touches_at_once_the_later_finds_what_the_first_made(
    as_operator, site, operator, facts, monkeypatch
):
    """Both looked before either wrote: the second write meets the first one's code."""
    code = uuid4()
    first = case_add(site=site, facts=facts(code=code), by=operator)
    monkeypatch.setattr(cases, "_before", lambda _: None)
    second = case_add(site=site, facts=facts(code=code), by=operator)

    assert second.pk == first.pk
    assert PlannedCase.objects.count() == 1
    assert second.events.count() == 1
