"""What cannot be taken is kept word for word, once, until a lead has settled it."""

from dataclasses import dataclass
from hashlib import sha256

from django.utils import timezone

from ullage.web.accounts.selectors import User
from ullage.web.cases.models import NotTaken, Record, Tablet, Why
from ullage.web.sites.selectors import Site

__all__ = ["Aside", "aside_keep", "kept_text", "word_digest"]

_LONGEST_ID = 64
_LONGEST_SAYS = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class Aside:
    """One thing that was sent and not taken: word for word, why, and by whom it came."""

    site: Site
    word: str
    why: Why
    says: str
    entry: str = ""
    record: Record | None = None
    author: User | None = None
    by: User | None = None
    tablet: Tablet | None = None


def aside_keep(aside: Aside) -> NotTaken:
    """Keep what was sent; the same thing sent again is there already."""
    row, _ = NotTaken.objects.get_or_create(
        site=aside.site,
        entry=kept_text(aside.entry)[:_LONGEST_ID],
        digest=word_digest(aside.word),
        defaults={
            "record": aside.record,
            "sent": kept_text(aside.word),
            "why": aside.why,
            "says": kept_text(aside.says)[:_LONGEST_SAYS],
            "author": aside.author,
            "by": aside.by,
            "tablet": aside.tablet,
            "at": timezone.now(),
        },
    )
    return row


def word_digest(word: str) -> str:
    """The fingerprint of what was sent."""
    return sha256(word.encode("utf-8", "surrogatepass")).hexdigest()


def kept_text(text: str) -> str:
    r"""A text as every database can hold it.

    Halves of characters and the null character are written as JSON writes them, ``\ud800``.
    """
    if text.isprintable():
        return text
    return "".join(
        f"\\u{ord(one):04x}" if one == "\0" or 0xD800 <= ord(one) <= 0xDFFF else one for one in text
    )
