"""Pages of checks: begin, fill in, end; what is refused stays in the form with a sentence."""

from io import BytesIO
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from ullage.web.checks.models import ChangeSaid, Check, CheckFile

pytestmark = pytest.mark.web


def page(check):
    return reverse("checks:check", args=[check.code])


def step_url(check, key, name="checks:step"):
    return reverse(name, args=[check.code, key])


def test_a_check_is_begun_from_the_page_of_its_machine(as_operator, machine):
    at = reverse("checks:machine", args=[machine.code])
    assert b"None yet. The first one takes about two minutes." in as_operator.get(at).content

    begun = as_operator.post(reverse("checks:begin", args=[machine.code, "start_of_day"]))
    check = Check.objects.get()
    assert begun.url == page(check)
    shown = as_operator.get(begun.url).content.decode()
    assert "Step 1 of 10: Self-inflating bag at hand and tried" in shown
    assert "Take up" in as_operator.get(at).content.decode()


def test_looking_is_one_touch_and_leads_to_the_next_step(as_operator, check):
    said = as_operator.post(step_url(check, "self_inflating_bag"), {"code": uuid4(), "good": "yes"})

    assert said.url == f"{page(check)}?done=self_inflating_bag"
    assert "Step 2 of 10: Reserve oxygen" in as_operator.get(said.url).content.decode()


def test_no_animal_is_its_own_entry_before_the_leak_test(as_operator, check):
    leak = as_operator.get(f"{page(check)}?step=leak").content.decode()
    assert "No animal is connected" in leak
    assert "Save the result" not in leak

    as_operator.post(step_url(check, "leak", "checks:no_animal"), {"code": uuid4()})
    assert "Save the result" in as_operator.get(f"{page(check)}?step=leak").content.decode()
    assert check.entries.get().word == "no animal"


def test_a_measurement_is_typed_in_the_units_of_its_step(as_operator, check):
    typed = {"code": uuid4(), "air_fraction": "20.9", "oxygen_fraction": "99", "note": "new cell"}
    as_operator.post(step_url(check, "oxygen_analyser"), typed)

    entry = check.entries.get()
    assert entry.given == {"air_fraction": pytest.approx(0.209), "oxygen_fraction": 0.99}
    assert (entry.verdict, entry.note) == ("Fine", "new cell")


def test_a_part_that_a_machine_has_not_is_said_at_a_measured_step(as_operator, check):
    page_of = as_operator.get(f"{page(check)}?step=oxygen_analyser").content.decode()
    assert "This machine has none" in page_of

    as_operator.post(step_url(check, "oxygen_analyser"), {"code": uuid4(), "good": "absent"})
    entry = check.entries.get()
    assert (entry.given, entry.verdict) == ({"absent": True}, "Look again")


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({}, "This field is required"),
        ({"air_fraction": "-3", "oxygen_fraction": "99"}, "must be between 0 and 100 %"),
        ({"air_fraction": "nan", "oxygen_fraction": "99"}, "nan"),
        ({"air_fraction": "1e9", "oxygen_fraction": "99"}, "must be between"),
        ({"air_fraction": "20 bar", "oxygen_fraction": "99"}, "bar"),
    ],
)
def test_what_cannot_be_is_refused_in_the_form(as_operator, check, typed, sentence):
    answer = as_operator.post(step_url(check, "oxygen_analyser"), {"code": uuid4(), **typed})

    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert not check.entries.exists()


def test_a_leak_test_without_compliance_gives_no_number_and_says_why(
    as_operator, check, leak_limit
):
    as_operator.post(step_url(check, "leak", "checks:no_animal"), {"code": uuid4()})
    typed = {"code": uuid4(), "started_kpa": "30", "ended_kpa": "25", "elapsed_min": "10"}
    as_operator.post(step_url(check, "leak"), typed)

    entry = check.entries.get(word="step")
    assert entry.answer["value"] is None
    assert entry.verdict == "Not yet"
    assert "a fall alone has no fixed meaning" in entry.answer["sentence"]


def test_a_measure_that_did_not_pass_is_read_before_the_next_step(as_operator, check):
    typed = {"code": uuid4(), "air_fraction": "15", "oxygen_fraction": "97"}
    sent = as_operator.post(step_url(check, "oxygen_analyser"), typed)
    shown = as_operator.get(sent.url).content.decode()
    sentence = check.entries.get().answer["sentence"]
    assert 0 < shown.index(sentence) < shown.index('id="step"')

    typed = {"code": uuid4(), "air_fraction": "21", "oxygen_fraction": "97"}
    sent = as_operator.post(step_url(check, "oxygen_analyser"), typed)
    shown = as_operator.get(sent.url).content.decode()
    assert shown.index('id="step"') < shown.index("In room air it reads 21")


def test_a_whole_check_shows_its_result_and_readiness(as_operator, check, fill, leak_limit):
    fill(check)
    assert "End the check" in as_operator.get(page(check)).content.decode()
    as_operator.post(reverse("checks:end", args=[check.code]))

    assert "May be used: 10 of 10 steps passed." in as_operator.get(page(check)).content.decode()
    home = as_operator.get(reverse("checks:home")).content.decode()
    assert "Wren may be used" in home


def test_a_machine_without_a_check_today_is_not_yet_ready(as_operator, machine):
    home = as_operator.get(reverse("checks:home")).content.decode()

    assert "may not be used yet" in home
    assert "No check of the start of the day is known." in home


def test_a_check_ends_early_with_a_reason_and_stays(as_operator, check):
    refused = as_operator.post(reverse("checks:give_up", args=[check.code]), {"reason": ""})
    assert "Say why" in as_operator.get(refused.url).content.decode()

    as_operator.post(reverse("checks:give_up", args=[check.code]), {"reason": "Called away."})
    assert "Ended early: Called away." in as_operator.get(page(check)).content.decode()


def test_a_change_is_kept_and_what_cannot_be_chosen_is_refused(as_operator, machine):
    at = reverse("checks:changed", args=[machine.code])
    assert as_operator.post(at, {"kind": "weather"}).status_code == 422
    assert as_operator.post(at, {"kind": "absorbent", "note": "new"}).status_code == 302
    assert ChangeSaid.objects.get().kind == "absorbent"


def _png() -> bytes:
    kept = BytesIO()
    Image.new("RGB", (4, 4), "white").save(kept, format="PNG")
    return kept.getvalue()


def test_a_picture_is_kept_by_content_and_handed_out_as_a_download(as_operator, check, as_stranger):
    at = reverse("checks:attach", args=[check.code])
    as_operator.post(at, {"file": SimpleUploadedFile("bag.png", _png())})
    as_operator.post(at, {"file": SimpleUploadedFile("bag.png", b"<html>no picture</html>")})

    kept = CheckFile.objects.get()
    handed = as_operator.get(reverse("checks:file", args=[kept.code]))
    assert handed["X-Content-Type-Options"] == "nosniff"
    assert handed["Content-Disposition"].startswith("attachment")
    assert as_stranger.get(reverse("checks:file", args=[kept.code])).status_code == 404


def test_a_step_of_another_list_and_a_check_of_another_site_are_not_found(
    as_operator, as_stranger, check
):
    assert as_operator.post(step_url(check, "flush"), {"good": "yes"}).status_code == 404
    assert as_stranger.get(page(check)).status_code == 404
    assert as_stranger.post(reverse("checks:end", args=[check.code])).status_code == 404


def test_a_viewer_sees_a_check_and_changes_nothing(as_viewer, check):
    assert "You can see this check, not fill it in." in as_viewer.get(page(check)).content.decode()
    sent = as_viewer.post(step_url(check, "flowmeters"), {"code": uuid4(), "good": "yes"})
    assert sent.status_code == 403
    assert not check.entries.exists()
