"""Which size a cylinder may be, from what can be measured or read on it."""

import pytest
from django.urls import reverse

pytestmark = pytest.mark.web


@pytest.fixture
def ask(as_viewer):
    def get(client=None, **clues):
        reply = (client or as_viewer).get(reverse("supply:identify"), clues)
        return reply, reply.content.decode()

    return get


def test_a_stamp_finds_the_size_and_leads_to_receiving_it(ask):
    # UK size J: 47.2 L of water (supply S9, seen).
    _, text = ask(water_capacity="47.2")

    assert "J (UK/ISO), 47.2 L of water" in text
    assert "?capacity_known=preset&amp;size=J" in text


def test_height_and_diameter_are_taken_in_the_unit_of_the_country(ask, site):
    site.country, site.pressure_unit = "US", "psi"
    site.save()
    # US size E: 30 in x 4.25 in (one web page, seen).
    reply, text = ask(height="30", diameter="4.25")

    assert reply.status_code == 200
    assert "E (US)" in text


def test_what_fits_nothing_is_said_with_what_to_go_by(ask):
    _, text = ask(water_capacity="333")

    assert "No size fits." in text
    assert "water capacity stamped" in text


@pytest.mark.parametrize(
    ("clues", "sentence"),
    [
        ({"height": "", "diameter": ""}, "Write at least one of these."),
        ({"height": "-3"}, "it must be between 0.1 and 3 m"),
        ({"height": "tall"}, "is not a length"),
    ],
)
def test_clues_that_are_none_are_refused(clues, sentence, ask):
    reply, text = ask(**clues)

    assert reply.status_code == 422
    assert sentence in text.replace("&#x27;", "'")


def test_the_page_starts_empty_and_is_for_members(ask, client):
    reply, text = ask()
    assert reply.status_code == 200
    assert "It may be" not in text
    assert ask(client=client)[0].status_code == 302


def test_it_is_only_looked_at(as_operator):
    assert as_operator.post(reverse("supply:identify")).status_code == 405
