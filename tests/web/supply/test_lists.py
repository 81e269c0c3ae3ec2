"""The list of supplies, the scan page, receiving and correcting."""

import pytest
from django.urls import reverse

from ullage.web.supply.models import Cylinder, CylinderEvent

pytestmark = pytest.mark.web


def text_of(reply):
    return reply.content.decode()


def listed(reply):
    """The card of cylinders, without the sources below it."""
    return text_of(reply).partition('id="cy"')[2].partition('id="so"')[0]


def test_an_empty_site_is_told_how_to_begin(as_operator):
    text = text_of(as_operator.get(reverse("supply:list")))

    assert "No cylinder yet." in text
    assert "No source yet." in text
    assert reverse("supply:receive") in text


def test_the_list_shows_gas_state_and_last_reading(as_viewer, alder, nitrous, read):
    read(alder, 71)
    text = text_of(as_viewer.get(reverse("supply:list")))

    assert "71 bar" in text
    assert "on Wren" in text
    assert "Nitrous oxide" in text
    assert reverse("supply:receive") not in text


def test_what_is_in_use_stands_first(as_viewer, hazel, alder):
    text = listed(as_viewer.get(reverse("supply:list")))

    assert text.index(">Alder<") < text.index(">Hazel<")


@pytest.mark.parametrize(
    ("asked", "shown", "hidden"),
    [
        ({"gas": "nitrous oxide"}, "Larch", ">Alder<"),
        ({"state": "in_use"}, ">Alder<", ">Larch<"),
        ({"find": "lar"}, ">Larch<", ">Alder<"),
        ({"page": "nonsense"}, ">Alder<", "None like that"),
        ({"find": "nobody"}, "None like that here", ">Alder<"),
    ],
)
def test_the_list_is_narrowed(asked, shown, hidden, as_viewer, alder, nitrous):
    text = listed(as_viewer.get(reverse("supply:list"), asked))

    assert shown in text
    assert hidden not in text


def test_strangers_see_their_own_site_only(as_stranger, alder):
    assert "Alder" not in text_of(as_stranger.get(reverse("supply:list")))


def test_the_number_of_queries_does_not_grow_with_the_cylinders(
    as_viewer, alder, receive, read, django_assert_num_queries
):
    address = reverse("supply:list")
    read(alder, 71)
    as_viewer.get(address)
    with django_assert_num_queries(14):
        as_viewer.get(address)
    for number in range(30):
        read(receive(f"Elm {number}"), 100)
    with django_assert_num_queries(14):
        as_viewer.get(address)


def test_a_long_list_has_pages(as_viewer, receive):
    for number in range(45):
        receive(f"Elm {number:02}")
    text = text_of(as_viewer.get(reverse("supply:list")))

    assert "Page 1 of 2" in text
    assert "Elm 44" in text_of(as_viewer.get(reverse("supply:list"), {"page": 2}))


def test_one_name_found_opens_its_page(as_operator, alder, hazel):
    reply = as_operator.get(reverse("supply:scan"), {"find": "hazel"})

    assert reply.url == reverse("supply:cylinder", kwargs={"code": hazel.code})


def test_scanning_shows_what_is_in_use(as_operator, alder, hazel):
    text = text_of(as_operator.get(reverse("supply:scan")))

    assert "Alder" in text
    assert "Hazel" not in text


TYPED = {"name": "Yew", "gas": "oxygen", "capacity_known": "preset", "size": "E"}


@pytest.fixture
def receive_by_form(as_operator):
    def send(client=None, **typed):
        kept = {name: value for name, value in {**TYPED, **typed}.items() if value is not None}
        return (client or as_operator).post(reverse("supply:receive"), kept)

    return send


def test_a_letter_takes_the_size_of_the_sites_own_region(receive_by_form, site):
    receive_by_form()
    uk = Cylinder.objects.get(name="Yew")
    site.country = "US"
    site.save()
    receive_by_form(name="Oak")

    # UK size E: 4.7 L (supply S9, seen); US size E: 4.76 L (computed from 660 L at 1900 psi).
    assert (uk.size, uk.water_capacity_l) == ("E (UK/ISO)", 4.7)
    assert Cylinder.objects.get(name="Oak").water_capacity_l == 4.76


def test_a_letter_that_means_two_cylinders_is_asked_about(receive_by_form):
    asked = receive_by_form(size="G")
    text = text_of(asked)

    assert asked.status_code == 422
    assert "G means more than one cylinder" in text
    assert "G (US)" in text
    assert "G (UK/ISO)" in text
    assert not Cylinder.objects.exists()

    receive_by_form(size="G", region="US")
    assert Cylinder.objects.get().size == "G (US)"


def test_a_stamp_comes_before_any_letter(receive_by_form):
    receive_by_form(capacity_known="stamp", water_capacity="4.62", size="E")

    kept = Cylinder.objects.get()
    assert (kept.water_capacity_l, kept.capacity_known) == (4.62, "stamp")


def test_a_label_gives_the_capacity_by_real_gas_tables(receive_by_form):
    # UK size E: 680 L at 137 bar, 15 °C (supply S8, S9); 4.7 L holds 687 L by equation of state.
    receive_by_form(capacity_known="label", label_l="680", fill_gauge="137 bar")

    assert Cylinder.objects.get().water_capacity_l == pytest.approx(4.7 * 680 / 687, rel=0.003)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"name": ""}, "Give it a name."),
        ({"gas": ""}, "Read the label and choose the gas."),
        ({"size": ""}, "Write the size letter, or choose another way."),
        ({"size": "QQ"}, "No cylinder size 'QQ'"),
        ({"capacity_known": "stamp"}, "Write the water capacity stamped"),
        ({"capacity_known": "stamp", "water_capacity": "-4"}, "must be between 0.1 and 2000 L"),
        ({"capacity_known": "label", "label_l": "680"}, "Write the pressure that the label names"),
        ({"fill_gauge": "137 bar", "test_pressure": "100 bar"}, "It is filled above this"),
        ({"fill_gauge": "230 bar", "full_scale": "207 bar"}, "past the end of this dial"),
        ({"test_pressure": "many"}, "is not a pressure"),
        (
            {
                "capacity_known": "label",
                "gas": "nitrous oxide",
                "label_l": "1800",
                "fill_gauge": "44",
            },
            "give the stamped water capacity",
        ),
    ],
)
def test_what_cannot_be_received_is_said_beside_the_field(typed, sentence, receive_by_form):
    reply = receive_by_form(**typed)

    assert reply.status_code == 422
    assert sentence in text_of(reply).replace("&#x27;", "'")
    assert not Cylinder.objects.exists()


def test_a_name_twice_is_refused_and_the_form_stays(receive_by_form, alder):
    reply = receive_by_form(name="Alder", serial="K-77")

    assert reply.status_code == 422
    assert 'value="K-77"' in text_of(reply)


def test_a_viewer_receives_nothing(receive_by_form, as_viewer):
    assert receive_by_form(client=as_viewer).status_code == 403


def test_a_correction_starts_from_what_is_written_and_wants_a_reason(as_operator, hazel):
    address = reverse("supply:correct", kwargs={"code": hazel.code})
    assert 'value="Hazel"' in text_of(as_operator.get(address))
    typed = {"name": "Hazel", "gas": "oxygen", "capacity_known": "stamp", "water_capacity": "4.6"}

    assert as_operator.post(address, typed).status_code == 422
    reply = as_operator.post(address, {**typed, "reason": "Stamp read again."})

    hazel.refresh_from_db()
    assert reply.status_code == 302
    assert hazel.water_capacity_l == 4.6
    assert CylinderEvent.objects.filter(kind="corrected").count() == 1


def test_a_stranger_corrects_nothing(as_stranger, hazel):
    assert (
        as_stranger.get(reverse("supply:correct", kwargs={"code": hazel.code})).status_code == 404
    )
