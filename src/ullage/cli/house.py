"""The group of commands, and how our own errors become one line and exit status 1."""

from importlib import import_module
from typing import Any

import click

from ullage import __version__
from ullage.core.errors import UllageError

__all__ = ["House", "root"]

#: Command name -> module and function; a module is loaded when its command is asked for.
COMMANDS: dict[str, tuple[str, str]] = {
    "lasts": ("ullage.cli.lasts", "lasts"),
    "day": ("ullage.cli.day", "day"),
    "case": ("ullage.cli.case", "case"),
    "chain": ("ullage.cli.chain", "chain"),
    "compute": ("ullage.cli.compute", "compute"),
    "values": ("ullage.cli.values", "values"),
    "verify": ("ullage.cli.verify", "verify"),
    "record": ("ullage.cli.record", "record"),
    "serve": ("ullage.cli.serve", "serve"),
    "certificates": ("ullage.cli.certificates", "certificates"),
    "backup": ("ullage.cli.upkeep", "backup"),
    "drill": ("ullage.cli.upkeep", "drill"),
    "restore": ("ullage.cli.upkeep", "restore"),
    "health": ("ullage.cli.upkeep", "health"),
    "signing-key": ("ullage.cli.signing_key", "signing_key"),
    "demo": ("ullage.cli.demo", "demo"),
}


class House(click.Group):
    """A group that loads a command when asked, and turns our own errors into one line."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Every command, in the order of the work."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Load one command."""
        if cmd_name not in COMMANDS:
            return None
        module, name = COMMANDS[cmd_name]
        found: click.Command = getattr(import_module(module), name)
        return found

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command."""
        try:
            return super().invoke(ctx)
        except UllageError as error:
            raise click.ClickException(str(error)) from error
        except click.UsageError as error:
            asked = error.ctx.command_path if error.ctx else "ullage"
            said = " ".join(error.format_message().split())
            refusal = click.ClickException(f"{said} See: {asked} --help")
            refusal.exit_code = error.exit_code  # type: ignore[misc]  # click reads it from the instance
            raise refusal from error


@click.group(cls=House, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="ullage")
def root() -> None:
    """What is left, how long it lasts, and whether you may begin.

    Example: ullage lasts --size E --gauge "1000 psi" --flow "1 L/min"
    """
