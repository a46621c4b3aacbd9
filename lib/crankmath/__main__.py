"""Open the workbook: copies the lessons to the reader's own folder and starts JupyterLab."""

import hashlib
import importlib
import json
import os
import socket
import sys
from itertools import pairwise
from pathlib import Path

from .whole_file import make_folder, read_json, write_whole

START = "00-start-here.ipynb"
# word after "crankmath": module with a main(arguments)
COMMANDS = {
    "check": "check_files",
    "exercises": "class_sets",
    "mark": "class_marks",
    "handouts": "handouts",
    "stage": "stage",
}


def find_workbook():
    """Folder of the lessons: above this file, or above the current folder."""
    for start in (Path(__file__).resolve(), Path.cwd() / "here"):
        for folder in start.parents:
            if (folder / "workbook" / START).is_file():
                return folder / "workbook"
    raise SystemExit(
        "The lessons were not found. Type this command inside the workbook's folder, the one with README.md in it."
    )


def work_folder():
    """Where the reader's own files live: CRANKMATH_WORK, or my-work beside the lessons."""
    chosen = os.environ.get("CRANKMATH_WORK")
    return Path(chosen).expanduser() if chosen else find_workbook().parent / "my-work"


def copy_lessons(workbook, own):
    """Copy lessons that the reader has not changed; never overwrite the reader's work.

    Returns the names of lessons whose new text was put beside the reader's copy.
    """
    make_folder(own)
    record = own / ".lessons.json"
    try:
        known = read_json(record, 1_000_000)
    except (OSError, ValueError):
        known = {}
    known = known if isinstance(known, dict) else {}
    beside = []
    for lesson in sorted(
        [
            *workbook.glob("*.ipynb"),
            *workbook.glob("solutions/*.ipynb"),
            *workbook.glob("cranks/*.toml"),
        ]
    ):
        name = lesson.relative_to(workbook).as_posix()
        new, mine = _fingerprint(lesson), own / name
        if mine.exists() and known.get(name) == new:
            continue
        number, whole = 1, mine
        while mine.exists() and _fingerprint(mine) not in (known.get(name), new):
            mine = whole.with_name(
                f"{whole.stem}-new{'' if number == 1 else f'-{number}'}{whole.suffix}"
            )
            number += 1
        if number > 1:
            beside.append(mine.name)
        mine.parent.mkdir(exist_ok=True)
        write_whole(mine, lesson.read_bytes())
        known[name] = new
    write_whole(record, json.dumps(known, indent=1))
    return beside


def _fingerprint(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


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
                f"{name} {value or '(empty)'} is not taken: anyone who reaches this machine could run programs on it. Leave it out; "
                "for a class there is README's “Thirty on one computer”"
            )
    return None


def port_problem(value):
    """Sentence if the wanted port is taken, or is none; else None."""
    if not value.isdigit() or not 0 <= int(value) < 65536:
        return f"--port needs a whole number from 1024 to 65535, not “{value}”: write --port 9000"
    with socket.socket() as probe:
        if os.name == "posix":  # on Windows this option would let two programs share the port
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", int(value)))
        except OSError:
            return f"Port {value} is taken by another program. Choose another: write --port {min(int(value) + 1, 65535)}"
    return None


def main(arguments=None):
    """Start JupyterLab on this machine only, with its token, opened at the first lesson."""
    arguments = sys.argv[1:] if arguments is None else list(arguments)
    if arguments and arguments[0] in COMMANDS:
        return importlib.import_module(f"crankmath.{COMMANDS[arguments[0]]}").main(arguments[1:])
    if problem := option_problem(arguments):
        print(problem, file=sys.stderr)
        return 1
    own = work_folder().resolve()
    try:
        beside = copy_lessons(find_workbook(), own)
    except OSError as error:
        print(
            f"Your own folder {own} cannot be written ({error.strerror}). Set CRANKMATH_WORK to a folder of yours.",
            file=sys.stderr,
        )
        return 1
    for name in beside:
        print(f"A newer lesson lies beside your changed copy: {name}")
    os.environ["CRANKMATH_WORK"] = str(own)
    settings = str(Path(__file__).parent / "data" / "jupyter")
    os.environ["JUPYTER_CONFIG_PATH"] = os.pathsep.join(
        filter(None, [settings, os.environ.get("JUPYTER_CONFIG_PATH")])
    )
    options = [
        f"--ServerApp.root_dir={own}",
        "--ServerApp.ip=127.0.0.1",
        f"--LabApp.default_url=/lab/tree/{START}",
    ]
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        options.append("--allow-root")
    from jupyterlab.labapp import LabApp

    return LabApp.launch_instance(options + arguments)


if __name__ == "__main__":
    sys.exit(main())
