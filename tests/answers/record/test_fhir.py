"""A record as FHIR: every resource by the library's models, every value found, nothing guessed."""

import json
import re
from collections import Counter
from dataclasses import replace
from decimal import Decimal
from xml.etree import ElementTree as Xml

import pytest
from hypothesis import given, settings

from tests.answers.record import full
from tests.answers.record.cases import (
    AT,
    BEGAN,
    PRIVATE,
    case_chain,
    case_lines,
    entry,
    opened,
    times,
)
from tests.answers.record.taken import amendment, group_case, long_case, records
from ullage.answers.record.chained import head_of
from ullage.answers.record.fhir.bundle import fhir_bundle, fhir_text
from ullage.answers.record.fhir.checks import fhir_faults
from ullage.answers.record.fhir.parts import ExportFacts
from ullage.answers.record.signed import sign_head
from ullage.answers.record.things import EntryKind, EntryText
from ullage.core.errors import PlanUnreadable
from ullage.reference.record import loinc_check_digit

HEAD = head_of(case_chain(), "r1")
FACTS = ExportFacts(
    site="Wren House",
    place="Second floor",
    air_pressure_kpa=95.0,
    machine="Heron",
    vaporizer="Vaporizer 3",
    is_demo=True,
    head=HEAD,
    head_signatures=(sign_head(HEAD, PRIVATE, AT),),
    exported_at=BEGAN,
    exported_by="Sam Vale",
)
CASES = {
    "short": case_lines(),
    "full": full.lines(),
    "group": group_case(),
    "empty": [],
    "long": long_case(240),
}
every = pytest.mark.parametrize("lines", CASES.values(), ids=CASES)


def resources(lines, facts=FACTS):
    return [one["resource"] for one in fhir_bundle(lines, facts)["entry"]]


def of_kind(kind, lines, facts=FACTS):
    return [one for one in resources(lines, facts) if one["resourceType"] == kind]


def holding(line, lines):
    """The resource that holds an entry."""
    found = [
        one
        for one in resources(lines)
        if {"value": line.id} in one.get("identifier", []) and one["resourceType"] != "Patient"
    ]
    return found[0]


@every
def test_the_whole_bundle_is_taken_by_the_library_and_by_our_checks(lines):
    from fhir.resources.bundle import Bundle

    bundle = fhir_bundle(lines, FACTS)
    parsed = Bundle.model_validate_json(fhir_text(bundle))

    assert len(parsed.entry) == len(bundle["entry"])
    assert fhir_faults(bundle) == ()


@settings(max_examples=60, deadline=None)
@given(lines=records())
def test_any_record_makes_a_bundle_in_which_nothing_is_wrong(lines):
    bundle = fhir_bundle(lines, FACTS)
    kept = Counter(
        one["value"]
        for resource in (entry["resource"] for entry in bundle["entry"])
        if resource["resourceType"] in {"Observation", "MedicationAdministration"}
        and "inhalant agent" not in str(resource.get("category"))
        for one in resource["identifier"]
    )

    assert fhir_faults(bundle) == ()
    assert fhir_faults(json.loads(fhir_text(bundle))) == ()
    assert kept == Counter(one.id for one in lines if isinstance(one, EntryText))


def test_the_same_lines_give_the_same_bytes():
    assert fhir_text(fhir_bundle(full.lines(), FACTS)) == fhir_text(
        fhir_bundle(full.lines(), FACTS)
    )


def test_another_record_has_other_ids():
    first = {one["id"] for one in resources(case_lines("r1"))}

    assert not first & {one["id"] for one in resources(case_lines("r2"))}


def test_lines_of_two_records_are_refused():
    with pytest.raises(PlanUnreadable, match="of one record"):
        fhir_bundle([*case_lines("r1"), *case_lines("r2")])


def test_a_number_keeps_its_digits():
    text = fhir_text(fhir_bundle(case_lines(), FACTS))

    assert '"value":38.10,"unit":"Cel","system":"http://unitsofmeasure.org","code":"Cel"' in text
    assert json.loads(text, parse_float=Decimal)


def test_an_animal_has_its_species_as_text_alone():
    (animal,) = of_kind("Patient", case_lines())
    (extension,) = animal["extension"]

    # records_standards FH-001, FH-002; no code of a species stands in any row
    assert extension["url"] == "http://hl7.org/fhir/StructureDefinition/patient-animal"
    assert extension["extension"][0] == {
        "url": "species",
        "valueCodeableConcept": {"text": "rabbit"},
    }
    assert animal["gender"] == "female"


@pytest.mark.parametrize(
    ("sex", "gender"),
    [("male", "male"), ("Female, spayed", "female"), ("M", None), ("", None), ("both", None)],
)
def test_a_sex_that_is_no_plain_word_is_not_guessed(sex, gender):
    (animal,) = of_kind("Patient", [opened(facts={"sex": sex})])

    assert animal.get("gender") == gender


def test_a_species_that_nobody_recorded_says_so():
    (animal,) = of_kind("Patient", [])

    assert animal["extension"][0]["extension"][0]["valueCodeableConcept"] == {
        "text": "not recorded"
    }


def test_an_amended_reading_keeps_what_it_was_and_why():
    reading = holding(entry(2), case_lines())

    assert reading["status"] == "amended"
    assert reading["valueQuantity"]["value"] == 201
    assert "was 210" in reading["note"][0]["text"]
    assert "Reason: read the pulse of the other ear" in reading["note"][0]["text"]
    assert reading["note"][0]["authorString"] == "M. Orr"


def test_a_withdrawn_reading_is_entered_in_error_and_stays():
    wrong = entry(2, number="210", unit="/min")
    found = holding(wrong, [opened(), wrong, amendment(3, wrong, withdrawn=True)])

    assert found["status"] == "entered-in-error"
    assert found["valueQuantity"]["value"] == 210
    assert "withdrawn" in found["note"][0]["text"]


def test_an_author_to_confirm_makes_it_preliminary():
    unsure = entry(2, number="210", unit="/min", author_confirmed=False)

    assert holding(unsure, [opened(), unsure])["status"] == "preliminary"


def test_a_late_entry_says_how_late():
    late = entry(2, number="210", unit="/min", times=times(10.0, late=25.0))

    assert "written 25 min after it was seen" in holding(late, [opened(), late])["note"][0]["text"]


def pressures(unit="mm[Hg]", minute=10.0, method="cuff"):
    said = {"systolic": "101", "diastolic": "55", "mean": "70"}
    return [
        entry(order, f"{method}_{part}", value, number=value, unit=unit, times=times(minute))
        for order, (part, value) in enumerate(said.items(), start=2)
    ]


def test_pressures_of_one_moment_and_method_are_one_panel():
    (panel,) = of_kind("Observation", [opened(), *pressures()])
    codes = [[code["code"] for code in one["code"]["coding"]] for one in panel["component"]]

    # records_standards LN-08 to LN-14 and MD-04
    assert panel["code"]["coding"][0]["code"] == "85354-9"
    assert codes == [
        ["76534-7", "8480-6", "150021"],
        ["76535-4", "8462-4", "150022"],
        ["76536-2", "8478-0", "150023"],
    ]
    assert [one["valueQuantity"]["value"] for one in panel["component"]] == [101, 55, 70]
    assert panel["category"][0]["coding"][0]["code"] == "vital-signs"
    assert len(panel["identifier"]) == 3


def test_a_panel_with_a_corrected_part_is_amended_and_names_the_part():
    lines = [opened(), *pressures()]
    fixed = amendment(5, lines[1], typed="111", number="111", unit="mm[Hg]")
    (panel,) = of_kind("Observation", [*lines, fixed])

    assert panel["status"] == "amended"
    assert panel["note"][0]["text"].startswith("Systolic pressure by cuff: Amended: was 101")


def test_pressures_of_two_methods_or_moments_are_no_panel():
    one, other = pressures()[0], pressures(method="arterial")[1]
    later = replace(pressures()[2], times=times(12.0))
    found = of_kind("Observation", [opened(), one, other, later])

    assert len(found) == 3
    assert not any("component" in reading for reading in found)


def test_a_withdrawn_pressure_leaves_the_panel():
    lines = [opened(), *pressures()]
    found = of_kind("Observation", [*lines, amendment(5, lines[1], withdrawn=True)])

    assert sorted(one["status"] for one in found) == ["entered-in-error", "final"]


def test_a_pressure_in_kpa_is_no_vital_sign_of_the_profile():
    (panel,) = of_kind("Observation", [opened(), *pressures("kPa")])

    assert "category" not in panel


def test_vital_signs_carry_the_code_of_their_profile():
    found = {
        one["code"]["text"]: [code["code"] for code in one["code"]["coding"]]
        for one in of_kind("Observation", long_case(24))
        if "category" in one and "component" not in one
    }

    # records_standards FH-004, LN-01 to LN-05; the oximeter is paired with 2708-6 (LN-03)
    assert found == {
        "Heart rate": ["8867-4", "147842"],
        "Respiratory rate": ["9279-1", "151562"],
        "Oxygen saturation by oximeter": ["59408-5", "2708-6", "150456"],
        "Body temperature": ["8310-5"],
    }


def test_a_recalled_code_does_not_go_out():
    reading = holding(entry(3), case_lines())
    systems = {code["system"] for code in reading["code"]["coding"]}

    # LN-06 was recalled: rectal temperature goes out with the device code alone
    assert systems == {"urn:iso:std:iso:11073:10101"}


def test_a_unit_of_no_whitelist_goes_out_as_text():
    odd = entry(2, number="3", unit="mmHg")

    assert holding(odd, [opened(), odd])["valueQuantity"] == {"value": 3, "unit": "mmHg"}


def test_beats_are_written_as_the_profile_asks():
    reading = entry(2, number="210", unit="{beats}/min")
    found = holding(reading, [opened(), reading])["valueQuantity"]

    assert (found["code"], found["unit"]) == ("/min", "{beats}/min")


def test_a_coded_word_and_a_word_of_ours():
    found = {
        one["code"]["text"]: one.get("valueCodeableConcept", one.get("valueString"))
        for one in of_kind("Observation", full.lines())
    }

    # records_standards DCM-006: face mask
    assert found["Airway"]["coding"][0]["code"] == "297120004"
    assert found["Tone of the jaw"] == "slack"


def test_events_of_the_start_and_the_end_are_times():
    found = {
        one["code"]["text"]: one
        for one in of_kind("Observation", full.lines())
        if "valueDateTime" in one
    }

    # records_standards DCM-009
    assert found["anaesthesia began"]["code"]["coding"][0]["code"] == "398325003"
    assert found["anaesthesia ended"]["valueDateTime"] == "2026-06-08T09:33:00.000000Z"


def test_the_episode_lasts_from_event_to_event():
    (one,) = of_kind("Encounter", full.lines())

    assert one["status"] == "completed"
    assert one["actualPeriod"] == {
        "start": "2026-06-08T09:01:00.000000Z",
        "end": "2026-06-08T09:33:00.000000Z",
    }
    assert of_kind("Encounter", [])[0]["status"] == "unknown"


def test_drugs_and_agents_are_administrations():
    drug, agent = of_kind("MedicationAdministration", full.lines())

    assert drug["medication"] == {"concept": {"text": "buprenorphine"}}
    assert drug["dosage"] == {
        "text": "dose 0.03 mg/kg; concentration 0.3 mg/mL",
        "route": {"text": "under the skin"},
    }
    assert "expiry: 2027-03" in drug["note"][0]["text"]
    # records_standards DCM-002
    assert agent["medication"]["concept"]["coding"][0]["code"] == "387368002"
    assert agent["occurencePeriod"]["end"] == "2026-06-08T09:33:00.000000Z"


@pytest.mark.parametrize(
    ("details", "dosage"),
    [
        ({"volume": "0.31 mL"}, {"dose": 0.31}),
        ({"dose": "2 mg"}, {"dose": 2}),
        ({"dose": "0.2 ug/kg/min"}, {"rateQuantity": 0.2}),
        ({"rate": "10 mL/kg/h"}, {"rateQuantity": 10}),
        ({"dose": "2 mg/kg"}, {}),
        ({"dose": "a little"}, {}),
    ],
)
def test_an_amount_and_a_rate_are_told_apart_from_a_dose_by_weight(details, dosage):
    given_line = entry(2, "saline", "", kind=EntryKind.FLUID, details=details)
    (found,) = of_kind("MedicationAdministration", [opened(), given_line])
    read = {
        name: float(one["value"])
        for name, one in found["dosage"].items()
        if name in {"dose", "rateQuantity"}
    }

    assert read == dosage


def test_a_group_holds_its_animals_and_what_is_of_all():
    lines = group_case()
    (group,) = of_kind("Group", lines)
    animals = {one["id"]: one for one in of_kind("Patient", lines)}
    dial = next(
        one
        for one in of_kind("Observation", lines)
        if one["code"]["text"] == "Dial of the vaporizer"
    )

    assert group["quantity"] == len(group["member"]) == len(animals) == 2
    assert dial["subject"]["reference"] == f"urn:uuid:{group['id']}"


def test_the_dial_is_a_setting_of_the_vaporizer():
    metrics = {one["id"]: one for one in of_kind("DeviceMetric", full.lines())}
    dial = next(
        one
        for one in of_kind("Observation", full.lines())
        if one["code"]["text"] == "Dial of the vaporizer"
    )
    metric = metrics[dial["device"]["reference"].removeprefix("urn:uuid:")]

    assert metric["category"] == "setting"
    assert any(
        one["name"][0]["value"] == "Vaporizer 3"
        for one in of_kind("Device", full.lines())
        if f"urn:uuid:{one['id']}" == metric["device"]["reference"]
    )


def test_a_machine_that_only_the_case_names_is_a_device():
    lines = full.lines(facts={"machine": "Dunnock"})
    names = [one["name"][0]["value"] for one in of_kind("Device", lines, ExportFacts())]

    assert names == ["monitor A", "Dunnock"]


def test_signatures_and_the_head_of_the_chain_are_provenance():
    said = {one["activity"]["text"]: one for one in of_kind("Provenance", case_lines())}

    assert said["I made this record"]["signature"][0]["who"]["display"] == "Sam Vale"
    assert said["chain of the record"]["entity"][0]["what"]["identifier"]["value"] == HEAD.sum
    assert said["chain of the record"]["signature"][0]["data"]
    assert said["amended"]["authorization"][0]["concept"]["text"].startswith("read the pulse")


def test_a_correction_of_no_entry_is_kept():
    stray = amendment(7, entry(99), typed="7")
    told = [one["text"]["div"] for one in of_kind("Provenance", [*case_lines(), stray])]

    assert any("names no entry that stands" in one for one in told)


def test_a_correction_leads_to_the_first_of_two_entries_with_one_id():
    first = entry(2, number="210", unit="/min", times=times(20.0))
    second = replace(entry(3, number="90", unit="/min", times=times(10.0)), id=first.id)
    found = resources([opened(), first, second, amendment(4, first, typed="211")])
    target = next(
        one["target"][0]["reference"]
        for one in found
        if one.get("activity", {}).get("text") == "amended"
    )
    held = next(one for one in found if target == f"urn:uuid:{one['id']}")

    assert held["status"] == "amended"
    assert "was 210" in held["note"][0]["text"]
    assert len({one["id"] for one in found}) == len(found)


def test_a_correction_in_a_panel_leads_to_the_panel():
    lines = [opened(), *pressures()]
    fixed = amendment(5, lines[1], typed="111", number="111", unit="mm[Hg]")
    found = resources([*lines, fixed])
    (panel,) = [one for one in found if "component" in one]
    targets = [one["target"][0]["reference"] for one in found if "authorization" in one]

    assert targets == [f"urn:uuid:{panel['id']}"]


def test_late_is_what_the_site_says():
    late = entry(2, number="210", unit="/min", times=times(10.0, late=8.0))
    found = of_kind("Observation", [opened(), late], ExportFacts(late_after_min=10.0))

    assert "note" not in found[0]


def test_the_export_is_an_audit_event_only_with_its_time():
    assert of_kind("AuditEvent", [])[0]["agent"][0]["who"]["display"] == "Sam Vale"
    assert of_kind("AuditEvent", [], ExportFacts()) == []


def test_invented_data_are_tagged_everywhere():
    bundle = fhir_bundle(case_lines(), FACTS)
    tagged = [one["resource"]["meta"]["tag"][0]["code"] for one in bundle["entry"]]

    assert {*tagged, bundle["meta"]["tag"][0]["code"]} == {"demo"}
    assert not any("meta" in one for one in resources(case_lines(), ExportFacts()))


def test_the_notice_of_loinc_goes_with_the_codes():
    (codes,) = of_kind("ValueSet", case_lines())

    # records_standards LN-91: the notice must be carried
    assert "LOINC is copyright Regenstrief Institute" in codes["copyright"]


def coded(node):
    if isinstance(node, dict):
        if "system" in node and "code" in node:
            yield node["system"], node["code"]
        for one in node.values():
            yield from coded(one)
    elif isinstance(node, list):
        for one in node:
            yield from coded(one)


def test_every_code_of_loinc_passes_its_check_digit():
    found = {
        code for system, code in coded(fhir_bundle(long_case(60))) if system == "http://loinc.org"
    }

    # records_standards LN-90: mod 10
    assert len(found) >= 8
    assert all(loinc_check_digit(one[:-2]) == int(one[-1]) for one in found)


@pytest.mark.comparison
def test_every_unit_is_taken_by_an_independent_parser():
    from ucumvert import get_ucum_parser

    parser = get_ucum_parser()
    units = {
        code
        for lines in CASES.values()
        for system, code in coded(fhir_bundle(lines))
        if system == "http://unitsofmeasure.org"
    }

    assert len(units) >= 5
    assert all(parser.parse(one) is not None for one in units)


@pytest.mark.comparison
def test_every_coded_word_is_in_the_lists_of_the_library():
    from pydicom.sr._cid_dict import cid_concepts
    from pydicom.sr._concepts_dict import concepts

    ours = {"http://snomed.info/sct": "SCT", "http://www.nlm.nih.gov/research/umls": "UMLS"}
    theirs = {
        (scheme, code) for scheme in concepts for one in concepts[scheme].values() for code in one
    }
    found = {
        (ours[system], code) for system, code in coded(fhir_bundle(full.lines())) if system in ours
    }

    assert len(found) >= 6
    assert found <= theirs
    assert cid_concepts[624]


@every
def test_every_narrative_is_well_formed_and_says_something(lines):
    for one in resources(lines):
        shown = Xml.fromstring(one["text"]["div"])  # noqa: S314  # made here, a line above
        assert "".join(shown.itertext()).strip()


def test_odd_characters_are_shown_and_break_nothing():
    odd = entry(2, "note", "a\x00<b>&\x0b \u200b\U0001f400", kind=EntryKind.TEXT)
    bundle = fhir_bundle([opened(), odd])

    assert fhir_faults(bundle) == ()
    assert re.search(r"a\ufffd<b>&\ufffd", fhir_text(bundle))


def test_a_number_of_too_many_digits_goes_out_as_text():
    huge = entry(2, number="9" * 40, unit="/min", typed="9" * 40)
    found = holding(huge, [opened(), huge])

    assert "valueQuantity" not in found
    assert found["valueString"] == "9" * 40
