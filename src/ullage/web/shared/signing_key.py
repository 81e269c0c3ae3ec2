"""The key that signs heads of records: a file outside the database, made at first use.

It stands beside the data, or where ULLAGE_SIGNING_KEY says: on another disk, so that who holds the
database does not hold the key. Its public half is written to `signing.pub` beside the data, one
after the other if there were several; while that names a key and the key itself is not there,
nothing is signed with another one until somebody says so.
"""

import os
from itertools import groupby
from pathlib import Path
from secrets import token_bytes
from tempfile import NamedTemporaryFile

from django.conf import settings

from ullage.answers.record.signed import (
    SEED_BYTES,
    fingerprint,
    private_pem,
    public_hex,
    public_pem,
)
from ullage.core.errors import RuleBroken, UllageError

__all__ = [
    "public_key_hex",
    "public_key_pem",
    "public_keys_pem",
    "public_path",
    "signing_key_is_private",
    "signing_key_new",
    "signing_key_path",
    "signing_key_pem",
]

_END = "-----END PUBLIC KEY-----\n"


def signing_key_path() -> Path:
    """Where the private key is kept."""
    return Path(os.environ.get("ULLAGE_SIGNING_KEY") or settings.STATE / "signing.pem")


def public_path() -> Path:
    """Where every public key of this installation is kept, the newest last."""
    return Path(settings.STATE) / "signing.pub"


def signing_key_pem() -> str:
    """The private key of this installation as PEM text; made at first use.

    Raises
    ------
    RuleBroken : the key was there before and is not now, or its file cannot be read.
    """
    kept = signing_key_path()
    if not kept.is_file():
        known = public_keys_pem()
        if not known:
            return _made(kept)
        # Asked again: another process may have made the first one between the two looks.
        if not kept.is_file():
            raise RuleBroken(
                f"The signing key is not at {kept}, and this installation has signed with key "
                f"{fingerprint(public_hex(known[-1]))} before. Put the file back, or connect its "
                "disk. If it is lost for good: ullage signing-key --new"
            )
    pem = _read(kept)
    _remember(public_pem(pem))
    return pem


def public_key_pem() -> str:
    """The public key that goes with `signing_key_pem`, as PEM text."""
    return public_pem(signing_key_pem())


def public_key_hex() -> str:
    """The public key that goes with `signing_key_pem`, in hexadecimal as signatures carry it."""
    return public_hex(public_key_pem())


def public_keys_pem() -> tuple[str, ...]:
    """Every public key that this installation has signed with, the newest last."""
    try:
        found = public_path().read_text(encoding="ascii")
    except FileNotFoundError:
        return ()
    # Two that first use a key at one moment may both have written it down.
    return tuple(f"{one}{_END}" for one, _ in groupby(found.split(_END)) if one.strip())


def signing_key_new() -> str:
    """Make a key where none is, and return it.

    Raises
    ------
    RuleBroken : a key is there, or its folder is not.
    """
    kept = signing_key_path()
    if kept.exists():
        raise RuleBroken(f"There is a signing key at {kept}. Move it away first, and keep it.")
    return _made(kept)


def _made(kept: Path) -> str:
    """The key that stands there now: ours, or that of who was quicker."""
    if kept.parent == Path(settings.STATE):
        kept.parent.mkdir(parents=True, exist_ok=True)
    if not kept.parent.is_dir():
        raise RuleBroken(f"The folder {kept.parent} of the signing key is not there.")
    _place(kept, private_pem(token_bytes(SEED_BYTES)))
    pem = _read(kept)
    _remember(public_pem(pem))
    return pem


def signing_key_is_private() -> bool:
    """Say whether nobody but its owner can read the key; where a system has no such modes, yes."""
    kept = signing_key_path()
    return os.name != "posix" or not kept.is_file() or kept.stat().st_mode & 0o077 == 0


def _read(kept: Path) -> str:
    try:
        pem = kept.read_text(encoding="ascii")
        public_pem(pem)
    except (OSError, UnicodeDecodeError, UllageError) as why:
        raise RuleBroken(f"The signing key at {kept} cannot be read: {why}") from why
    return pem


def _place(kept: Path, text: str) -> None:
    """Put a file in its place whole, for its owner alone, unless somebody was quicker."""
    with NamedTemporaryFile("w", dir=kept.parent, prefix=".key-", encoding="ascii") as written:
        written.write(text)
        written.flush()
        os.fsync(written.fileno())
        try:
            os.link(written.name, kept)
        except FileExistsError:
            return
        except OSError:  # a stick without links, or a system without them
            _write_anew(kept, text)
    _sync_folder(kept.parent)


def _write_anew(kept: Path, text: str) -> None:
    with os.fdopen(os.open(kept, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as opened:
        opened.write(text)
        opened.flush()
        os.fsync(opened.fileno())


def _remember(public: str) -> None:
    """Write a public key to those of this installation, unless it is the newest already."""
    known = public_keys_pem()
    if known and known[-1] == public:
        return
    with public_path().open("a", encoding="ascii") as opened:
        opened.write(public)
        opened.flush()
        os.fsync(opened.fileno())
    _sync_folder(public_path().parent)


def _sync_folder(folder: Path) -> None:
    if os.name != "posix":
        return
    opened = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)
