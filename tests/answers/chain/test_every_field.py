"""Every question of the chain can be answered in a file and in a form, and is heard."""

import pytest

from ullage.answers.chain_file import chain_from_toml
from ullage.answers.chain_found import chain_from_found
from ullage.answers.chain_questions import asked_fields
from ullage.answers.chain_things import Chain
from ullage.answers.endings import ENDINGS

#: What a person might type for a number, by the kind of quantity.
TYPED = {
    "pressure": "50 psi",
    "flow": "2 L/min",
    "volume": "300 L",
    "share": "93 %",
    "room volume": "30 m³",
    "rate": "6 /h",
}
FIELDS = [one for one in asked_fields() if one.kind != "thing"]


def typed(field):
    """An answer to a question, as words."""
    if field.kind == "number":
        return TYPED[field.quantity]
    if field.kind == "text":
        return "nfpa99" if field.name == "code" else "2-5"
    return {"yes or no": "yes", "count": "1"}.get(field.kind) or field.words[0]


def key(field):
    """The key of the file: the name of the field without its unit."""
    words = field.name.split("_")
    for start in range(1, len(words)):
        if "_".join(words[start:]) in ENDINGS:
            return "_".join(words[:start])
    return field.name


def named(field):
    return f"{field.part}.{field.name}"


@pytest.mark.parametrize("field", FIELDS, ids=named)
def test_a_form_can_answer_it(field):
    chain = chain_from_found({field.part: {field.name: typed(field)}})

    assert getattr(getattr(chain, field.part), field.name) is not None


@pytest.mark.parametrize("field", FIELDS, ids=named)
def test_a_file_can_answer_it_in_the_same_words(field):
    table = f'[{field.part}]\n{key(field)} = "{typed(field)}"\n'
    from_file = getattr(chain_from_toml(table), field.part)
    from_form = getattr(chain_from_found({field.part: {field.name: typed(field)}}), field.part)

    assert getattr(from_file, field.name) == getattr(from_form, field.name)


@pytest.mark.parametrize("field", FIELDS, ids=named)
def test_unknown_is_an_answer_that_nobody_gave(field):
    chain = chain_from_found({field.part: {field.name: None}})

    assert chain == Chain()


@pytest.mark.parametrize("field", FIELDS, ids=named)
def test_a_question_is_a_question_of_its_own(field):
    others = [one.question for one in FIELDS if one is not field and one.part == field.part]

    assert field.question.endswith("?")
    assert field.question not in others
    assert field.question[0].isupper()


def test_numbers_are_asked_in_every_kind_that_is_tested():
    assert {one.quantity for one in FIELDS if one.kind == "number"} == set(TYPED)
