"""Start the workbench: where it listens, who may reach it, and what is told at the start."""

from __future__ import annotations

import errno
import os
import secrets
import socket
import webbrowser
from collections.abc import Mapping
from typing import Any

import typer

from resile.errors import InputError
from resile.interfaces.web.settings import (
    ENVIRONMENT,
    LOOPBACK_HOSTS,
    MB,
    SignOn,
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
    from resile.workflows.laboratory.access.people import has_accounts
    from resile.workflows.laboratory.record.opening import open_record, usual_place

    where = where or usual_place()
    record = open_record(where)
    has_people = has_accounts(record)
    record.close()  # each process opens it for itself
    signs_in = chosen_mode(sign_in, has_people=has_people)
    if not signs_in:
        refuse_open_door(host, address)
    beyond = not is_loopback(host) or bool(address)
    settings = WorkbenchSettings(
        record=where,
        signs_in=signs_in,
        address=address.rstrip("/"),
        hosts=answered_hosts(host, address),
        set_up_code=secrets.token_urlsafe(12) if signs_in and beyond and not has_people else "",
        upload_limit_bytes=upload_limit_mb * MB,
        sign_on=sign_on_from(os.environ, address) if signs_in else None,
    )
    listening = listen(host, port)
    here = settings.address or address_of(listening)
    tell(settings, here, record=record.url if "://" in where else where)
    if open_browser:
        webbrowser.open(here)
    serve_until_stopped(settings, listening, workers=workers)


def sign_on_from(environment: Mapping[str, str], address: str) -> SignOn | None:
    """Give the single sign-on service the environment names, if it names one."""
    names = ("issuer", "client_id", "client_secret")
    found = {name: environment.get(f"RESILE_SIGN_ON_{name.upper()}", "") for name in names}
    if not any(found.values()):
        return None
    missing = [f"RESILE_SIGN_ON_{name.upper()}" for name in names if not found[name]]
    if missing or not address:
        raise InputError(
            f"single sign-on also needs {', '.join(missing) or '--address, to lead people back to'}"
        )
    return SignOn(**found)


def chosen_mode(sign_in: bool | None, *, has_people: bool) -> bool:
    """Give whether people sign in; a record that holds accounts is not opened without."""
    if sign_in is False and has_people:
        raise InputError(
            "this record holds accounts, so people sign in; leave out --no-sign-in, or name another record"
        )
    return has_people if sign_in is None else sign_in


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
    except (socket.gaierror, UnicodeError) as error:
        raise InputError(f"--host {host}: no address of this name is known to this computer") from error
    listening = socket.socket(family, kind, protocol)
    try:
        if os.name == "posix":
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind(where)
        listening.listen(2048)
    except OSError as error:
        listening.close()
        raise InputError(f"{host}, port {port}: {_why_not(error)}") from error
    listening.set_inheritable(True)
    return listening


def _why_not(error: OSError) -> str:
    number = error.errno
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
        lines += [f"first:     make the first account at {here}/set-up?code={settings.set_up_code}"]
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
