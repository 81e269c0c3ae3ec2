"""Pages on paper, read back as text, pages and attachments."""

import io
import json
import subprocess
import sys

import pikepdf
import pytest
import segno

from ullage.answers import CAUTION_LINE, Answer, Step, Verdict, WhereFrom
from ullage.core.errors import UnknownReference
from ullage.web.shared.print import render_pdf

pytestmark = pytest.mark.web

LASTS = Answer(
    question="How long will Alder last?",
    unit="min",
    value=161.0,
    low=144.0,
    high=178.0,
    sentence="Oxygen lasts 2 h 41 min at 1.7 L/min.",
    reasons=("343 L in it, 69 L kept back.",),
    where_from=(
        WhereFrom(source="reading", how_known="seen", text="71 bar at 07:52"),
        WhereFrom(source="gauge_classes", how_known="memory", text="Gauge of class 2.5"),
    ),
    steps=(Step(what="71 bar on the gauge", result="343 L"),),
    cautions=("Never flush while an animal is connected.",),
    verdict=Verdict.LOOK_AGAIN,
    todo="Fit a full one before Sorrel.",
)
DAY = {
    "title": "Day plan",
    "site": "Fennel Lane Research Surgery",
    "date": "Tuesday 9 June 2026",
    "worked_out": "09:31",
    "note": "Invented demo data.",
    "cases": [{"time": "10:30 to 12:20", "name": "Clover", "machine": "Wren", "words": "3.4 kg"}],
    "sources": [{"name": "Oxygen, Alder", "words": "on Wren", "answers": [LASTS]}],
    "links": [LASTS],
}


def text_of(pdf: bytes) -> str:
    read = ["pdftotext", "-layout", "-", "-"]
    return subprocess.run(read, input=pdf, capture_output=True, check=True).stdout.decode()


def pages_of(pdf: bytes) -> list[str]:
    return text_of(pdf).split("\f")[:-1]


def test_the_day_plan_prints_the_answer_whole():
    page = text_of(render_pdf("day", DAY))

    for words in ("Clover", "2 h 41 min", "likely 2 h 24 min to 2 h 58 min", "Look again"):
        assert words in page
    assert "Fit a full one before Sorrel." in page
    assert "Never flush while an animal is connected." in page


def test_a_value_from_memory_says_so_on_paper():
    page = text_of(render_pdf("day", DAY))

    assert "Gauge of class 2.5 (from memory, not confirmed)" in page
    assert "71 bar at 07:52 (read on an instrument)" in page


def test_every_page_has_caution_site_date_and_its_number():
    long = {**DAY, "sources": DAY["sources"] * 20}
    pages = pages_of(render_pdf("day", long))

    assert len(pages) > 2
    for number, page in enumerate(pages, 1):
        assert CAUTION_LINE in page
        assert f"page {number} of {len(pages)}" in page
        assert "Fennel Lane Research Surgery" in page
        assert "Tuesday 9 June 2026" in page
        assert "Invented demo data." in page


def test_what_to_do_puts_stop_before_look_again():
    stop = {**LASTS.as_dict(), "verdict": "Stop", "todo": "Chain the cylinder."}
    page = text_of(render_pdf("day", {**DAY, "links": [stop]}))

    first, second = page.index("Chain the cylinder."), page.index("Fit a full one")
    assert first < second


def test_the_answers_are_attached_as_data_and_come_back_as_answers():
    with pikepdf.open(io.BytesIO(render_pdf("day", DAY))) as pdf:
        kept = json.loads(pdf.attachments["answers.json"].get_file().read_bytes())

    assert Answer.from_dict(kept["sources"][0]["answers"][0]) == LASTS


def test_the_file_says_it_is_archival_and_tagged():
    with pikepdf.open(io.BytesIO(render_pdf("day", DAY))) as pdf:
        with pdf.open_metadata() as about:
            assert (about["pdfaid:part"], about["pdfaid:conformance"]) == ("3", "A")
            assert about["pdfuaid:part"] == "1"
        assert pdf.Root.MarkInfo.Marked
        assert pdf.docinfo["/Title"] == "Day plan"


def test_a_day_with_nothing_in_it_is_still_a_page():
    empty = {"title": "Day plan", "site": "High Saddle", "date": "Sunday 1 March 2026"}
    pages = pages_of(render_pdf("day", empty))

    assert len(pages) == 1
    assert "page 1 of 1" in pages[0]


def test_a_label_sheet_carries_name_gas_size_and_line():
    code = segno.make("http://127.0.0.1:8000/c/1/").svg_inline()
    one = {"svg": code, "name": "Alder", "gas": "Oxygen", "size": "E, 4.76 L", "line": "127.0.0.1"}
    sheet = {"title": "Labels", "site": "Fennel Lane", "date": "9 June 2026", "labels": [one] * 13}
    pages = pages_of(render_pdf("labels", sheet))

    assert len(pages) == 2
    assert pages[0].count("Alder") + pages[1].count("Alder") == 13
    assert "E, 4.76 L" in pages[0]


@pytest.mark.parametrize(("paper", "wide_pt"), [("a4", 595.28), ("us-letter", 612.0)])
def test_paper_is_what_the_site_uses(paper, wide_pt):
    with pikepdf.open(io.BytesIO(render_pdf("day", {**DAY, "paper": paper}))) as pdf:
        assert float(pdf.pages[0].mediabox[2]) == pytest.approx(wide_pt, abs=0.1)


def test_an_unknown_template_names_the_known_ones():
    with pytest.raises(UnknownReference, match="There are: case, day, labels, machine, order"):
        render_pdf("poster", {})


def test_printing_needs_no_web_framework():
    code = "import sys; from ullage.web.shared.print import render_pdf; "
    code += "render_pdf('day', {'title': 'x', 'site': 'y', 'date': 'z'}); "
    code += "print('django' in sys.modules)"
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)

    assert said.stdout.decode().strip() == "False"


def test_a_letter_that_no_font_has_stands_as_its_number():
    page = text_of(render_pdf("day", {**DAY, "site": "羊 Hill \x07", "title": "Day 😀"}))

    assert "[U+7F8A] Hill [U+0007]" in page
    assert "Day [U+1F600]" in page
