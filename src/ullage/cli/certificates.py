"""`ullage certificates`: TLS for tablets on the local network."""

import os
import shlex
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ullage.cli.text import wrapped

if TYPE_CHECKING:
    from ullage.cli.authority import Kept, Names

__all__ = ["certificates"]


@click.command()
@click.option("--name", "names", multiple=True, help="Name or address tablets type; repeatable.")
@click.option("--renew", is_flag=True, help="New certificate of the site, same authority.")
@click.option(
    "--folder",
    type=click.Path(file_okay=False, path_type=Path),
    help="Where they are kept; otherwise certificates, in the folder of the data.",
)
def certificates(*, names: tuple[str, ...], renew: bool, folder: Path | None) -> None:
    """Make certificates, so that tablets on your network may trust the site.

    Tablets need them to keep entries while the server is away. The first time
    an authority is made, which you install on each tablet; it can vouch for
    nothing but the names given here. Once a year renew the site alone.

    \b
    Example: ullage certificates --name surgery.lan --name 192.168.1.20
    Example: ullage certificates --renew
    """
    from datetime import UTC, datetime

    from ullage.cli.authority import Kept, authority_new, leaf_new, read_names

    kept, now = Kept(folder or _usual()), datetime.now(tz=UTC)
    asked = read_names(names) if names or not renew else None
    if not renew and asked is not None:
        authority_new(kept, asked, now)
    written = leaf_new(kept, asked, now)
    for line in (*_made(kept, written), *(() if renew else _tablets(kept)), *_next(kept, written)):
        click.echo(line)


def _usual() -> Path:
    home = os.environ.get("ULLAGE_HOME")
    return (Path(home) if home else Path.home() / ".local/share/ullage") / "certificates"


def _made(kept: "Kept", names: "Names") -> Iterator[str]:
    from ullage.cli.authority import LEAF_DAYS

    yield from wrapped(f"The certificate of the site is for {', '.join(names.typed)}.")
    yield from wrapped(f"It runs for {LEAF_DAYS} days from yesterday: {kept.site}")


def _tablets(kept: "Kept") -> Iterator[str]:
    yield ""
    yield f"Bring this one file to every tablet and computer: {kept.authority}"
    yield from wrapped(
        f"Never give away {kept.authority_key}; best keep it on a stick in a safe, and put it "
        "back to renew."
    )
    for where, how in TABLETS.items():
        yield ""
        yield from wrapped(f"{where}: {how}")
    yield ""
    yield from wrapped(
        "These paths are written from memory, and makers move them; look for the words "
        "'certificate' or 'trust' in the settings."
    )


#: What to do on each kind of tablet; from memory, and said so where it is shown.
TABLETS = {
    "iPad": "send the file to it (AirDrop, mail or a file share) and open it. In Settings open "
    "the profile that was downloaded and install it. Then Settings, General, About, Certificate "
    "Trust Settings: switch it on. Both steps are needed.",
    "Android": "copy the file to it. Settings, Security, Encryption and credentials, Install a "
    "certificate, CA certificate: choose the file. The tablet warns; it may ask for a PIN.",
    "Windows": "double-click the file, Install certificate, Local machine, and place it in "
    "'Trusted Root Certification Authorities'.",
    "Chromium on Linux": "certutil -d sql:$HOME/.pki/nssdb -A -t C,, -n ullage -i FILE (certutil "
    "comes with libnss3-tools), then start the browser again.",
}


def _next(kept: "Kept", names: "Names") -> Iterator[str]:
    from ullage.cli.authority import own_alone

    reached = [one for one in names.typed if not own_alone(one)] or list(names.typed)
    words = [
        *("ullage", "serve", "--address", "0.0.0.0", "--port", "8443"),  # noqa: S104  # with TLS
        *("--tls-cert", str(kept.site), "--tls-key", str(kept.site_key)),
    ]
    for one in reached:
        words += ["--name", one]
    yield ""
    yield "Then open the site with:"
    yield f"  {shlex.join(words)}"
    yield from wrapped(
        "A page must open without any warning. If a tablet warns, do not tap past it: entries "
        "would then not be kept while the server is away."
    )
