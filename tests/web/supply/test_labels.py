"""Labels: the printed QR code leads to the cylinder at the site's own address."""

import subprocess
from io import BytesIO
from uuid import uuid4

import pytest
import zxingcpp
from django.urls import reverse
from PIL import Image

from ullage.web.shared.labels import is_only_here

pytestmark = pytest.mark.web


@pytest.fixture
def sheet(as_operator):
    def get(*cylinders, client=None, **more):
        asked = {"c": [str(one.code) for one in cylinders], **more}
        return (client or as_operator).get(
            reverse("supply:labels_pdf"), asked, HTTP_HOST=more.pop("host", "testserver")
        )

    return get


def seen_on(pdf):
    """What a camera reads on the first page, drawn as paper would be."""
    drawn = subprocess.run(
        ["pdftoppm", "-png", "-r", "150", "-f", "1", "-l", "1", "-"],  # noqa: S607  # poppler-utils
        input=pdf,
        capture_output=True,
        check=True,
    )
    return {one.text for one in zxingcpp.read_barcodes(Image.open(BytesIO(drawn.stdout)))}


def words_on(pdf):
    read = subprocess.run(
        ["pdftotext", "-layout", "-", "-"],  # noqa: S607  # poppler-utils
        input=pdf,
        capture_output=True,
        check=True,
    )
    return " ".join(read.stdout.decode().split())


def page_mm(pdf):
    read = subprocess.run(
        ["pdfinfo", "-"],  # noqa: S607  # poppler-utils
        input=pdf,
        capture_output=True,
        check=True,
    )
    found = read.stdout.decode()
    line = next(line for line in found.splitlines() if line.startswith("Page size"))
    return tuple(round(float(one) * 25.4 / 72) for one in line.split()[2:5:2])


def test_the_printed_code_leads_to_the_page_of_its_cylinder(sheet, alder, hazel):
    pdf = sheet(alder, hazel).content

    assert seen_on(pdf) == {
        f"http://testserver/c/{alder.code}/",
        f"http://testserver/c/{hazel.code}/",
    }


def test_the_label_says_in_words_what_hangs_on_the_cylinder(sheet, alder):
    words = words_on(sheet(alder).content)

    assert "Alder" in words
    assert "Oxygen (white shoulder, ISO 32)" in words
    assert "size E, 4.7 L" in words


@pytest.mark.parametrize(
    ("paper", "size_mm"), [("a4", (210, 297)), ("us-letter", (216, 279)), ("papyrus", (210, 297))]
)
def test_both_papers_are_printed(paper, size_mm, sheet, alder):
    assert page_mm(sheet(alder, paper=paper).content) == size_mm


def test_the_address_on_the_label_is_the_one_the_site_is_open_at(sheet, alder, settings):
    settings.ALLOWED_HOSTS = ["ullage.fennel.example"]
    pdf = sheet(alder, host="ullage.fennel.example").content

    assert seen_on(pdf) == {f"http://ullage.fennel.example/c/{alder.code}/"}


def test_cylinders_of_another_site_get_no_label(sheet, as_stranger, alder):
    reply = sheet(alder, client=as_stranger)

    assert reply.status_code == 302
    assert reply.url == reverse("supply:labels")


@pytest.mark.parametrize("codes", [[], ["nonsense"], [str(uuid4())]])
def test_nothing_chosen_leads_back_to_the_choice(codes, as_operator):
    reply = as_operator.get(reverse("supply:labels_pdf"), {"c": codes})

    assert reply.url == reverse("supply:labels")


def test_the_choice_lists_what_stands_here_and_marks_what_was_asked_for(as_operator, alder, hazel):
    text = as_operator.get(reverse("supply:labels"), {"c": str(hazel.code)}).content.decode()

    assert f'value="{hazel.code}" checked' in text
    assert f'value="{alder.code}" checked' not in text


def test_an_address_that_no_tablet_reaches_is_pointed_out(as_operator, alder):
    here = as_operator.get(reverse("supply:labels"), HTTP_HOST="127.0.0.1:8000")
    there = as_operator.get(reverse("supply:labels"))

    assert "lead to this computer only" in here.content.decode()
    assert "lead to this computer only" not in there.content.decode()


@pytest.mark.parametrize(
    ("address", "only_here"),
    [
        ("http://127.0.0.1:8000/", True),
        ("http://[::1]:8000/", True),
        ("http://localhost/", True),
        ("https://10.0.0.7/", False),
        ("https://ullage.fennel.example/", False),
    ],
)
def test_loopback_is_told_from_the_network(address, only_here):
    assert is_only_here(address) is only_here


def test_an_empty_site_says_what_to_do_first(as_operator):
    assert "Receive one first" in as_operator.get(reverse("supply:labels")).content.decode()


def test_a_sheet_is_only_looked_at(as_operator):
    assert as_operator.post(reverse("supply:labels_pdf")).status_code == 405
