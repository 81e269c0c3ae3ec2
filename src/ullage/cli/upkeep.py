"""`ullage backup`, `restore`, `drill` and `health`: the upkeep of an installation."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ullage.cli.site import open_site, prepare_site
from ullage.cli.text import file_text, pairs, wrapped

if TYPE_CHECKING:
    from ullage.web.upkeep.selectors import UpkeepRun

__all__ = ["backup", "drill", "health", "restore"]

_FOLDER = click.Path(file_okay=False, path_type=Path)
_FILE = click.Path(path_type=Path)
_home = click.option(
    "--home",
    type=_FOLDER,
    help="Folder of the data; otherwise ULLAGE_HOME or ~/.local/share/ullage.",
)


@click.command()
@click.option("--to", type=_FOLDER, help="Folder; otherwise backups, in the folder of the data.")
@_home
@click.pass_context
def backup(ctx: click.Context, *, to: Path | None, home: Path | None) -> None:
    """Make a backup of the whole installation, in one file.

    The site may be open meanwhile. The file holds people's names and what
    was recorded: keep it as you keep the database. The key that signs
    records is not in it: see ullage signing-key.

    \b
    Example: ullage backup
    Example: ullage backup --to /media/stick
    """
    _opened(home)
    from ullage.web.upkeep.services import backup_make

    _told(ctx, backup_make(folder=to))


@click.command()
@click.argument("file", type=_FILE, required=False)
@_home
@click.pass_context
def drill(ctx: click.Context, *, file: Path | None, home: Path | None) -> None:
    """Try a restore: lay the newest backup out beside the database, and verify it.

    Every chain is worked out again and held against the backup's own list
    and against the database. Nothing is replaced. Exit status 0 when all
    agrees, 1 when not.

    \b
    Example: ullage drill
    """
    _opened(home)
    from ullage.web.upkeep.services import drill_make

    _told(ctx, drill_make(file=file))


@click.command()
@click.argument("file", type=_FILE)
@click.option("--key", "keys", multiple=True, type=_FILE, help="Public key to trust, as PEM.")
@click.option(
    "--accept-unknown-key", "is_unknown_taken", is_flag=True, help="Take it whoever signed it."
)
@click.option("--yes", is_flag=True, help="Do not ask.")
@_home
def restore(
    *, file: Path, keys: tuple[Path, ...], is_unknown_taken: bool, yes: bool, home: Path | None
) -> None:
    """Make a backup the database of this installation.

    Stop the site first. Everything is verified before anything is replaced;
    the database before it is kept beside. Tablets then offer again what was
    acknowledged after the backup was made.

    \b
    Example: ullage restore ullage-20260608T030000Z-0000.backup.zip
    """
    if not file.is_file():
        raise click.ClickException(f"{file}: no such file. Name a backup that is there.")
    open_site(home=home)
    from ullage.answers.record.signed import public_hex
    from ullage.web.upkeep.services import restore as put_back

    trusted = [public_hex(file_text(one)) for one in keys]
    if not yes:
        click.confirm("What was entered after this backup leaves the site. Go on?", abort=True)
    done = put_back(file, trusted, accepts_unknown=is_unknown_taken)
    heads = done.manifest.heads
    click.echo(f"Restored: the backup of {done.manifest.made_at}, version {done.manifest.version}.")
    click.echo(f"{len(heads)} chains with {sum(one.count for one in heads)} lines hold.")
    known = "known here" if done.is_known else "not known here; compare it with a print"
    click.echo(f"Signed with key {done.signer}, {known}.")
    if done.kept:
        click.echo(f"The database before it: {done.kept}")
    click.echo("Everybody signs in again.")


@click.command()
@_home
def health(*, home: Path | None) -> None:
    """Show how the installation is: database, backups, disk, key, clock.

    \b
    Example: ullage health
    """
    _opened(home)
    from django.utils import timezone

    from ullage.web.upkeep.selectors import health as lines

    for line in _columns(lines(timezone.now())):
        click.echo(line)


def _opened(home: Path | None) -> None:
    open_site(home=home)
    prepare_site()


def _columns(lines: Iterator[tuple[str, str]]) -> Iterator[str]:
    for name, said in lines:
        yield f"{name + ':':<31} {said}"


def _told(ctx: click.Context, run: "UpkeepRun") -> None:
    """What came of a run, and its figures."""
    if run.is_fine:
        click.echo(f"{run.get_kind_display()}: {run.file}")
    for line in wrapped(run.says):
        click.echo(line, err=not run.is_fine)
    figures = ((name.replace("_", " "), str(value)) for name, value in run.figures.items())
    for line in pairs(figures) if run.is_fine else ():
        click.echo(line)
    if not run.is_fine:
        ctx.exit(1)
