"""Clear notebooks as they are stored: no outputs, no counts, fixed ids, except the text that nbval compares.

Run as: python tests/tidy_notebooks.py workbook
"""

import sys
from pathlib import Path

import nbformat

KERNEL = {
    "kernelspec": {"name": "python3", "display_name": "Python 3 (ipykernel)", "language": "python"},
    "language_info": {"name": "python"},
}
COMPARED = "nbval-check-output"


def tidy(path):
    """Rewrite one notebook; compared cells keep their stream text."""
    notebook = nbformat.read(path, as_version=4)
    says = {"takeaway": notebook.metadata["takeaway"]} if "takeaway" in notebook.metadata else {}
    notebook.metadata = nbformat.from_dict(KERNEL | says)
    for number, cell in enumerate(notebook.cells, 1):
        cell.id = f"cell-{number:02d}"
        tags = cell.metadata.get("tags", [])
        cell.metadata = nbformat.from_dict({"tags": tags} if tags else {})
        if cell.cell_type == "code":
            kept = (
                [output for output in cell.outputs if output.output_type == "stream"]
                if COMPARED in tags
                else []
            )
            cell.outputs, cell.execution_count = kept, 1 if kept else None
            for output in kept:
                output.pop("metadata", None)
    nbformat.write(notebook, path)


if __name__ == "__main__":
    for folder in sys.argv[1:]:
        for path in sorted(Path(folder).rglob("*.ipynb")):
            tidy(path)
