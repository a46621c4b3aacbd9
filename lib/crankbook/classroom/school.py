"""A student's server under JupyterHub: the lessons are copied into the student's own folder, then
the server starts there.

The hub starts it as ``python -m crankbook.classroom.school``; see data/school/jupyterhub_config.py.
"""

import os
import sys

from ..launcher import SETTINGS, add_to_path, root_option
from ..workspace import INSTRUCTORS, prepare

MISSING = (
    "JupyterHub is not installed where this runs: install it into the workbook's environment, pip "
    "install jupyterhub."
)


def main(arguments):
    """Copy the lessons and hand over to the hub's server for one student."""
    if "JUPYTERHUB_SERVICE_URL" not in os.environ:
        print(
            "This is started by JupyterHub, once for each student. To work alone type: crankmath",
            file=sys.stderr,
        )
        return 1
    # solutions and guide are the instructor's, unless the hub's file says otherwise
    withheld = () if os.environ.get("CRANKMATH_SOLUTIONS") == "yes" else INSTRUCTORS
    own = prepare("The student's", withheld)
    if own is None:
        return 1
    os.environ["CRANKMATH_STUDENT"] = os.environ.get("JUPYTERHUB_USER", "")
    add_to_path("JUPYTER_CONFIG_PATH", SETTINGS)
    try:
        from jupyterhub.singleuser import main as serve
    except ImportError:
        print(MISSING, file=sys.stderr)
        return 1
    # root only in a trial; a student's server runs under the student's account
    return serve([f"--ServerApp.root_dir={own}", *root_option(), *arguments])


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
