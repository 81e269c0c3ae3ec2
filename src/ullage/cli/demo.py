"""`ullage demo`: open the practice world; nothing of it is kept."""

import os
from collections.abc import Sequence
from pathlib import Path
from secrets import choice
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import click

from ullage.answers import CAUTION_LINE
from ullage.cli.site import Listening, claim, open_site, prepare_site, run_site

if TYPE_CHECKING:
    from ullage.web.demo import World

__all__ = ["demo"]

#: Words that are easily read and typed; the password is made anew at each start.
_WORDS = (
    "amber", "basin", "cobble", "dapple", "ember", "fathom", "gravel", "hollow", "ivory", "kettle",
    "lantern", "meadow", "nettle", "orchard", "pebble", "quarry", "ripple", "saddle", "thistle",
    "umber", "velvet", "willow",
)  # fmt: skip


@click.command()
@click.option("--seed", type=click.IntRange(0), default=1, show_default=True, help="Which world.")
@click.option("--port", type=click.IntRange(1, 65535), default=8000, show_default=True)
def demo(*, seed: int, port: int) -> None:
    """Open a practice site on made-up data, until Ctrl+C.

    Two invented sites with weeks of history, and one account for each role.

    \b
    Example: ullage demo
    Example: ullage demo --seed 7 --port 8080
    """
    listening = Listening(port=port)
    claimed = claim(listening)
    # A demo never touches the data of this installation, wherever those are.
    for elsewhere in ("ULLAGE_DATABASE", "ULLAGE_SIGNING_KEY"):
        os.environ.pop(elsewhere, None)
    with TemporaryDirectory(prefix="ullage-demo-") as home:
        click.echo("Building the practice world ...")
        open_site(home=Path(home), listening=listening)
        prepare_site()
        password = "-".join(choice(_WORDS) for _ in range(3))
        world = _build(seed, password)
        run_site(listening, claimed, lines(listening.url, world, password, seed))


def _build(seed: int, password: str) -> "World":
    from django.utils import timezone

    from ullage.web.demo import build_world, records_of_the_world, work_out

    world = build_world(seed, timezone.now(), password)
    work_out(world)
    records_of_the_world(world)
    return world


def lines(url: str, world: "World", password: str, seed: int) -> Sequence[str]:
    """What is printed once the site answers: address, accounts, whose clock it is.

    Parameters
    ----------
    url : where the site listens.
    world : what was built.
    password : of every account.
    seed : [1] the world can be built again from it.
    """
    site = world.sites[0]
    local = world.local_now
    return (
        f"The practice site is open at {url}",
        "",
        f"Password of every account: {password}",
        *(f"  {role:<13} {user.full_name}" for role, user in world.people.items()),
        "",
        f"{site.name} keeps its own clock: it is {local:%H:%M} there,",
        f"on {local:%A} {local.day} {local:%B %Y}. All of it is invented (seed {seed}).",
        "Nothing is kept. Stop it with Ctrl+C.",
        "",
        CAUTION_LINE,
    )
