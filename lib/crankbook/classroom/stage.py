"""A class page as an app: one lesson's panel fills the projector, no code in sight, and none can be
run from the page.
"""

import argparse
import atexit
import sys
import tempfile
import webbrowser
from pathlib import Path

from ..launcher import add_to_path, port_problem
from ..workspace import find_workbook, prepare

STAGE = Path(__file__).parents[1] / "data" / "stage"
MISSING = (
    "Class pages as an app need the package voila. Type: uv run --project lib --extra class "
    "crankmath stage\n"
    "The same pages also open in JupyterLab: type crankmath and open class-….ipynb there."
)


def pages(workbook=None):
    """Class pages by their short names, for example "squeeze" for class-squeeze.ipynb."""
    return {
        path.stem.removeprefix("class-"): path
        for path in sorted((workbook or find_workbook()).glob("class-*.ipynb"))
    }


def settings(notebook, port):
    """What the app is started with: this machine only, a token, no execution from the page, nothing
    fetched.

    Returns keyword arguments of the app.
    """
    return {
        "notebook_path": str(notebook),
        "root_dir": str(notebook.parent),
        "ip": "127.0.0.1",
        "port": port,
        "port_retries": 0,
        "auto_token": True,
        "open_browser": True,
        "config_file_paths": [],
        "log_level": "ERROR",
        # a page elsewhere that points a name of its own at this machine is refused
        "tornado_settings": {
            "allow_remote_access": False,
            "local_hostnames": ["localhost", "127.0.0.1"],
        },
    }


def app_class():
    """The app; it tells its address once it listens, and opens the browser there."""
    from voila.app import Voila

    class Stage(Voila):
        show = True

        def launch_browser(self):
            print(f"The class page is at {self.display_url}\nStop it with Ctrl+C.", flush=True)
            if not self.show:
                return
            # by a private file, so that the token is in no list of running programs
            with tempfile.NamedTemporaryFile("w", suffix=".html", delete=False) as page:
                page.write(
                    f'<!DOCTYPE html><title>Class page</title><meta http-equiv="refresh" content="0; url={self.display_url}">'
                )
            atexit.register(Path(page.name).unlink, missing_ok=True)
            webbrowser.open(Path(page.name).as_uri(), new=2)

    return Stage


def main(arguments):
    """``crankmath stage [page] [--port 9000] [--no-browser]``."""
    every = pages()
    parser = argparse.ArgumentParser(
        prog="crankmath stage", description="A class page on the projector, without code."
    )
    parser.add_argument("page", nargs="?", help=f"one of {', '.join(every)}")
    parser.add_argument("--port", default="8866", help="port on this machine; default 8866")
    parser.add_argument(
        "--no-browser", action="store_true", help="print the address and open no browser"
    )
    given = parser.parse_args(arguments)
    if given.page not in every:
        print(
            f"Choose a page: crankmath stage {' | '.join(every)}"
            if given.page is None
            else f"There is no class page “{given.page}”. Write one of: {', '.join(every)}",
            file=sys.stderr,
        )
        return 1
    if problem := port_problem(given.port):
        print(problem, file=sys.stderr)
        return 1
    own = prepare()
    if own is None:
        return 1
    add_to_path("JUPYTER_PATH", STAGE)
    try:
        app = app_class()(**settings(own / every[given.page].name, int(given.port)))
    except ImportError:
        print(MISSING, file=sys.stderr)
        return 1
    app.show = not given.no_browser
    fixed = {
        "template": "stage",
        "theme": "light",
        "allow_template_override": "NO",
        "allow_theme_override": "NO",
    }
    app.initialize([f"--VoilaConfiguration.{name}={value}" for name, value in fixed.items()])
    app.start()
    return 0
