"""Start the workbench: where it listens, who may reach it, and what is told at the start."""

from __future__ import annotations

import errno
import os
import socket
import webbrowser
from typing import Any

import typer

from resile.errors import InputError
from resile.interfaces.web.settings import (
    ENVIRONMENT,
    LOOPBACK_HOSTS,
    MB,
    WorkbenchSettings,
    host_of,
    is_loopback,
)


def run_serve(
    where: str,
    *,
    host: str,
    port: int,
    sign_in: bool | None,
    address: str,
    workers: int,
    upload_limit_mb: int,
    open_browser: bool,
) -> None:
    """Check the wishes, listen, tell where, and serve until stopped."""
    from resile.workflows.laboratory.opening import open_record, usual_place

    signs_in = bool(sign_in)
    if not signs_in:
        refuse_open_door(host, address)
    where = where or usual_place()
    record = open_record(where)
    record.close()  # each process opens it for itself
    settings = WorkbenchSettings(
        record=where,
        signs_in=signs_in,
        address=address.rstrip("/"),
        hosts=answered_hosts(host, address),
        upload_limit_bytes=upload_limit_mb * MB,
    )
    listening = listen(host, port)
    here = settings.address or address_of(listening)
    tell(settings, here, record=record.url if "://" in where else where)
    if open_browser:
        webbrowser.open(here)
    serve_until_stopped(settings, listening, workers=workers)


def refuse_open_door(host: str, address: str) -> None:
    """Refuse to be reached from elsewhere while nobody signs in."""
    if not is_loopback(host) or (address and not is_loopback(host_of(address))):
        raise InputError(
            f"without sign-in anyone who reaches {address or host} could change the record, so it is "
            "served to this computer alone (--host 127.0.0.1); for others to reach it add --sign-in"
        )


def answered_hosts(host: str, address: str) -> tuple[str, ...]:
    """Give the host names that are answered; any, where others reach it and no address is given."""
    if address:
        return (*LOOPBACK_HOSTS, host_of(address))
    return LOOPBACK_HOSTS if is_loopback(host) else ()


def listen(host: str, port: int) -> socket.socket:
    """Take the port now, so that one in use is told at once."""
    try:
        family, kind, protocol, _, where = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        listening = socket.socket(family, kind, protocol)
        if os.name == "posix":
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind(where)
        listening.listen(2048)
    except socket.gaierror as error:
        raise InputError(f"--host {host}: this computer knows no such address ({error.strerror})") from error
    except (OSError, OverflowError) as error:
        raise InputError(f"{host}, port {port}: {_why_not(error)}") from error
    listening.set_inheritable(True)
    return listening


def _why_not(error: Exception) -> str:
    number = getattr(error, "errno", None)
    if number == errno.EADDRINUSE:
        return "another program listens there already; end it, or name another port with --port"
    if number == errno.EACCES:
        return "this port is kept for the system; name one above 1023 with --port"
    if number == errno.EADDRNOTAVAIL:
        return "this computer does not have that address; 127.0.0.1 is always there"
    return f"it is not possible to listen there ({error})"


def address_of(listening: socket.socket) -> str:
    """Give the address a person types to reach a listening socket from this computer."""
    host, port = listening.getsockname()[:2]
    named = {"0.0.0.0": "127.0.0.1", "::": "::1"}.get(host, host)
    return f"http://[{named}]:{port}" if ":" in named else f"http://{named}:{port}"


def tell(settings: WorkbenchSettings, here: str, *, record: str) -> None:
    """Say where the workbench is, which record it shows and who may use it."""
    who = "people sign in" if settings.signs_in else "one person on this computer, no sign-in"
    lines = [f"workbench: {here}", f"record:    {record}", f"mode:      {who}"]
    if settings.set_up_code:
        lines += [f"first account: {here}/set-up?code={settings.set_up_code}"]
    typer.echo("\n".join([*lines, "Ctrl-C ends it."]))


def serve_until_stopped(settings: WorkbenchSettings, listening: socket.socket, *, workers: int) -> None:
    """Answer requests until the process is told to stop."""
    import uvicorn

    wishes: dict[str, Any] = {
        "log_level": "warning",
        "server_header": False,
        "timeout_graceful_shutdown": 5,
        "proxy_headers": bool(settings.address),
        "factory": True,
    }
    os.environ[ENVIRONMENT] = settings.to_text()
    config = uvicorn.Config("resile.interfaces.web.app:app_from_environment", workers=workers, **wishes)
    server = uvicorn.Server(config)
    try:
        if workers > 1:
            from uvicorn.supervisors import Multiprocess

            Multiprocess(config, sockets=[listening]).run()
        else:
            server.run(sockets=[listening])
    except KeyboardInterrupt:
        pass
    finally:
        listening.close()
    typer.echo("workbench stopped")
