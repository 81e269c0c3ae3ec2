"""The site as a process: set up, made ready, listened on, and stopped cleanly.

`ullage serve` and `ullage demo` share this. Django is imported inside functions only, so that
commands that need no database start without it.
"""

import logging
import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from ipaddress import ip_address
from pathlib import Path
from threading import Event, Thread
from time import sleep
from typing import NoReturn

import click

from ullage.core.errors import RuleBroken

__all__ = ["Listening", "claim", "open_site", "prepare_site", "run_site", "serving_held", "worker"]

_LOOPBACK_NAMES = ("localhost", "127.0.0.1", "[::1]")
_STOP_S = 10
_AGAIN_S = 2
_LOOK_S = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Listening:
    """Where the site listens, and how it is protected there."""

    address: str = "127.0.0.1"
    port: int = 8000
    tls_cert: Path | None = None
    tls_key: Path | None = None
    plain_http_on_this_network: bool = False
    names: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if (self.tls_cert is None) != (self.tls_key is None):
            raise RuleBroken("--tls-cert and --tls-key belong together; give both.")
        if not (self.is_loopback or self.is_tls or self.plain_http_on_this_network):
            raise RuleBroken(
                f"{self.address} can be reached by others, and passwords would travel readable. "
                "Give --tls-cert and --tls-key, or say --plain-http-on-this-network."
            )

    @property
    def is_tls(self) -> bool:
        """True where a certificate is given."""
        return self.tls_cert is not None

    @property
    def is_loopback(self) -> bool:
        """True where only this computer can reach the site."""
        if self.address == "localhost":
            return True
        try:
            return ip_address(self.address).is_loopback
        except ValueError:
            return False

    @property
    def url(self) -> str:
        """The address to open in a browser on this computer or, named, on others."""
        host = self.names[0] if self.names else self.address
        if host in {"0.0.0.0", "::"}:  # noqa: S104  # compared with, not listened on
            host = socket.gethostname()
        shown = f"[{host}]" if ":" in host else host
        usual = 443 if self.is_tls else 80
        port = "" if self.port == usual else f":{self.port}"
        return f"{'https' if self.is_tls else 'http'}://{shown}{port}/"

    @property
    def hosts(self) -> tuple[str, ...]:
        """The names that the site answers to."""
        if self.is_loopback:
            return (*_LOOPBACK_NAMES, *self.names)
        own = (socket.gethostname(), *_own_addresses())
        return tuple(dict.fromkeys((*_LOOPBACK_NAMES, self.address, *own, *self.names)))


def _own_addresses() -> tuple[str, ...]:
    """The address by which this computer goes out; a datagram socket sends nothing to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect(("192.0.2.1", 9))
        except OSError:
            return ()
        return (str(asked.getsockname()[0]),)


def open_site(*, home: Path | None = None, listening: Listening | None = None) -> None:
    """Set up Django for this process; later calls change nothing.

    Parameters
    ----------
    home : the folder of data; None leaves it to ULLAGE_HOME or the usual place.
    listening : where the site will listen; None for commands that open no port.
    """
    if os.name == "posix":
        os.umask(0o077)  # what is kept here is for its owner alone
    if home is not None:
        home.mkdir(parents=True, exist_ok=True)
        os.environ["ULLAGE_HOME"] = str(home)
    if listening is not None:
        os.environ["ULLAGE_HOSTS"] = ",".join(listening.hosts)
        os.environ["ULLAGE_TLS"] = "1" if listening.is_tls else ""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ullage.web.settings")
    import django

    django.setup()


@contextmanager
def serving_held() -> Iterator[None]:
    """Hold the data while a server runs, so that no restore takes them from under it.

    Raises
    ------
    RuleBroken : a restore is at work.
    """
    from django.conf import settings

    from ullage.web.shared.held import SERVING, held

    with held(Path(settings.STATE) / SERVING, alone=False) as is_held:
        if not is_held:
            raise RuleBroken("A restore is at work on this database. Wait until it has ended.")
        yield


def prepare_site() -> None:
    """Bring the database up to date, lay out static files, sweep what is no longer needed."""
    from django.conf import settings
    from django.core.management import call_command
    from django.db import connection

    from ullage.web.shared.durable import insist_durable

    insist_durable(connection)
    call_command("migrate", interactive=False, verbosity=0)
    call_command("collectstatic", interactive=False, verbosity=0)
    call_command("clearsessions")
    if str(settings.TASKS["default"]["BACKEND"]).startswith("django_tasks_db."):
        call_command("prune_db_task_results", min_age_days=7, verbosity=0)


def claim(listening: Listening) -> socket.socket:
    """Take the port before anything slow is done.

    Parameters
    ----------
    listening : the address and port.

    Returns
    -------
    The bound socket; a server listens on it later.

    Raises
    ------
    RuleBroken : the port is in use, not allowed, or the address is not of this computer.
    """
    family = socket.AF_INET6 if ":" in listening.address else socket.AF_INET
    claimed = socket.socket(family, socket.SOCK_STREAM)
    claimed.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        claimed.bind((listening.address, listening.port))
        # Listening at once makes a second `ullage serve` fail here and not later.
        claimed.listen(64)
    except OSError as refusal:
        claimed.close()
        where = f"{listening.address} port {listening.port}"
        raise RuleBroken(
            f"{where} cannot be taken: {refusal.strerror}. Stop what uses it, or give --port."
        ) from refusal
    claimed.set_inheritable(False)
    return claimed


def run_site(listening: Listening, claimed: socket.socket, lines: Sequence[str]) -> None:
    """Serve until Ctrl+C or a stop signal; the worker in the background ends with it.

    Parameters
    ----------
    listening : where and how.
    claimed : the socket from `claim`.
    lines : printed once pages are answered.
    """
    import uvicorn

    class Server(uvicorn.Server):
        """Says its lines once it answers."""

        async def startup(self, sockets: list[socket.socket] | None = None) -> None:
            await super().startup(sockets=sockets)
            for line in lines:
                click.echo(line)

    config = uvicorn.Config(
        "ullage.web.asgi:application",
        lifespan="off",
        log_level="warning",
        timeout_graceful_shutdown=2,
        ssl_certfile=str(listening.tls_cert) if listening.tls_cert else None,
        ssl_keyfile=str(listening.tls_key) if listening.tls_key else None,
        server_header=False,
    )
    with _leaving_cleanly(), _worker_beside():
        try:
            Server(config).run(sockets=[claimed])
        except KeyboardInterrupt:
            click.echo("")
        finally:
            claimed.close()


@contextmanager
def _leaving_cleanly() -> Iterator[None]:
    """Turn a stop signal into leaving, so that everything opened is closed."""
    before = signal.signal(signal.SIGTERM, _leave)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)


def _leave(*_: object) -> NoReturn:
    sys.exit(0)


class _Beside:
    """The background worker in a child process; one that ends by itself is started again."""

    def __init__(self) -> None:
        self.leaving = Event()
        self.child: subprocess.Popen[bytes] | None = None
        self.thread = Thread(target=self._keep, daemon=True)

    def _keep(self) -> None:
        while not self.leaving.is_set():
            # An own session: Ctrl+C in the terminal reaches the server alone, which ends us.
            self.child = subprocess.Popen(
                [sys.executable, "-c", "from ullage.cli.site import worker; worker()"],
                stdin=subprocess.PIPE,
                start_new_session=True,
            )
            self.child.wait()
            if not self.leaving.wait(_AGAIN_S):
                click.echo("The background worker ended by itself; it is started again.", err=True)

    def stop(self) -> None:
        """End the child and wait for it."""
        self.leaving.set()
        if self.child is not None:
            self.child.terminate()
            self.thread.join(_STOP_S)
            self.child.kill()
            self.child.wait()


@contextmanager
def _worker_beside() -> Iterator[None]:
    beside = _Beside()
    beside.thread.start()
    try:
        yield
    finally:
        beside.stop()


def worker() -> None:
    """Work out queued answers until the parent is gone; runs in the child process only."""
    Thread(target=_end_with_parent, daemon=True).start()
    open_site()
    from django.core.management import call_command

    Thread(target=_backups_by_rule, daemon=True).start()
    call_command("db_worker", interval=0.5, startup_delay=False, reload=False, verbosity=0)


def _backups_by_rule() -> None:
    """Ask every minute whether a backup is due."""
    from django.db import close_old_connections
    from django.utils import timezone

    from ullage.web.upkeep.services import backup_if_due

    while True:
        sleep(_LOOK_S)
        try:
            backup_if_due(timezone.now())
        except Exception:  # whatever broke now must not end the backups of every night to come
            logging.getLogger("ullage").exception("A backup that was due could not be begun.")
        close_old_connections()


def _end_with_parent() -> None:
    """The pipe from the parent closes when it ends, however it ends."""
    # The bare descriptor: a buffered reader would hold its lock while the process ends.
    while os.read(0, 64):
        pass
    os.kill(os.getpid(), signal.SIGTERM)
