"""Start of a server on this machine only: ports, refused options, the settings of JupyterLab."""

import os
import socket
from itertools import pairwise
from pathlib import Path

SETTINGS = Path(__file__).parent / "data" / "jupyter"


def add_to_path(variable, folder):
    """Put a folder before those that an environment variable lists."""
    os.environ[variable] = os.pathsep.join(filter(None, [str(folder), os.environ.get(variable)]))


def root_option():
    """The option that a server needs when an administrator starts it, as on a trial machine."""
    return ["--allow-root"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []


def option_problem(arguments):
    """Sentence if an option would let others in, or the wanted port cannot be had; else None."""
    for argument, after in pairwise([*arguments, ""]):
        name, sign, value = argument.partition("=")
        if not name.startswith("--"):
            continue
        if not sign and not after.startswith("--"):
            value = after
        last = name.removeprefix("--").rpartition(".")[2]
        if last == "port" and (problem := port_problem(value)):
            return problem
        if (
            last == "ip"
            and value not in ("127.0.0.1", "localhost", "::1")
            or last in ("token", "password", "hashed_password")
            and not value.strip("'\"")
            or last == "allow_unauthenticated_access"
            and value.lower() in ("true", "1")
        ):
            return (
                f"{name} {value or '(empty)'} is not taken: anyone who reaches this machine "
                "could run programs on it. Leave it out; "
                "for a class there is README's “Thirty on one computer”"
            )
    return None


def port_problem(value):
    """Sentence if the wanted port is taken or cannot be one; else None."""
    if not value.isdigit() or not 0 <= int(value) < 65536:
        return f"--port needs a whole number from 1024 to 65535, not “{value}”: write --port 9000"
    with socket.socket() as probe:
        if os.name == "posix":  # on Windows this option would let two programs share the port
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", int(value)))
        except OSError:
            return (
                f"Port {value} is taken by another program. Choose another: write --port "
                f"{min(int(value) + 1, 65535)}"
            )
    return None
