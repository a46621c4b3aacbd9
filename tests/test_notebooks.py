"""House form of the lessons, and the traps that nbval does not see."""

import atexit
import os
import re
import tempfile
from contextlib import ExitStack
from functools import cache
from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient

WORKBOOK = Path(__file__).parents[1] / "workbook"
NOTEBOOKS = sorted(WORKBOOK.rglob("*.ipynb"))
# 00 teaches the tools and 15 is a form to fill in: neither has a physics lesson's sections
LESSONS = [
    path for path in NOTEBOOKS if path.parent == WORKBOOK and re.match(r"(?!00|15)\d\d-", path.name)
]
TAGS = {"setup", "panel", "nbval-check-output", "learner-writes-this"}
SECTIONS = (
    "shop question",
    "Recall",
    "Predict",
    "Turn the knobs",
    "Derive",
    "Check against the handbook",
    "Worked example",
    "Your turn",
    "At the lathe",
    "Where it stops being true",
    "Sources",
)
each_notebook = pytest.mark.parametrize(
    "path", NOTEBOOKS, ids=lambda path: path.relative_to(WORKBOOK).as_posix()
)
each_lesson = pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)


def code_cells(notebook):
    return [cell for cell in notebook.cells if cell.cell_type == "code"]


@each_notebook
def test_stored_form(path):
    notebook = nbformat.read(path, as_version=4)
    assert notebook.metadata.kernelspec.name == "python3"
    assert "widgets" not in notebook.metadata, "saved widget state"
    for number, cell in enumerate(notebook.cells, 1):
        assert cell.id == f"cell-{number:02d}", "run: python tests/tidy_notebooks.py workbook"
        tags = set(cell.metadata.get("tags", []))
        assert tags <= TAGS, f"unknown tags {tags - TAGS}"
        if cell.cell_type != "code":
            continue
        if "nbval-check-output" in tags:
            assert cell.execution_count == 1 and cell.outputs, (
                f"cell {number} is compared but stores nothing"
            )
            assert all(output.output_type == "stream" for output in cell.outputs)
        else:
            assert cell.execution_count is None and not cell.outputs, (
                "run: python tests/tidy_notebooks.py workbook"
            )


@each_notebook
def test_cells_are_thin(path):
    cells = code_cells(nbformat.read(path, as_version=4))
    assert "setup" in cells[0].metadata.get("tags", [])
    lengths = sorted(len(cell.source.splitlines()) for cell in cells)
    usual = 5 if path.parent.name == "solutions" else 4
    assert lengths[-1] <= 15 and lengths[len(lengths) // 2] <= usual
    for cell in cells:
        assert not re.search(r"^\s*(def\b|class\b|%|!)", cell.source, re.MULTILINE)
        assert "NBVAL" not in cell.source and "random" not in cell.source


@each_lesson
def test_lesson_form(path):
    notebook = nbformat.read(path, as_version=4)
    prose = "\n".join(cell.source for cell in notebook.cells if cell.cell_type == "markdown")
    assert len(re.findall(r"^# ", prose, re.MULTILINE)) == 1
    for section in SECTIONS:
        assert re.search(rf"^## .*{section}", prose, re.MULTILINE), f"no section “{section}”"
    prose = re.sub(r"!\[.*?\]\(.*?\)", "", prose)  # words for who cannot see a picture
    for must in ("You will be able to", "Time", "Needs", "Caution"):
        assert f"**{must}" in prose, f"the opening lacks “{must}”"
    assert 1000 <= len(prose.split()) <= 1600, len(prose.split())
    assert 15 <= len(code_cells(notebook)) <= 25, len(code_cells(notebook))
    assert (
        sum("exercise" in cell.source and ".ask()" in cell.source for cell in code_cells(notebook))
        == 3
    )
    assert (WORKBOOK / "solutions" / path.name).is_file()


@each_notebook
def test_links_open(path):
    notebook = nbformat.read(path, as_version=4)
    for cell in notebook.cells:
        for link in (
            re.findall(r"\]\(([^)#:]+)\)", cell.source) if cell.cell_type == "markdown" else []
        ):
            assert (path.parent / link).exists(), link


@cache
def kernel():
    """One kernel for all notebooks, emptied before each; nbval runs each in a kernel of its own."""
    client = NotebookClient(
        nbformat.v4.new_notebook(), timeout=120, kernel_name="python3", allow_errors=True
    )
    running = ExitStack()
    atexit.register(running.close)
    running.enter_context(client.setup_kernel())
    return client


@cache
def executed(path):
    """Cells as each ran alone after the first; from top to bottom nbval runs them.

    Names are wiped before the first cell comes again and between cells: as good as a fresh kernel
    for what a cell may lean on.
    """
    ordered = code_cells(nbformat.read(path, as_version=4))
    wipe = "for _name in [n for n in globals() if n not in _kept and not n.startswith('_')]: del globals()[_name]\n"
    again = [
        wipe,
        ordered[0].source,
        "_first = {n: v for n, v in globals().items() if not n.startswith('_')}\n_kept |= set(_first)",
    ]
    for cell in ordered[1:]:
        again += [cell.source, wipe + "globals().update(_first)"]
    own = tempfile.mkdtemp(dir=os.environ["CRANKMATH_WORK"])
    begun = [
        "get_ipython().reset(new_session=False)",
        f"import os\nos.chdir({str(path.parent)!r})\nos.environ['CRANKMATH_WORK'] = {own!r}\ndel os",
        "_kept = {n for n in globals() if not n.startswith('_')}",
    ]
    cells = [nbformat.v4.new_code_cell(source) for source in begun + again]
    client = kernel()
    client.nb = nbformat.v4.new_notebook(cells=cells)
    client.reset_execution_trackers()
    for number, cell in enumerate(cells):
        client.execute_cell(cell, number)
    return cells[len(begun) :]


@each_notebook
def test_each_cell_runs_after_the_first_alone(path):
    for cell in executed(path):
        errors = [output.evalue for output in cell.outputs if output.output_type == "error"]
        assert not errors, (cell.source, errors)


@each_notebook
def test_runs_clean(path):
    """Nothing on standard error, no mistyped magic: nbval-lax alone would let both pass."""
    for cell in executed(path):
        errors = [
            output
            for output in cell.outputs
            if output.get("name") == "stderr" or output.output_type == "error"
        ]
        assert not errors, (cell.source, errors)
