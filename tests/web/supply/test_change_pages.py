"""The change of cylinder as pages: one step a page, left and taken up again."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from ullage.web.supply.models import CylinderChange, CylinderEvent
from ullage.web.supply.services import SourceFacts, change_begin, source_add

pytestmark = pytest.mark.web


def text_of(reply):
    return reply.content.decode().replace("&#x27;", "'")


@pytest.fixture
def change(alder, source, operator):
    return change_begin(source=source, old=alder, by=operator)


def page_of(change):
    return reverse("supply:change", kwargs={"code": change.code})


@pytest.fixture
def step(as_operator, change):
    def send(name, client=None, **typed):
        address = reverse("supply:change_step", kwargs={"code": change.code, "name": name})
        return (client or as_operator).post(address, typed)

    return send


def looked(cylinder, **more):
    found = {"label_gas": "oxygen", "label_agrees": "yes", "size_agrees": "yes"}
    return {"cylinder": str(cylinder.code), "outlet_clean": "yes", **found, **more}


def until(step, hazel, name):
    order = [
        ("animal", {"how": "no animal on the machine"}),
        ("flows", {}),
        ("check", looked(hazel)),
        ("old", {"tag": "part used"}),
        ("seal", {"seal": "new"}),
        ("open", {"number": "137", "unit": "bar", "code": "0" * 32}),
    ]
    for one, typed in order:
        if one == name:
            return
        step(one, **typed)


def test_the_button_on_the_cylinder_begins_the_change(as_operator, alder, source):
    address = reverse("supply:change_begin", kwargs={"code": source.code})
    reply = as_operator.post(address, {"old": str(alder.code)})

    change = CylinderChange.objects.get()
    assert reply.url == page_of(change)
    assert change.old == alder


@pytest.mark.parametrize("old", ["nonsense", "0" * 32])
def test_a_change_of_nothing_finds_nothing(old, as_operator, source):
    address = reverse("supply:change_begin", kwargs={"code": source.code})

    assert as_operator.post(address, {"old": old}).status_code == 404


def test_the_page_shows_what_is_next_and_what_follows(as_operator, change):
    text = text_of(as_operator.get(page_of(change)))

    assert "Step 1 of 8: Other gas for the animal first" in text
    assert text.index("Other gas") < text.index("Flow controls off") < text.index("Scan the full")
    assert "How is the animal supplied meanwhile?" in text


def test_the_whole_change_ends_on_the_page_of_the_full_one(as_operator, step, change, hazel):
    until(step, hazel, "watch")
    step("watch", number="137", unit="bar")
    CylinderEvent.objects.filter(kind="watch begun").update(
        at=timezone.now() - timedelta(minutes=6)
    )
    step("watch", number="137", unit="bar")
    reply = step("reopen")

    assert reply.url == reverse("supply:cylinder", kwargs={"code": hazel.code})
    assert "Hazel is on and open" in text_of(as_operator.get(reply.url))


@pytest.mark.parametrize(
    ("name", "typed", "sentence"),
    [
        ("animal", {}, "The animal comes first"),
        ("check", {}, "Scan the full one, or choose it."),
        ("check", {"cylinder": "Hazel"}, "Scan the full one, or choose it."),
        ("old", {}, "Choose the tag."),
        ("seal", {}, "Choose the seal."),
        ("seal", {"seal": "old"}, "Say why the old seal goes in again."),
        ("open", {"number": "900", "unit": "bar", "code": "0" * 32}, "no more than 207 bar"),
        ("watch", {"number": "0", "unit": "bar"}, "a needle at zero cannot fall"),
    ],
)
def test_a_step_that_is_not_done_stays_with_its_sentence(
    name, typed, sentence, step, change, hazel
):
    until(step, hazel, name)
    reply = step(name, **typed)

    change.refresh_from_db()
    assert reply.status_code == 422
    assert sentence in text_of(reply)
    assert change.step == name


@pytest.mark.parametrize(
    ("found", "sentence"),
    [
        ({"label_gas": "air"}, "its label says air. Set it apart and take another."),
        ({"outlet_clean": "no"}, "outlet and seal face of Hazel do not pass"),
    ],
)
def test_a_doubt_stops_the_change_and_is_kept(found, sentence, step, change, hazel):
    until(step, hazel, "check")
    reply = step("check", **looked(hazel, **found))

    kept = CylinderEvent.objects.get(kind="check refused")
    assert reply.status_code == 422
    assert sentence in text_of(reply)
    assert kept.details["said"].startswith("Stop:")


def test_a_step_sent_twice_leads_to_where_the_change_is(step, as_operator, change):
    step("animal", how="no animal on the machine")
    reply = step("animal", how="no animal on the machine")

    assert reply.status_code == 302
    assert "This step was done already" in text_of(as_operator.get(reply.url))


def test_a_needle_that_fell_leads_back_to_the_seal(as_operator, step, change, hazel):
    until(step, hazel, "watch")
    step("watch", number="137", unit="bar")
    CylinderEvent.objects.filter(kind="watch begun").update(
        at=timezone.now() - timedelta(minutes=5)
    )
    reply = step("watch", number="110", unit="bar")

    text = text_of(as_operator.get(reply.url))
    assert "The needle fell too far" in text
    assert "Step 5 of 8: A new seal" in text


def test_a_watch_read_too_early_asks_to_wait(as_operator, step, hazel):
    until(step, hazel, "watch")
    step("watch", number="137", unit="bar")
    reply = step("watch", number="137", unit="bar")

    assert "Too early to say" in text_of(as_operator.get(reply.url))


def test_the_last_step_can_be_taken_back(as_operator, step, change, hazel):
    until(step, hazel, "check")
    as_operator.post(reverse("supply:change_back", kwargs={"code": change.code}))

    change.refresh_from_db()
    assert change.step == "flows"


def test_a_change_ends_early_with_a_reason(as_operator, change):
    address = reverse("supply:change_end", kwargs={"code": change.code})
    assert as_operator.post(address, {"end-reason": ""}).status_code == 422
    as_operator.post(address, {"end-reason": "No full one here."})

    assert "Ended early: No full one here." in text_of(as_operator.get(page_of(change)))


def test_the_full_one_is_taken_by_scanning_it(as_operator, change, hazel, nitrous):
    address = reverse("supply:change_take", kwargs={"code": change.code})
    as_operator.post(address, {"cylinder": str(nitrous.code)})
    change.refresh_from_db()
    assert change.new is None

    reply = as_operator.post(address, {"cylinder": str(hazel.code)})
    change.refresh_from_db()
    assert (reply.url, change.new) == (page_of(change), hazel)
    assert as_operator.post(address, {}).status_code == 404


def test_a_scanned_one_is_chosen_already_in_the_check(as_operator, step, change, hazel):
    until(step, hazel, "check")
    address = reverse("supply:change_take", kwargs={"code": change.code})
    as_operator.post(address, {"cylinder": str(hazel.code)})

    assert f'value="{hazel.code}" selected' in text_of(as_operator.get(page_of(change)))


@pytest.mark.parametrize("name", ["change_back", "change_end", "change_take"])
def test_a_change_is_for_operators_of_the_site_by_post(
    name, as_operator, as_viewer, as_stranger, change
):
    address = reverse(f"supply:{name}", kwargs={"code": change.code})

    assert as_stranger.post(address).status_code == 404
    assert as_viewer.post(address).status_code == 403
    assert as_operator.get(address).status_code == 405


def test_steps_are_for_operators_of_the_site(step, as_viewer, as_stranger, change):
    assert step("animal", client=as_stranger, how="x").status_code == 404
    assert step("animal", client=as_viewer, how="x").status_code == 403
    assert step("explode").status_code == 404


def test_a_viewer_sees_where_the_change_is(as_viewer, as_stranger, change):
    text = text_of(as_viewer.get(page_of(change)))

    assert "Step 1 of 8" in text
    assert "The animal is supplied" not in text
    assert as_stranger.get(page_of(change)).status_code == 404


def test_the_needle_of_a_liquefied_gas_is_a_pressure_and_its_change_goes_through(
    as_operator, site, lead, nitrous
):
    facts = SourceFacts(name="Heron", kind="cylinder", gas="nitrous oxide")
    place = source_add(site=site, facts=facts, by=lead)
    change = change_begin(source=place, by=lead)
    steps = [
        ("animal", {"how": "no animal on the machine"}),
        ("flows", {}),
        ("check", looked(nitrous, label_gas="nitrous oxide")),
        ("seal", {"seal": "new"}),
        ("open", {"number": "49", "unit": "bar", "code": "0" * 32}),
        ("watch", {"number": "49", "unit": "bar"}),
    ]
    for name, typed in steps:
        if name == "open":
            page = text_of(as_operator.get(page_of(change)))
            (chosen,) = [one for one in re.findall(r"<input[^>]*>", page) if "checked" in one]
            assert 'value="bar"' in chosen
        address = reverse("supply:change_step", kwargs={"code": change.code, "name": name})
        assert as_operator.post(address, typed).status_code == 302, name
    page = text_of(as_operator.get(page_of(change)))
    assert "Needle marked: <span" in page
    assert 'value="kg"' not in page

    CylinderEvent.objects.filter(kind="watch begun").update(
        at=timezone.now() - timedelta(minutes=6)
    )
    address = reverse("supply:change_step", kwargs={"code": change.code, "name": "watch"})
    as_operator.post(address, {"number": "48.5", "unit": "bar"})
    change.refresh_from_db()
    assert change.step == "reopen"
