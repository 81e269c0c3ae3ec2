"""Files that people hand in: known by content, cleaned, hashed, kept in the database, handed out.

A file is a PNG, a JPEG or a PDF by what it holds, never by its name. Pictures are written anew,
so that where and with what they were taken is gone. What is kept carries its SHA-256 and is only
ever handed out as a download. An app that keeps files adds a table of its own::

    class Certificate(Attachment):
        event = models.ForeignKey(ServiceEvent, on_delete=models.PROTECT, related_name="files")

    Certificate.objects.create(event=event, by=user, **kept.row)   # kept: what the field gave
    return attachment_response(certificate)                        # in the view
"""

import warnings
from dataclasses import asdict, dataclass
from hashlib import sha256
from io import BytesIO
from pathlib import PurePosixPath
from typing import TYPE_CHECKING, Any
from uuid import uuid4

from django import forms
from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.db import models
from django.http import HttpResponse
from django.utils.http import content_disposition_header

from ullage.core.errors import RuleBroken

if TYPE_CHECKING:
    from PIL.Image import Image

__all__ = [
    "KINDS",
    "MOST_BYTES",
    "Attachment",
    "AttachmentField",
    "Kept",
    "Kind",
    "attachment_kept",
    "attachment_response",
]

MOST_BYTES = 10_000_000
_MOST_PIXELS = 50_000_000
_LONGEST_NAME = 120


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of file: how it begins, what its name may end in, what a browser calls it."""

    name: str
    begins: bytes
    endings: tuple[str, ...]
    media_type: str


KINDS = (
    Kind("PNG", b"\x89PNG\r\n\x1a\n", (".png",), "image/png"),
    Kind("JPEG", b"\xff\xd8\xff", (".jpg", ".jpeg"), "image/jpeg"),
    Kind("PDF", b"%PDF-", (".pdf",), "application/pdf"),
)
_BY_NAME = {one.name: one for one in KINDS}


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A file fit to be kept: its name, its kind, its bytes and their hash."""

    name: str
    kind: str
    sha256: str
    size_bytes: int
    content: bytes

    @property
    def row(self) -> dict[str, Any]:
        """The fields of an `Attachment`."""
        return asdict(self)


class Attachment(models.Model):
    """A file as it is kept; its bytes stand in the database, so every backup holds them."""

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    name = models.CharField(max_length=_LONGEST_NAME)
    kind = models.CharField(max_length=8)
    sha256 = models.CharField(max_length=64)
    size_bytes = models.PositiveIntegerField()
    content = models.BinaryField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        abstract = True
        ordering = ("at", "pk")

    def __str__(self) -> str:
        return self.name


class AttachmentField(forms.FileField):
    """One file to hand in; its cleaned value is a `Kept`, or None where none was chosen."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("help_text", "PNG, JPEG or PDF, at most 10 MB.")
        super().__init__(**kwargs)
        endings = [ending for kind in KINDS for ending in kind.endings]
        self.widget.attrs |= {"accept": ",".join(endings)}

    def clean(self, data: Any, initial: Any = None) -> Any:
        """The file as it will be kept."""
        given = super().clean(data, initial)
        if not isinstance(given, UploadedFile):
            return None
        try:
            return attachment_kept(given)
        except RuleBroken as refusal:
            raise forms.ValidationError(str(refusal), code="file") from refusal


def attachment_kept(given: "UploadedFile[Any]") -> Kept:
    """A file that was handed in, known by its content and cleaned.

    Raises
    ------
    RuleBroken : too large, of another kind than three, not what its name says, or broken.
    """
    name = _clean_name(given.name or "")
    if (given.size or 0) > MOST_BYTES:
        size = (given.size or 0) / 1e6
        raise RuleBroken(f"{name} has {size:.1f} MB; a file may have at most 10 MB.")
    content = given.read(MOST_BYTES + 1)
    kind = _kind_of(name, content)
    clean = _whole_pdf(name, content) if kind.name == "PDF" else _picture(name, kind, content)
    if len(clean) > MOST_BYTES:
        raise RuleBroken(f"{name} has over 10 MB once written anew; hand in a smaller picture.")
    return Kept(
        name=name if PurePosixPath(name).suffix else f"{name}{kind.endings[0]}",
        kind=kind.name,
        sha256=sha256(clean).hexdigest(),
        size_bytes=len(clean),
        content=clean,
    )


def _clean_name(name: str) -> str:
    """The last part of a name, without what cannot be printed, not too long."""
    last = name.replace("\\", "/").rpartition("/")[2]
    seen = "".join(one for one in last if one.isprintable()).strip() or "file"
    path = PurePosixPath(seen)
    return f"{path.stem[: _LONGEST_NAME - 20]}{path.suffix[:16]}"


def _kind_of(name: str, content: bytes) -> Kind:
    kind = next((one for one in KINDS if content.startswith(one.begins)), None)
    if kind is None:
        raise RuleBroken(f"{name} holds neither a PNG, a JPEG nor a PDF; only these are kept.")
    ending = PurePosixPath(name).suffix.lower()
    if ending and ending not in kind.endings:
        raise RuleBroken(
            f"{name} is not what it says: it holds a {kind.name}. "
            f"Name it {kind.endings[0]} if that is what you mean to hand in."
        )
    return kind


def _whole_pdf(name: str, content: bytes) -> bytes:
    """A PDF as it came; one that breaks off is refused."""
    if b"%%EOF" not in content[-2048:]:
        raise RuleBroken(f"{name} begins as a PDF but breaks off; hand in the whole file.")
    return content


def _picture(name: str, kind: Kind, content: bytes) -> bytes:
    """A picture written anew: what it shows, upright, and nothing of what was said about it."""
    from PIL import Image, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(BytesIO(content), formats=[kind.name]) as opened:
                if opened.width * opened.height > _MOST_PIXELS:
                    raise RuleBroken(f"{name} has over 50 million pixels; hand in a smaller one.")
                return _written_anew(opened, kind)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as refusal:
        raise RuleBroken(f"{name} has over 50 million pixels; hand in a smaller one.") from refusal
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, EOFError) as refusal:
        raise RuleBroken(f"{name} cannot be read as a {kind.name}: it is broken.") from refusal


def _written_anew(opened: "Image", kind: Kind) -> bytes:
    from PIL import Image, ImageOps

    upright = ImageOps.exif_transpose(opened)
    see_through = kind.name == "PNG" and upright.has_transparency_data
    mode = "RGBA" if see_through else "RGB"
    bare = Image.new(mode, upright.size)
    bare.paste(upright.convert(mode))
    written = BytesIO()
    bare.save(written, format=kind.name, **({"quality": 90} if kind.name == "JPEG" else {}))
    return written.getvalue()


def attachment_response(kept: Attachment) -> HttpResponse:
    """A file as a download that no browser opens in our name; 409 where its hash does not hold."""
    content = bytes(kept.content)
    if sha256(content).hexdigest() != kept.sha256:
        said = (
            f"{kept.name} is no longer what was kept: its hash does not hold. It is not handed "
            "out; take it from a backup."
        )
        return HttpResponse(said, status=409, content_type="text/plain; charset=utf-8")
    return HttpResponse(
        content,
        content_type=_BY_NAME[kept.kind].media_type,
        headers={
            "Content-Disposition": content_disposition_header(True, kept.name) or "attachment",
            "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'; sandbox",
            "X-Content-Type-Options": "nosniff",
            "Cache-Control": "private, no-store",
        },
    )
