"""A backup as one file: a ZIP with the copy of the database, its manifest, and a signature.

The manifest says when and with which version the copy was made, what is in it and how far each
chain went, and the SHA-256 of the copy. The signature is of the manifest, with the signing key of
the installation, which is not in the backup.
"""

import json
import os
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field
from hashlib import sha256
from pathlib import Path
from typing import IO

from ullage.answers.record.chained import Head
from ullage.answers.record.fixed import FORMAT, fixed_text, read_fixed
from ullage.answers.record.signed import HeadSignature, sign_head, signature_holds
from ullage.core.errors import PlanUnreadable, RuleBroken

__all__ = ["Backup", "Manifest", "open_backup", "pack", "sum_of", "unpack"]

_MANIFEST, _SIGNATURE = "manifest.json", "signature.json"
_BLOCK = 1 << 20
#: A manifest names every chain; more than this is none of ours.
_LARGEST_MANIFEST = 200_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """What a backup says of itself."""

    made_at: str
    version: str
    vendor: str
    file: str
    bytes: int
    sha256: str
    epoch: str
    tables: Mapping[str, int]
    heads: tuple[Head, ...]
    format: int = FORMAT

    @property
    def text(self) -> str:
        """The fixed text that is signed."""
        return fixed_text(asdict(self))


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup that was read: its file, what it says, and who signed it."""

    path: Path
    manifest: Manifest
    signature: HeadSignature
    faults: tuple[str, ...] = field(default=())


def _head(manifest: Manifest) -> Head:
    """What is signed of a manifest: it is written as a head of the record's kind of signature."""
    digest = sha256(manifest.text.encode()).hexdigest()
    return Head(kind="backup", of=manifest.epoch, count=len(manifest.heads), sum=digest)


def sum_of(opened: IO[bytes]) -> str:
    """The SHA-256 of what is left to read."""
    digest = sha256()
    while block := opened.read(_BLOCK):
        digest.update(block)
    return digest.hexdigest()


def pack(copy: Path, manifest: Manifest, key_pem: str, folder: Path) -> Path:
    """Write a backup, read it back, and only then give it its name.

    Raises
    ------
    RuleBroken : what was read back is not what was written.
    """
    signature = sign_head(_head(manifest), key_pem, manifest.made_at)
    at = "".join(one for one in manifest.made_at if one.isdigit())
    name = f"ullage-{at[:8]}T{at[8:14]}Z-{at[14:18]}.backup.zip"
    beside = folder / f".{name}.part"
    try:
        with _own(beside) as written:
            with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED, compresslevel=4) as packed:
                packed.writestr(_MANIFEST, manifest.text)
                packed.writestr(_SIGNATURE, json.dumps(asdict(signature), sort_keys=True))
                packed.write(copy, manifest.file)
            written.flush()
            os.fsync(written.fileno())
        faults = open_backup(beside).faults
        if faults:
            raise RuleBroken(f"The backup was not read back as it was written: {faults[0]}")
        beside.replace(folder / name)
    finally:
        beside.unlink(missing_ok=True)
    _sync(folder)
    return folder / name


def _own(path: Path) -> IO[bytes]:
    """A new file, for its owner alone."""
    return os.fdopen(os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600), "w+b")


def _sync(folder: Path) -> None:
    if os.name == "posix":
        opened = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)


def open_backup(path: Path) -> Backup:
    """Read a backup and check its sums and its signature; what is wrong is told in ``faults``.

    Raises
    ------
    RuleBroken : no backup of ours, or one that cannot be read.
    """
    try:
        with zipfile.ZipFile(path) as packed:
            for one in (_MANIFEST, _SIGNATURE):
                if packed.getinfo(one).file_size > _LARGEST_MANIFEST:
                    raise RuleBroken(f"{path} is no backup that can be read here.")
            manifest = _manifest(packed.read(_MANIFEST))
            signature = HeadSignature(**json.loads(packed.read(_SIGNATURE)))
            return Backup(path, manifest, signature, tuple(_faults(packed, manifest, signature)))
    except FileNotFoundError:
        raise RuleBroken(f"{path} is not there. Name a backup that is.") from None
    except (
        *(OSError, zipfile.BadZipFile, zipfile.LargeZipFile, PlanUnreadable),
        *(KeyError, TypeError, ValueError, AttributeError, RuntimeError, EOFError, zlib.error),
    ) as why:
        said = " ".join(str(why).split())[:120]
        raise RuleBroken(f"{path} is no backup that can be read here: {said}.") from why


def _manifest(data: bytes) -> Manifest:
    found = read_fixed(data.decode("utf-8"))
    if found.get("format") != FORMAT:
        raise PlanUnreadable(f"format {str(found.get('format'))[:20]} is not read here")
    heads = tuple(Head(**one) for one in found.pop("heads"))
    return Manifest(**found, heads=heads)


def _faults(packed: zipfile.ZipFile, manifest: Manifest, signature: HeadSignature) -> Iterator[str]:
    if not signature_holds(_head(manifest), signature):
        yield "Its signature is not of this manifest."
    info = packed.getinfo(manifest.file)
    if info.file_size != manifest.bytes:
        yield f"The copy in it has {info.file_size} bytes, not {manifest.bytes}."
    try:
        with packed.open(info) as opened:
            found = sum_of(opened)
    except Exception as why:  # whatever the unpacking meets, the copy is not whole
        yield f"The copy in it cannot be unpacked: {str(why)[:80]}."
        return
    if found != manifest.sha256:
        yield "The copy in it is not the one that was made: its SHA-256 differs."


def unpack(backup: Backup, folder: Path) -> Path:
    """Lay the copy out in a folder; its sum is checked on the way.

    Raises
    ------
    RuleBroken : its sum differs, or the backup has faults.
    """
    if backup.faults:
        raise RuleBroken(f"{backup.path.name} cannot be used: {' '.join(backup.faults)}")
    placed = folder / Path(backup.manifest.file).name
    digest = sha256()
    with (
        zipfile.ZipFile(backup.path) as packed,
        packed.open(backup.manifest.file) as opened,
        _own(placed) as written,
    ):
        while block := opened.read(_BLOCK):
            digest.update(block)
            written.write(block)
        written.flush()
        os.fsync(written.fileno())
    if digest.hexdigest() != backup.manifest.sha256:
        raise RuleBroken(f"{backup.path.name} was changed while it was unpacked.")
    return placed
