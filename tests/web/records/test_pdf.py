"""The record as a file: archival and tagged, its text on every page, the same bytes each time.

Read with a general-purpose library and text extractor; sources of what is asked beside each test.
"""

import hashlib
import io
import os
import random
import subprocess
import sys
from datetime import date

import pikepdf
import pytest

from tests.web.records.test_odd import odd_lines
from tests.web.records.world import (
    Case,
    CaseOpened,
    EntryKind,
    EntryText,
    file_of,
    mice_case,
    sheep_case,
)
from ullage.answers import CAUTION_LINE, verify_record
from ullage.answers.record.intervals import Phase, interval_rule
from ullage.answers.record.recovery import recovery_left, recovery_steps
from ullage.answers.record.retention import KeptRecord, retention_until
from ullage.web.records.paper import RecordPaper, groups_of, record_pdf, record_pdfs

pytestmark = pytest.mark.web


def about(**more):
    given = {
        "number": "2026-0147",
        "site": "Fennel Lane Research Surgery",
        "time_zone": "Europe/London",
        "state": "closed 4 June 2026 13:22 by Morag Orr",
        "is_demo": True,
        "interval": interval_rule("sheep", Phase.ANAESTHESIA),
        "recovery": recovery_left(recovery_steps("sheep"), []),
        "retention": retention_until(
            KeptRecord(species="sheep", made=date(2026, 6, 4)), ["eu", "aspa"]
        ),
        **more,
    }
    return RecordPaper(**given)


def pdf_of(lines, **more):
    return record_pdf(lines, file_of(lines), about(**more))


def pages_of(pdf):
    read = ["pdftotext", "-layout", "-", "-"]
    said = subprocess.run(read, input=pdf, capture_output=True, check=True).stdout.decode()
    return said.split("\f")[:-1]


@pytest.fixture(scope="module")
def sheep():
    return pdf_of(sheep_case(), country="GB")


@pytest.fixture
def opened(sheep):
    with pikepdf.open(io.BytesIO(sheep)) as pdf:
        yield pdf


def test_every_page_has_caution_number_fingerprint_and_count(sheep):
    pages = pages_of(sheep)
    chain = file_of(sheep_case())
    sum_ = chain.decode().partition('"head":"')[2][:64]

    assert len(pages) >= 5
    for number, page in enumerate(pages, start=1):
        assert CAUTION_LINE in page
        assert f"Record 2026-0147, page {number} of {len(pages)}" in page
        assert groups_of(sum_) in page
        assert "1208 lines" in page
        assert "Invented demo data." in page
        assert "Tansy, S-11" in page


def test_the_pages_hold_what_a_record_is_asked_for(sheep):
    whole = "\n".join(pages_of(sheep))

    for heading in (
        *("Chart of Tansy, S-11", "Given", "Used", "Events", "Amendments: both values stay"),
        *("Recovery", "Every value", "Settings, signs and other entries"),
        *("How the numbers were worked out", "How often something is written down"),
        *("What is recorded of all that is asked", "Kept until", "Signed"),
    ):
        assert heading in whole
    for words in (
        *("late, written 09:41", "digits swapped", "I was responsible for this anaesthesia"),
        *("Kept until 04 June 2031", "from memory, not confirmed", "Phases."),
        *("midazolam 0.3 mg/kg, at 5 mg/mL, 3.5 mL, IM, lot M81, expiry 2027-03"),
        *("one value per box is drawn", "Actual severity", "not recorded", "M.O.: Morag Orr"),
    ):
        assert words in whole


def test_it_names_itself_pdf_a_3a_and_pdf_ua_1(opened):
    """ISO 19005-3, 6.6.4: part and conformance; ISO 14289-1, 5: pdfuaid:part."""
    with opened.open_metadata() as about_it:
        assert (about_it["pdfaid:part"], about_it["pdfaid:conformance"]) == ("3", "A")
        assert about_it["pdfuaid:part"] == "1"
        assert about_it["dc:title"] == "Record 2026-0147: Tansy, S-11"


def test_it_is_tagged_has_its_language_and_shows_its_title(opened):
    """ISO 14289-1, 7.1 and 7.2: marked, a structure tree, a language, the title in the window."""
    assert opened.Root.MarkInfo.Marked
    assert str(opened.Root.Lang) == "en-GB"
    assert opened.Root.ViewerPreferences.DisplayDocTitle
    assert all(page.get("/Tabs") == "/S" for page in opened.pages if "/Annots" in page)


def nodes(one):
    """Every element of the structure tree."""
    if isinstance(one, pikepdf.Array):
        for part in one:
            yield from nodes(part)
    elif isinstance(one, pikepdf.Dictionary):
        if "/S" in one:
            yield one
        if "/K" in one:
            yield from nodes(one.K)


def test_every_figure_has_its_words_and_every_table_its_heads(opened):
    """ISO 14289-1, 7.3: alternative text of figures; 7.5: header cells of tables."""
    found = list(nodes(opened.Root.StructTreeRoot.K))
    figures = [one for one in found if one.S == "/Figure"]
    tables = [one for one in found if one.S == "/Table"]

    assert len(figures) == 1
    assert "Heart rate" in str(figures[0].Alt)
    assert "not recorded" not in str(figures[0].Alt)
    assert len(tables) >= 10
    assert all(any(one.S == "/TH" for one in nodes(table.K)) for table in tables)
    heads = [str(one.S) for one in found if str(one.S) in {"/H1", "/H2", "/H3"}]
    assert heads.count("/H1") == 1
    assert heads[0] == "/H1"


def test_the_record_is_attached_as_data_byte_for_byte_and_verifies(opened):
    """ISO 19005-3, 6.8: associated files with a relationship, a type and a name."""
    (file,) = opened.Root.AF
    kept = opened.attachments["record.json"].get_file().read_bytes()

    assert (file.AFRelationship, file.EF.F.Subtype) == ("/Data", "/application/json")
    assert str(file.UF) == "record.json"
    assert kept == file_of(sheep_case())
    assert verify_record(kept).sentence.startswith("The record 2026-0147 holds together")


def test_fonts_are_inside_nothing_is_encrypted_and_colours_have_a_profile(opened):
    """ISO 19005-3, 6.2.11.4 fonts embedded, 6.1.3 no encryption, 6.2.3 output intent."""
    fonts = [
        font.DescendantFonts[0].FontDescriptor
        for page in opened.pages
        for font in page.resources.Font.values()
    ]

    assert fonts
    assert all({"/FontFile2", "/FontFile3"} & set(one.keys()) for one in fonts)
    assert all("/ToUnicode" in f for page in opened.pages for f in page.resources.Font.values())
    assert not opened.is_encrypted
    assert [str(one.S) for one in opened.Root.OutputIntents] == ["/GTS_PDFA1"]
    assert "/JavaScript" not in opened.Root.Names
    assert "/ID" in opened.trailer


_IN_ANOTHER_PROCESS = """
from tests.web.records.test_pdf import sum_of_prints
print(sum_of_prints())
"""


def sum_of_prints():
    """One sum over a dense record, a group, and odd lines of many variables."""
    many = [sheep_case(300), mice_case(3), odd_lines(random.Random(3)), odd_lines(random.Random(9))]
    return hashlib.sha256(b"".join(pdf_of(lines) for lines in many)).hexdigest()


def test_two_processes_write_the_same_bytes_whatever_the_order_of_their_sets():
    sums = {
        subprocess.run(
            [sys.executable, "-c", _IN_ANOTHER_PROCESS],
            capture_output=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        )
        .stdout.decode()
        .strip()
        for seed in ("1", "2")
    }

    assert sums == {sum_of_prints()}


def test_one_changed_entry_changes_the_bytes_and_the_fingerprint():
    one, other = (pdf_of(sheep_case(80, seed=seed)) for seed in (1, 2))

    assert one != other
    assert pages_of(one)[0].split("fingerprint")[1] != pages_of(other)[0].split("fingerprint")[1]


@pytest.mark.parametrize(("country", "wide_pt"), [("GB", 595.28), ("US", 612.0)])
def test_paper_is_that_of_the_country(country, wide_pt):
    with pikepdf.open(io.BytesIO(pdf_of(sheep_case(60), country=country))) as pdf:
        assert {round(float(page.mediabox[2]), 2) for page in pdf.pages} == {wide_pt}


def test_a_group_is_printed_with_a_line_for_each_animal():
    lines = mice_case(4)
    page = pages_of(record_pdf(lines, file_of(lines), about(number="2026-0151")))[0]

    assert "Animals of the group" in page
    assert all(f"M{number}" in page for number in range(1, 5))


ODD = [
    "羊 😀 \x07 \ufffe e\u0301 ﷺ",
    "#pagebreak() $x$ \\ [ ] <a> *b* _c_ @d",
    "x" * 3000,
    "two\nlines\tand a tab",
    '"><script>alert(1)</script>',
]


@pytest.mark.parametrize("words", ODD, ids=["letters", "marks", "long", "lines", "script"])
def test_whatever_people_typed_is_printed_and_stops_nothing(words):
    case = Case()
    case.add(CaseOpened, 0, facts={"animal": words, words[:40]: words})
    case.add(EntryText, 1, kind=EntryKind.TEXT, what="", typed=words)
    case.add(EntryText, 2, kind=EntryKind.DRUG, what=words, typed="", details={"route": words})
    case.read(3, "temperature", "38 °C", details={"site": words})
    case.amend(4, case.lines[-1].id, words, "temperature", "39 °C")
    pdf = pdf_of(case.lines, site=words, state=words)

    with pikepdf.open(io.BytesIO(pdf)) as opened:
        kept = opened.attachments["record.json"].get_file().read_bytes()
    assert kept == file_of(case.lines)
    assert len(pages_of(pdf)) >= 2


def test_a_letter_without_a_shape_stands_as_its_number():
    case = Case()
    case.add(CaseOpened, 0, facts={"animal": "羊 7"})

    assert "[U+7F8A] 7" in pages_of(pdf_of(case.lines))[0]


def test_a_record_with_nothing_in_it_is_still_a_record():
    case = Case()
    case.add(CaseOpened, 0, facts={})
    page = pages_of(pdf_of(case.lines, interval=None, recovery=None, retention=None))[0]

    assert "No reading was entered." in page
    assert "not recorded" in page


def test_several_records_tell_how_far_they_are():
    cases = (sheep_case(60), mice_case(2), sheep_case(70))
    many = [(lines, file_of(lines), about(number=f"N{len(lines)}")) for lines in cases]
    steps = list(record_pdfs(iter(many), total=3))

    assert [(one.done, one.total) for one in steps] == [(1, 3), (2, 3), (3, 3)]
    assert [(one.number, one.pdf) for one in steps] == [
        (about_it.number, record_pdf(lines, chain, about_it)) for lines, chain, about_it in many
    ]
    assert list(record_pdfs(iter(()), total=0)) == []
