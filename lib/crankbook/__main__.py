"""The command: opens the workbook in JupyterLab, or hands over to the word that follows."""

import importlib
import sys

from .launcher import SETTINGS, add_to_path, option_problem, root_option
from .workspace import START, prepare

# word after "crankmath": module with a main(arguments)
COMMANDS = {
    "check": "crankbook.sheet.command",
    "pages": "crankbook.editions.pages",
    "site": "crankbook.editions.site",
    "exercises": "crankbook.classroom.sets",
    "mark": "crankbook.classroom.marks",
    "handouts": "crankbook.classroom.handouts",
    "stage": "crankbook.classroom.stage",
}


def main(arguments=None):
    """Start JupyterLab on this machine only, with its token, opened at the first lesson."""
    arguments = sys.argv[1:] if arguments is None else list(arguments)
    if arguments and arguments[0] in COMMANDS:
        return importlib.import_module(COMMANDS[arguments[0]]).main(arguments[1:])
    if problem := option_problem(arguments):
        print(problem, file=sys.stderr)
        return 1
    own = prepare()
    if own is None:
        return 1
    add_to_path("JUPYTER_CONFIG_PATH", SETTINGS)
    options = [
        f"--ServerApp.root_dir={own}",
        "--ServerApp.ip=127.0.0.1",
        f"--LabApp.default_url=/lab/tree/{START}",
        *root_option(),
    ]
    from jupyterlab.labapp import LabApp

    return LabApp.launch_instance(options + arguments)


if __name__ == "__main__":
    sys.exit(main())
