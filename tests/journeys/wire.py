"""A wire between browser and server that can be cut before, in or after a request."""

import socket
import struct
import threading
from contextlib import suppress
from itertools import count

__all__ = ["CUTS", "Wire"]

#: Where a request for the queue can be cut: never sent, half sent, sent and its reply lost, reply
#: half read.
CUTS = ("before", "half sent", "reply lost", "half reply")

_QUEUE = b"POST /api/queue/"
_SHUT = struct.pack("ii", 1, 0)


def _break(sock: socket.socket) -> None:
    """Close at once, as a cable that is pulled: the other side sees a reset."""
    with suppress(OSError):
        sock.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, _SHUT)
    with suppress(OSError):
        sock.shutdown(socket.SHUT_RDWR)
    sock.close()


class Wire:
    """Listens on a port of its own and passes everything on to the server's."""

    def __init__(self, to: int) -> None:
        self.to = to
        self.is_up = True
        self.cut_next: str = ""
        self.cuts: list[str] = []
        self.requests = 0
        self.swapped = (b"", b"")
        self._open: dict[int, tuple[socket.socket, socket.socket]] = {}
        self._numbers = count()
        self._listening = socket.create_server(("127.0.0.1", 0))
        self.port = self._listening.getsockname()[1]
        threading.Thread(target=self._accept, daemon=True).start()

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def close(self) -> None:
        self.is_up = False
        self._listening.close()
        self.cut()

    def down(self) -> None:
        """From now on nothing comes through."""
        self.is_up = False
        self.cut()

    def up(self) -> None:
        self.is_up = True

    def cut(self) -> None:
        """Break every connection there is."""
        for pair in list(self._open.values()):
            for one in pair:
                _break(one)

    def _accept(self) -> None:
        while True:
            try:
                near, _ = self._listening.accept()
            except OSError:
                return
            if not self.is_up:
                _break(near)
                continue
            try:
                far = socket.create_connection(("127.0.0.1", self.to), timeout=2)
                far.settimeout(None)
            except OSError:
                _break(near)
                continue
            number = next(self._numbers)
            self._open[number] = (near, far)
            way = _Way(self, near, far)
            threading.Thread(target=self._pass, args=(number, way), daemon=True).start()
            threading.Thread(target=way.back, daemon=True).start()

    def _pass(self, number: int, way: "_Way") -> None:
        way.forth()
        self._open.pop(number, None)


class _Way:
    """One connection: requests forth, replies back."""

    def __init__(self, wire: Wire, near: socket.socket, far: socket.socket) -> None:
        self.wire, self.near, self.far = wire, near, far
        self.cut = ""

    def forth(self) -> None:
        with suppress(OSError):
            while data := self.near.recv(65536):
                if data.startswith(_QUEUE):
                    self.wire.requests += 1
                    self.cut, self.wire.cut_next = self.wire.cut_next, ""
                if self.cut in {"before", "half sent"}:
                    if self.cut == "half sent":
                        self.far.sendall(data[: len(data) // 2])
                    self._broken()
                    break
                self.far.sendall(data)
        _break(self.near)
        _break(self.far)

    def back(self) -> None:
        with suppress(OSError):
            while data := self.far.recv(65536):
                if self.cut in {"reply lost", "half reply"}:
                    if self.cut == "half reply":
                        self.near.sendall(data[: len(data) // 2])
                    self._broken()
                    break
                old, new = self.wire.swapped
                self.near.sendall(data.replace(old, new) if old else data)
        _break(self.near)
        _break(self.far)

    def _broken(self) -> None:
        self.wire.cuts.append(self.cut)
        self.cut = ""
