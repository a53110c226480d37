"""The desk listens: on this computer's own address only, until somebody stops it."""

import socket
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from zoning.desk.app import app
from zoning.desk.opened import Opened, opened
from zoning.desk.running import How, Runner
from zoning.desk.trust import Keys
from zoning.errors import SETTINGS, WORLD, InputError

_HERE = "127.0.0.1"
_NEEDED = ("starlette", "uvicorn")
_LETTERS_OF_NAME = 80


@dataclass(frozen=True, slots=True, kw_only=True)
class Served:
    """A desk that listens: what its browser is to open, and `run`, which ends when somebody stops it."""

    address: str
    address_once: str  # lets in once: what a browser is started with, which other users can see
    run: Callable[[], None]


def serve(folder: Path, how: How, port: int = 0) -> Served:
    """Begin to listen.

    Parameters
    ----------
    folder : Path
        A field or a farm.
    how : How
        How its fields are run.
    port : int
        0 for any that is free.

    Raises
    ------
    InputError
        Code 2 where the folder is none, or the extra is not installed; 4 where the port is taken.
    """
    home = opened(folder)
    _check_installed()
    listening = _listening(port)
    keys = Keys(port=int(listening.getsockname()[1]))
    runner = Runner(home, how)

    def run() -> None:
        try:
            _serve(home, how, keys, runner, listening)
        finally:
            runner.stop()
            listening.close()

    return Served(address=keys.address, address_once=keys.address_once, run=run)


def _serve(home: Opened, how: How, keys: Keys, runner: Runner, listening: socket.socket) -> None:
    import uvicorn

    config = uvicorn.Config(
        app(home, how, keys, runner),
        log_level="critical",
        access_log=False,
        server_header=False,
        date_header=False,
        lifespan="off",
        ws="none",
        http="h11",
        proxy_headers=False,
        timeout_graceful_shutdown=1,
    )
    uvicorn.Server(config).run(sockets=[listening])
    # it ends when somebody interrupts it; it comes back here where whoever started it has the signal ignored
    raise KeyboardInterrupt


def _listening(port: int) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        listening.bind((_HERE, port))
        listening.listen()  # before the address is printed: who asks at once is answered once all is ready
    except OSError as error:
        listening.close()
        what = f"port {port} cannot be used ({(error.strerror or 'refused').lower()})"
        mend = "Leave --port out, and a free one is taken."
        raise InputError(what, where="--port", mend=mend, code=WORLD) from error
    return listening


def _check_installed() -> None:
    # imported here, because only the desk needs what it looks for
    from importlib.util import find_spec

    missing = [name for name in _NEEDED if find_spec(name) is None]
    if missing:
        raise InputError(
            f"{', '.join(missing)} is not installed"
            if len(missing) == 1
            else f"{', '.join(missing)} are not installed",
            where="sprayworth desk",
            mend="Install what the desk needs: pip install 'sprayworth[desk]'.",
            code=SETTINGS,
        )


def who_of(name: str | None, user: str) -> str:
    r"""Name the person for the log: as given, else as the computer calls whoever is logged in.

    Examples
    --------
    >>> who_of(None, "ann"), who_of("  Ann\nLee ", "ann"), who_of(None, "")
    ('ann', 'Ann Lee', 'unknown')
    """
    return " ".join((name or user).split())[:_LETTERS_OF_NAME] or "unknown"
