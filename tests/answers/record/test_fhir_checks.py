"""What the library lets by and our own checks refuse: the nine of records 5.2, and more."""

import copy

import pytest

from tests.answers.record.cases import case_lines
from ullage.answers.record.fhir.bundle import fhir_bundle
from ullage.answers.record.fhir.checks import fhir_faults

GOOD = fhir_bundle(case_lines())


def resource(bundle, kind):
    return next(
        one["resource"] for one in bundle["entry"] if one["resource"]["resourceType"] == kind
    )


def reading(bundle):
    return next(one["resource"] for one in bundle["entry"] if "valueQuantity" in one["resource"])


def species(bundle):
    return resource(bundle, "Patient")["extension"][0]


def loinc(bundle):
    codes = reading(bundle)["code"]["coding"]
    return next(one for one in codes if one["system"] == "http://loinc.org")


#: records 5.2 and records_standards FR-03: accepted wrongly by the library.
LET_BY = {
    "status banana": (
        lambda bundle: reading(bundle).update(status="banana"),
        "'banana', which is no word of its list",
    ),
    "gender M": (
        lambda bundle: resource(bundle, "Patient").update(gender="M"),
        "gender is 'M', which is no word of its list",
    ),
    "nonsense as a unit": (
        lambda bundle: reading(bundle)["valueQuantity"].update(code="furlong"),
        "'furlong' is no unit of the whitelist",
    ),
    "LOINC with a wrong check digit": (
        lambda bundle: loinc(bundle).update(code="8867-5"),
        "'8867-5' is no LOINC code: its check digit does not agree",
    ),
    "no species": (
        lambda bundle: species(bundle).update(extension=species(bundle)["extension"][1:]),
        "species of an animal stands 0 times",
    ),
    "an extension with a value and parts": (
        lambda bundle: species(bundle).update(valueString="rabbit"),
        "has a value and parts",
    ),
    "an extension that nobody knows": (
        lambda bundle: resource(bundle, "Patient")["extension"].append(
            {"url": "http://a.example/colour", "valueString": "white"}
        ),
        "nobody knows the extension",
    ),
    "no subject": (
        lambda bundle: reading(bundle).pop("subject"),
        "names no animal and no group",
    ),
    "a malformed reference": (
        lambda bundle: reading(bundle)["encounter"].update(reference="Encounter//?"),
        "leads to nothing in the bundle",
    ),
}

#: records 5.2 and records_standards FR-02: the library rejects these, and we say so in a sentence.
REJECTED = {
    "no status": lambda bundle: reading(bundle).pop("status"),
    "an element that is none": lambda bundle: reading(bundle).update(colour="white"),
    "two values": lambda bundle: reading(bundle).update(valueString="201"),
    "a bad date": lambda bundle: reading(bundle).update(effectiveDateTime="yesterday"),
    "text as a number": lambda bundle: reading(bundle)["valueQuantity"].update(value="many"),
}

#: What else must not go out.
OURS = {
    "a unit of something else": (
        lambda bundle: reading(bundle)["valueQuantity"].update(code="Cel"),
        "'Cel' is no unit of heart rate",
    ),
    "coulomb for Celsius": (
        # records_standards UC-06: C parses as coulomb
        lambda bundle: reading(bundle)["valueQuantity"].update(code="C"),
        "'C' is no unit of the whitelist",
    ),
    "a code that was only recalled": (
        # records_standards LN-06: check digit valid, known from memory
        lambda bundle: loinc(bundle).update(code="8332-9"),
        "'8332-9' is no verified LOINC code",
    ),
    "a device code that is none": (
        lambda bundle: reading(bundle)["code"]["coding"][1].update(code="1"),
        "no verified code of the device nomenclature",
    ),
    "two species": (
        lambda bundle: species(bundle)["extension"].append(species(bundle)["extension"][0]),
        "species of an animal stands 2 times",
    ),
    "an animal that is not said to be one": (
        lambda bundle: resource(bundle, "Patient").pop("extension"),
        "has one extension that names its species, not 0",
    ),
    "an extension that says nothing": (
        lambda bundle: species(bundle)["extension"][0].pop("valueCodeableConcept"),
        "says nothing",
    ),
    "a subject that is no animal": (
        lambda bundle: reading(bundle)["subject"].update(
            reference=f"urn:uuid:{resource(bundle, 'Encounter')['id']}"
        ),
        "names no animal and no group",
    ),
    "one address twice": (
        lambda bundle: bundle["entry"].append(bundle["entry"][0]),
        "stands 2 times",
    ),
    "an address of another": (
        lambda bundle: bundle["entry"][-1].update(fullUrl="urn:uuid:x"),
        "is not that of its resource",
    ),
}


def broken(change):
    bundle = copy.deepcopy(GOOD)
    change(bundle)
    return bundle


def test_the_bundle_that_is_broken_below_is_sound():
    assert fhir_faults(GOOD) == ()


@pytest.mark.comparison
@pytest.mark.parametrize("name", LET_BY)
def test_the_library_still_lets_it_by(name):
    from fhir.resources.bundle import Bundle

    assert Bundle.model_validate(broken(LET_BY[name][0])) is not None


@pytest.mark.parametrize("name", [*LET_BY, *OURS])
def test_our_checks_refuse_it_in_a_sentence(name):
    change, says = {**LET_BY, **OURS}[name]
    found = fhir_faults(broken(change))

    assert any(says in one for one in found), found
    assert all(one.endswith(".") for one in found)


@pytest.mark.parametrize("name", REJECTED)
def test_what_the_library_rejects_is_a_sentence_too(name):
    found = fhir_faults(broken(REJECTED[name]))

    assert found
    assert found[0].startswith("Bundle.")


@pytest.mark.parametrize("odd", [{}, {"entry": 7}, {"entry": [7]}, {"entry": [{"resource": {}}]}])
def test_what_is_no_bundle_is_refused_and_breaks_nothing(odd):
    assert fhir_faults({"resourceType": "Bundle", "type": "heap", **odd})
