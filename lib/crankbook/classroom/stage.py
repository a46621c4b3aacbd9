"""Class pages as an app: a panel fills the projector, no code in sight, and none can be run from
the page. One start serves the page of every panel.
"""

import argparse
import atexit
import sys
import tempfile
import webbrowser
from pathlib import Path

from ..launcher import add_to_path, port_problem
from ..workspace import prepare
from .stage_pages import pages, write_pages

STAGE = Path(__file__).parents[1] / "data" / "stage"
FIXED = {
    "template": "stage",
    "theme": "light",
    "classic_tree": True,
    "allow_template_override": "NO",
    "allow_theme_override": "NO",
}
MISSING = (
    "Class pages as an app need the package voila. Type: uv run --project lib --extra class "
    "crankmath stage\n"
    "The class pages also open in JupyterLab: type crankmath and open class-….ipynb there."
)


def settings(folder, port, listed):
    """Keyword arguments that the app is started with: this machine only, a token, no code run from
    the page, nothing fetched.
    """
    return {
        "root_dir": str(folder),
        "ip": "127.0.0.1",
        "port": port,
        "port_retries": 0,
        "auto_token": True,
        "open_browser": True,
        "config_file_paths": [],
        "log_level": "ERROR",
        "kernel_websocket_connection_class": "crankbook.connection.PromptConnection",
        # a page elsewhere that points a name of its own at this machine is refused
        "tornado_settings": {
            "allow_remote_access": False,
            "local_hostnames": ["localhost", "127.0.0.1"],
            "jinja_template_vars": {"stage_pages": list(listed)},
        },
    }


def app_class():
    """The app; it prints its address once it listens, and opens the browser there."""
    from voila.app import Voila

    class Stage(Voila):
        show, first = True, ""

        def launch_browser(self):
            address = self.display_url.replace("/?", f"/{self.first}?")
            print(f"The class page is at {address}\nStop it with Ctrl+C.", flush=True)
            if not self.show:
                return
            # by a private file, so that the token is in no list of running programs
            with tempfile.NamedTemporaryFile("w", suffix=".html", delete=False) as page:
                page.write(
                    "<!DOCTYPE html><title>Class page</title>"
                    f'<meta http-equiv="refresh" content="0; url={address}">'
                )
            atexit.register(Path(page.name).unlink, missing_ok=True)
            webbrowser.open(Path(page.name).as_uri(), new=2)

    return Stage


def asked_page(text, every):
    """Short name of a page as a person writes it, a name or a lesson's number; "" for the list.

    ValueError: There is no such page.
    """
    if text is None:
        return ""
    number = text.strip().zfill(2)
    for name, page in every.items():
        if text in (name, page.name) or (number == page.lesson and text.isdigit()):
            return name
    raise ValueError(f"There is no class page “{text}”. Write one of: {', '.join(every)}")


def main(arguments):
    """``crankmath stage [page] [--port 9000] [--no-browser]``."""
    every = pages()
    parser = argparse.ArgumentParser(
        prog="crankmath stage",
        description="Every panel on the projector, without code: a list of pages, or one at once.",
    )
    parser.add_argument(
        "page", nargs="?", help=f"one of {', '.join(every)}, or a lesson's number; default the list"
    )
    parser.add_argument("--port", default="8866", help="port on this machine; default 8866")
    parser.add_argument(
        "--no-browser", action="store_true", help="print the address and open no browser"
    )
    given = parser.parse_args(arguments)
    try:
        asked = asked_page(given.page, every)
    except ValueError as error:
        print(error, file=sys.stderr)
        return 1
    if problem := port_problem(given.port):
        print(problem, file=sys.stderr)
        return 1
    own = prepare()
    if own is None:
        return 1
    add_to_path("JUPYTER_PATH", STAGE)
    try:
        Stage = app_class()
    except ImportError:
        print(MISSING, file=sys.stderr)
        return 1
    with tempfile.TemporaryDirectory(prefix="crankmath-stage-") as folder:
        write_pages(every, Path(folder))
        app = Stage(**settings(Path(folder), int(given.port), every.values()))
        app.show = not given.no_browser
        app.first = f"voila/render/{every[asked].file}" if asked else ""
        # the list of pages is drawn by the template's tree.html
        app.initialize([f"--VoilaConfiguration.{name}={value}" for name, value in FIXED.items()])
        app.start()
    return 0
