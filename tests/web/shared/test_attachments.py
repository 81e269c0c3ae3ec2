"""Files that people hand in: known by content, cleaned of location, hashed, handed out safely."""

from hashlib import sha256
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.forms import Form
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from ullage.core.errors import RuleBroken
from ullage.web.shared.attachments import (
    MOST_BYTES,
    AttachmentField,
    attachment_kept,
    attachment_response,
)

pytestmark = pytest.mark.web

PDF = b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\ntrailer\n<<>>\n%%EOF\n"
#: Tags of EXIF: where the picture was taken, which way up it is.
GPS, UPRIGHT = 0x8825, 0x0112


def given(content: bytes, name: str) -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content)


def photo(kind="JPEG", size=(8, 4), mode="RGB", **how) -> bytes:
    image = Image.new(mode, size, "red")
    written = BytesIO()
    image.save(written, format=kind, **how)
    return written.getvalue()


def taken_somewhere() -> bytes:
    """A photo with a place in it, lying on its side."""
    exif = Image.Exif()
    exif.get_ifd(GPS).update({1: "N", 2: (51.0, 28.0, 38.0), 3: "W", 4: (0.0, 0.0, 5.0)})
    exif[UPRIGHT] = 6
    exif[0x010F] = "Maker of cameras"
    return photo(exif=exif, comment=b"by the window")


def test_a_photo_loses_its_place_and_stands_upright():
    before = Image.open(BytesIO(taken_somewhere()))
    assert before.getexif().get_ifd(GPS)
    kept = attachment_kept(given(taken_somewhere(), "certificate.jpg"))
    after = Image.open(BytesIO(kept.content))

    assert not after.getexif()
    assert "comment" not in after.info
    assert b"Maker of cameras" not in kept.content
    assert before.size == (8, 4)
    assert after.size == (4, 8)
    assert kept.sha256 == sha256(kept.content).hexdigest()
    assert kept.size_bytes == len(kept.content)


def test_a_drawing_loses_what_was_written_into_it():
    about = PngInfo()
    about.add_text("Location", "51.4773, -0.0014")
    kept = attachment_kept(given(photo("PNG", mode="RGBA", pnginfo=about), "plan.png"))

    assert kept.kind == "PNG"
    assert b"51.4773" not in kept.content
    assert Image.open(BytesIO(kept.content)).mode == "RGBA"


def test_a_pdf_is_kept_as_it_came():
    kept = attachment_kept(given(PDF, "service 2026.pdf"))

    assert (kept.kind, kept.name, kept.content) == ("PDF", "service 2026.pdf", PDF)


@pytest.mark.parametrize(
    ("content", "name", "sentence"),
    [
        (b"MZ\x90\x00", "tool.exe", "neither a PNG, a JPEG nor a PDF"),
        (b"<html><script>alert(1)</script>", "page.pdf", "neither a PNG, a JPEG nor a PDF"),
        (b"", "nothing.pdf", "neither a PNG, a JPEG nor a PDF"),
        (PDF, "certificate.png", "not what it says: it holds a PDF"),
        (photo("PNG"), "certificate.jpg", "not what it says: it holds a PNG"),
        (photo("PNG")[:40], "half.png", "cannot be read as a PNG"),
        (photo("JPEG")[:-30], "half.jpg", "cannot be read as a JPEG"),
        (b"\x89PNG\r\n\x1a\nnot a picture", "odd.png", "cannot be read as a PNG"),
        (PDF[:30], "half.pdf", "breaks off"),
        (PDF + b" " * MOST_BYTES, "long.pdf", "at most 10 MB"),
    ],
)
def test_what_cannot_be_kept_is_refused_with_a_sentence(content, name, sentence):
    with pytest.raises(RuleBroken, match=sentence):
        attachment_kept(given(content, name))


def test_a_small_file_that_would_unfold_into_a_huge_picture_is_refused():
    bomb = photo("PNG", size=(9000, 6000), mode="1")

    assert len(bomb) < 100_000
    with pytest.raises(RuleBroken, match="over 50 million pixels"):
        attachment_kept(given(bomb, "bomb.png"))


@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("a\x00b\r\nc.pdf", "abc.pdf"),
        ("C:\\papers\\service.pdf", "service.pdf"),
        ("scan", "scan.pdf"),
        ("x" * 300 + ".pdf", "x" * 100 + ".pdf"),
    ],
)
def test_a_name_is_made_fit_to_print(name, kept):
    file = given(PDF, "x.pdf")
    file._name = name  # past Django's own cleaning, which ours must not rest on

    assert attachment_kept(file).name == kept


class Handing(Form):
    file = AttachmentField(label="Certificate", required=False)


def test_the_field_gives_what_is_kept_or_nothing():
    with_one = Handing({}, {"file": given(PDF, "a.pdf")})
    without = Handing({}, {})

    assert with_one.is_valid()
    assert with_one.cleaned_data["file"].kind == "PDF"
    assert without.is_valid()
    assert without.cleaned_data["file"] is None


def test_the_field_refuses_with_the_same_sentence():
    form = Handing({}, {"file": given(b"GIF89a....", "dance.gif")})

    assert not form.is_valid()
    assert "neither a PNG, a JPEG nor a PDF" in form.errors["file"][0]


class Row:
    """What the tables of apps have in common, without a table."""

    def __init__(self, **fields):
        self.__dict__.update(fields)


def test_a_file_is_handed_out_as_a_download_that_is_not_sniffed():
    kept = attachment_kept(given(PDF, 'odd "name" ü.pdf'))
    reply = attachment_response(Row(**kept.row))

    assert reply.content == PDF
    assert reply["Content-Type"] == "application/pdf"
    assert reply["Content-Disposition"].startswith("attachment;")
    assert reply["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in reply["Content-Security-Policy"]


def test_a_file_whose_hash_does_not_hold_is_not_handed_out():
    kept = attachment_kept(given(PDF, "a.pdf"))
    reply = attachment_response(Row(**{**kept.row, "content": PDF.replace(b"1.7", b"1.4")}))

    assert reply.status_code == 409
    assert b"hash does not hold" in reply.content
