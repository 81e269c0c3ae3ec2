"""`ullage serve`: open the site on this computer."""

from pathlib import Path

import click

from ullage.answers import CAUTION_LINE
from ullage.cli.site import Listening, claim, open_site, prepare_site, run_site, serving_held

__all__ = ["serve"]

#: So many days before its end a certificate is spoken of at every start.
_SAID_DAYS = 45
_FILE = click.Path(exists=True, dir_okay=False, path_type=Path)


@click.command()
@click.option("--address", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option("--port", type=click.IntRange(1, 65535), default=8000, show_default=True)
@click.option("--tls-cert", type=_FILE, help="Certificate (PEM); needed for other addresses.")
@click.option("--tls-key", type=_FILE, help="Its key (PEM).")
@click.option(
    "--plain-http-on-this-network",
    "is_plain",
    is_flag=True,
    help="Listen without TLS where others can read along. You have thought about it.",
)
@click.option("--name", "names", multiple=True, help="Name people type to reach it; repeatable.")
@click.option(
    "--home",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder of the data; otherwise ULLAGE_HOME or ~/.local/share/ullage.",
)
def serve(
    *,
    address: str,
    port: int,
    tls_cert: Path | None,
    tls_key: Path | None,
    is_plain: bool,
    names: tuple[str, ...],
    home: Path | None,
) -> None:
    """Open the site: pages, background work and all, until Ctrl+C.

    The first time it prints a code that makes the first account.

    \b
    Example: ullage serve
    Example: ullage serve --address 10.0.0.5 --tls-cert a.pem --tls-key a.key
    """
    listening = Listening(
        address=address,
        port=port,
        tls_cert=tls_cert,
        tls_key=tls_key,
        plain_http_on_this_network=is_plain,
        names=names,
    )
    claimed = claim(listening)
    open_site(home=home, listening=listening)
    with serving_held():
        prepare_site()
        run_site(listening, claimed, [*_lines(listening), *_first_run(listening), "", CAUTION_LINE])


def _lines(listening: Listening) -> list[str]:
    """What is said once the site answers."""
    from django.conf import settings

    lines = [f"Ullage is open at {listening.url}", f"Data: {settings.STATE}"]
    if not (listening.is_loopback or listening.is_tls):
        lines.append("Take care: without TLS others on this network can read passwords.")
    return [*lines, *_certificate(listening.tls_cert), "Stop it with Ctrl+C."]


def _certificate(pem: Path | None) -> list[str]:
    """A word in good time: a tablet refuses a certificate that has run out."""
    if pem is None:
        return []
    from datetime import UTC, datetime

    from ullage.cli.authority import runs_out

    until = runs_out(pem)
    if (until - datetime.now(tz=UTC)).days > _SAID_DAYS:
        return []
    return [f"The certificate runs out on {until:%Y-%m-%d}: ullage certificates --renew"]


def _first_run(listening: Listening) -> list[str]:
    """The code that makes the first account; nothing once there is one."""
    from ullage.web.accounts.selectors import first_run_is_open
    from ullage.web.accounts.services import first_run_code_new

    if not first_run_is_open():
        return []
    code = first_run_code_new()
    return ["", f"First run: open {listening.url}first-run/ and type this code:", f"  {code}"]
