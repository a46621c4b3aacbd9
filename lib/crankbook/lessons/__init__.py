"""What each lesson needs beside the library: panel, question makers, pictures."""

import importlib
import pkgutil
import re


def modules():
    """Name of each lesson's module: the module, in teaching order."""
    found = {
        name.rpartition(".")[2]: name
        for _, name, _ in pkgutil.walk_packages(__path__, f"{__name__}.")
        if re.search(r"\.lesson_\d\d$", name)
    }
    return {name: importlib.import_module(found[name]) for name in sorted(found)}
