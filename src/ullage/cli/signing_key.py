"""`ullage signing-key`: the key that signs records, to be compared, handed out, or made anew."""

from pathlib import Path

import click

from ullage.cli.site import open_site
from ullage.cli.text import wrapped

__all__ = ["signing_key"]


@click.command("signing-key")
@click.option("--new", is_flag=True, help="Make a new key after the old one was lost.")
@click.option(
    "--home",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder of the data; otherwise ULLAGE_HOME or ~/.local/share/ullage.",
)
def signing_key(*, new: bool, home: Path | None) -> None:
    """Show the public half of the key that signs records.

    Keep a copy of the private file in a safe, apart from the backups: who
    holds it can sign in the name of this installation.

    \b
    Example: ullage signing-key
    Example: ullage signing-key --new
    """
    open_site(home=home)
    from ullage.web.shared import signing_key as keys

    if new:
        keys.signing_key_new()
    public = keys.public_key_pem()
    for line in _lines(keys.public_key_hex(), keys.signing_key_path(), keys.public_path()):
        click.echo(line)
    if not keys.signing_key_is_private():
        for line in wrapped("Take care: others can read the private key. Take their right away."):
            click.echo(line)
    click.echo(f"\n{public}", nl=False)


def _lines(key: str, private: Path, public: Path) -> list[str]:
    from ullage.answers.record.signed import fingerprint

    return [
        f"Fingerprint: {fingerprint(key)}",
        f"Private key: {private}",
        f"Public keys: {public}",
    ]
