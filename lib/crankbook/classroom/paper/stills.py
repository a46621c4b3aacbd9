"""Runs notebooks for paper: one kernel for many, each in an empty folder of its own, with still
pictures in place of panels.
"""

import json
import os
import tempfile
from contextlib import ExitStack
from pathlib import Path

import nbformat
from markupsafe import Markup
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError, CellTimeoutError, DeadKernelError

from ...lesson.panel import Panel
from ...lesson.pictures import png_address
from ...pages import table
from ...pictures.scene import add
from .. import course

WIDGET = "application/vnd.jupyter.widget-view+json"
MINUTES = 10  # longest that one cell may take


def still(panel, units="mm"):
    """HTML of a panel as a lesson opens it: picture, finding and settings in both systems."""
    said = {system: panel.answer(system, **panel.values) for system in ("mm", "in")}
    items, sentence = said[units]
    address = png_address(add(panel.paper(units, False), items))
    rows = [
        (
            control.label,
            *(control.shown(panel.values[name], system)["text"] for system in ("mm", "in")),
        )
        for name, control in panel.controls.items()
    ]
    figure = Markup(
        '<figure><img alt="{}" src="{}" style="width:700px"></figure>\n<div class="two">'
        "<div><p>{}</p></div><div><p>{}</p></div></div>\n{}"
    )
    caption = "What the knobs were set to; on the screen they move the picture"
    settings = table(("set to", "metric", "inch"), rows, caption)
    both = (str(said[system][1]) for system in ("mm", "in"))
    return str(figure.format(str(sentence), address, *both, settings))


def show_stills(units):
    """From now on, in this kernel, panels show themselves as stills."""
    Panel._repr_mimebundle_ = lambda self, **_: {
        "text/html": still(self, units),
        "text/plain": str(self.sentence),
    }


class Runner:
    """A kernel that runs notebooks one after another; use it in a ``with``.

    - ``units``: System of the pictures, "mm" or "in".
    """

    def __init__(self, units="mm"):
        self.units, self._open = units, ExitStack()
        self.client = NotebookClient(
            nbformat.v4.new_notebook(),
            timeout=60 * MINUTES,
            startup_timeout=60 * MINUTES,
            kernel_name="python3",
            extra_arguments=["--log-level=ERROR"],
        )

    def __enter__(self):
        self.folder = Path(
            self._open.enter_context(tempfile.TemporaryDirectory(prefix="crankmath-paper-"))
        )
        self._open.enter_context(self.client.setup_kernel(env={**os.environ, "MPLBACKEND": "agg"}))
        return self

    def __exit__(self, *error):
        self._open.close()

    def run(self, path):
        """A notebook run from top to bottom: no name, folder or answer of another is there.

        ValueError: A cell failed or took too long; the sentence carries its error.
        """
        notebook = course.read(path)
        own = Path(tempfile.mkdtemp(dir=self.folder))
        (own / "progress.json").write_text(
            json.dumps({"version": 1, "units": self.units}), encoding="utf-8"
        )
        first = nbformat.v4.new_code_cell(
            "get_ipython().reset(new_session=False)\nimport "
            f"os\nos.chdir({str(path.parent)!r})\nos.environ['CRANKMATH_WORK'] = {str(own)!r}\n"
            "from crankbook.classroom.paper import "
            f"stills\nstills.show_stills({self.units!r})\ndel "
            "os, stills"
        )
        self.client.nb = notebook
        self.client.reset_execution_trackers()
        notebook.cells.insert(0, first)
        try:
            for number, cell in enumerate(notebook.cells):
                self.client.execute_cell(cell, number)
        except CellExecutionError as error:
            raise ValueError(f"{path.name} does not run: {error.ename}: {error.evalue}") from None
        except (CellTimeoutError, DeadKernelError):
            raise ValueError(
                f"{path.name} does not run: a cell took more than {MINUTES} minutes or its "
                "kernel stopped"
            ) from None
        del notebook.cells[0]
        for cell in notebook.cells:
            for output in cell.get("outputs", []):
                if WIDGET in output.get("data", {}):
                    output["data"] = {
                        "text/html": "<p><em>A form stands here on the screen.</em></p>"
                    }
        return notebook
