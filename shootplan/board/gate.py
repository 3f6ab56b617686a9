"""
Who may look at the board: the right host name, the same origin, and, on a network, a device that was paired.

A request's headers come in, a refusal or nothing goes out. On this machine alone no code is needed; opened to a
network, every device gives a code that is printed where the board was started, works once, and changes after five
wrong tries.
"""

from __future__ import annotations

import hashlib
import hmac
import ipaddress
import secrets
import socket
import threading
from collections.abc import Callable, Mapping

from shootplan.board.store import Store

__all__ = ["COOKIE", "Gate", "is_loopback", "wanted_hosts"]

COOKIE = "board_device"
_TRIES = 5
_CODE_DIGITS = 8


def is_loopback(host: str) -> bool:
    """Whether an address reaches this machine only."""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host.casefold() == "localhost"


def wanted_hosts(host: str) -> frozenset[str]:
    """Return the names by which the board may be asked for, besides addresses of numbers on a network."""
    if is_loopback(host):
        return frozenset({"localhost", "127.0.0.1", "::1", host.casefold()})
    name = socket.gethostname().casefold()
    return frozenset({"localhost", "127.0.0.1", "::1", host.casefold(), name, f"{name.split('.')[0]}.local"})


class Gate:
    """
    The door.

    Parameters
    ----------
    store
        Remembers paired devices, so that a restart asks nobody again; ``None`` on this machine alone.
    host
        The address that the board listens on.
    show
        Called with each new code, to be read by whoever started the board.
    """

    def __init__(self, store: Store | None, host: str, show: Callable[[str], None]) -> None:
        self._store = store
        self._hosts = wanted_hosts(host)
        self.is_open = not is_loopback(host)
        self._show = show
        self._lock = threading.Lock()
        self._wrong = 0
        self._code = ""
        if self.is_open:
            self._new_code()

    def refusal(self, headers: Mapping[str, str], method: str) -> str:
        """Return why a request is refused before anything is read of it, empty if it is not."""
        host = headers.get("host", "")
        if not self._is_wanted(host):
            return "this is not the name of the board"
        origin = headers.get("origin")
        if origin is not None and origin not in (f"http://{host}", f"https://{host}"):
            return "the request comes from another page"
        if method not in ("GET", "HEAD") and origin is None:
            return "the request does not say where it comes from"
        is_followed_link = method == "GET" and headers.get("sec-fetch-mode") == "navigate"
        if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none") and not is_followed_link:
            return "the request comes from another page"
        return ""

    def _is_wanted(self, host: str) -> bool:
        """A name is one of ours; a number cannot be turned to us by somebody else's name server."""
        name = host.rsplit(":", 1)[0] if not host.endswith("]") else host
        name = name.strip("[]").casefold()
        if name in self._hosts:
            return True
        try:
            ipaddress.ip_address(name)
        except ValueError:
            return False
        return self.is_open

    def is_paired(self, cookie: str | None) -> bool:
        """Whether a device may see the day."""
        if not self.is_open:
            return True
        return cookie is not None and self._store is not None and self._store.knows(_hash(cookie))

    def pair(self, code: str) -> str | None:
        """Return a device's token for the right code, which is then used up; ``None`` for a wrong one."""
        with self._lock:
            told = "".join(character for character in code if character.isdigit())
            if self._store is not None and self._code and hmac.compare_digest(told.encode(), self._code.encode()):
                token = secrets.token_urlsafe(32)
                self._store.admit(_hash(token))
                self._new_code()
                return token
            self._wrong += 1
            if self._wrong >= _TRIES:
                self._new_code()
            return None

    def _new_code(self) -> None:
        self._wrong = 0
        self._code = f"{secrets.randbelow(10**_CODE_DIGITS):0{_CODE_DIGITS}d}"
        self._show(f"{self._code[:4]} {self._code[4:]}")


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
