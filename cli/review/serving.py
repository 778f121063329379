"""Runs the server: on the loopback alone, silent, until it is stopped from the keyboard."""

from __future__ import annotations

import contextlib
import os
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable

import uvicorn
from starlette.types import ASGIApp

from ...lexicon.errors import InputError

#: Never anything else: records are patient data, and the page knows no accounts.
HOST = "127.0.0.1"


def open_port(port: int) -> socket.socket:
    """A socket that listens on ``port`` of the loopback; 0 takes any that is free.

    ``InputError`` when another program has it or it may not be used.
    """
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if os.name == "posix":  # elsewhere this option lets two programs share a port
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        elif hasattr(socket, "SO_EXCLUSIVEADDRUSE"):  # Windows: and others cannot ask for it
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        listener.bind((HOST, port))
        listener.listen(128)
    except OSError as error:
        listener.close()
        raise InputError(
            f"Port {port} cannot be used ({error.strerror or error}); name another with --port, "
            "or none to take any that is free."
        ) from error
    return listener


def serve(app: ASGIApp, listener: socket.socket, *, ready: Callable[[], None]) -> None:
    """Answer until the process is told to stop; ``ready`` is called just before."""
    config = uvicorn.Config(
        app,
        http="h11",
        ws="none",
        lifespan="off",
        access_log=False,
        log_config=None,
        log_level="critical",
        proxy_headers=False,
        server_header=False,
        timeout_graceful_shutdown=5,
    )
    ready()
    with contextlib.suppress(KeyboardInterrupt):
        uvicorn.Server(config).run(sockets=[listener])


def open_browser(url: str) -> None:
    """Show ``url`` in the person's browser, where there is a screen to show it on."""
    if sys.platform.startswith("linux") and not (
        os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    ):
        return
    threading.Thread(target=webbrowser.open, args=(url,), daemon=True).start()
