"""A student's server under JupyterHub: the lessons are copied into the student's own folder, then the server starts there.

The hub starts it as ``python -m crankmath.school``; see data/school/jupyterhub_config.py.
"""

import os
import sys
from pathlib import Path

from .__main__ import copy_lessons, find_workbook, work_folder

MISSING = "JupyterHub is not installed where this runs: install it into the workbook's environment, pip install jupyterhub."


def main(arguments):
    """Copy the lessons and hand over to the hub's server for one student."""
    if "JUPYTERHUB_SERVICE_URL" not in os.environ:
        print(
            "This is started by JupyterHub, once for each student. To work alone type: crankmath",
            file=sys.stderr,
        )
        return 1
    own = work_folder().resolve()
    try:
        copy_lessons(find_workbook(), own)
    except OSError as error:
        print(f"The student's folder {own} cannot be written ({error.strerror}).", file=sys.stderr)
        return 1
    os.environ["CRANKMATH_WORK"] = str(own)
    settings = str(Path(__file__).parent / "data" / "jupyter")
    os.environ["JUPYTER_CONFIG_PATH"] = os.pathsep.join(
        filter(None, [settings, os.environ.get("JUPYTER_CONFIG_PATH")])
    )
    try:
        from jupyterhub.singleuser import main as serve
    except ImportError:
        print(MISSING, file=sys.stderr)
        return 1
    options = [f"--ServerApp.root_dir={own}"]
    if (
        hasattr(os, "geteuid") and os.geteuid() == 0
    ):  # a trial; a student's server runs under the student's account
        options.append("--allow-root")
    return serve([*options, *arguments])


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
