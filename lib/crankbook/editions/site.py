"""The workbook as a static site: ``crankmath site FOLDER`` builds what runs in a browser alone."""

import argparse
import importlib.metadata
import importlib.util
import json
import re
import shutil
import subprocess
import sys
import sysconfig
import tempfile
import time
from pathlib import Path

from crankmath.files import FileTroubleError, make_folder, write_whole

from ..workspace import START, find_workbook, lessons
from .distribution import Source, write

HERE = Path(__file__).parent
MARK = "crankmath-site.json"  # names a folder that this command made
KERNEL = "@jupyterlite/pyodide-kernel-extension"
KEPT = "/drive/my-work"  # the reader's folder, in the part of the disk that a browser keeps
MISSING = (
    "A site needs the packages jupyterlite-core and jupyterlite-pyodide-kernel. Type: "
    "uv run --project lib --extra site crankmath site FOLDER"
)
APPS = ("lab", "notebooks", "tree")


def release():
    """Address of the Pyodide distribution that the installed kernel names."""
    scripts = Path(sysconfig.get_path("data")) / "share/jupyter/labextensions" / KERNEL / "static"
    for path in sorted(scripts.glob("*.js")):
        if found := re.search(r"https://[^\"'`\s]+/pyodide\.js", path.read_text(encoding="utf-8")):
            return found[0].removesuffix("/pyodide.js")
    raise ValueError("the installed kernel names no Pyodide distribution: name one with --pyodide")


def settings():
    """Settings of a site's pages: no other host is asked, the reader's files outlive a visit."""
    kernel = {
        "disablePyPIFallback": True,
        "loadPyodideOptions": {"env": {"CRANKMATH_WORK": KEPT}},
    }
    return {
        "jupyter-lite-schema-version": 0,
        "jupyter-config-data": {
            "appName": "The crankshaft workbook",
            "enableMemoryStorage": False,
            "litePluginSettings": {f"{KERNEL}:kernel": kernel},
        },
    }


def build(folder, source, say=print):
    """Build the site into an empty folder; returns its size in bytes."""
    with tempfile.TemporaryDirectory(prefix="crankmath-site-") as kept:
        work = Path(kept)
        pyodide = write(source, work / "static" / "pyodide", say)
        workbook = find_workbook()
        for path in lessons(workbook):
            place = work / "contents" / path.relative_to(workbook)
            place.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(path, place)
        write_whole(work / "jupyter-lite.json", json.dumps(settings()))
        say("Building the pages (about a minute)")
        _lite(work, folder)
    for path in folder.rglob("*.map"):
        path.unlink()
    shutil.copyfile(HERE / "site_page.js", folder / "site_page.js")
    for page in (folder, *(folder / name for name in APPS)):
        _add_script(page / "index.html", "." if page == folder else "..")
    about = {"crankmath": importlib.metadata.version("crankmath"), "pyodide": pyodide}
    write_whole(folder / MARK, json.dumps(about))
    return sum(path.stat().st_size for path in folder.rglob("*") if path.is_file())


def _lite(work, folder):
    command = [sys.executable, "-m", "jupyterlite_core", "build", "--lite-dir", work]
    command += ["--contents", work / "contents", "--output-dir", folder, "--no-sourcemaps"]
    for name in APPS:
        command += ["--apps", name]
    done = subprocess.run([str(word) for word in command], cwd=work, capture_output=True, text=True)
    if done.returncode:
        raise ValueError(f"the pages could not be built: {(done.stderr or done.stdout)[-1500:]}")


def _add_script(page, up):
    text = page.read_text(encoding="utf-8")
    script = f'<script src="{up}/site_page.js"></script>'
    write_whole(page, text.replace("</head>", f"{script}</head>", 1))


def _folder_problem(folder):
    """Sentence where the folder holds anything but a site that this command made."""
    if not folder.exists() or (folder / MARK).is_file():
        return ""
    if not folder.is_dir() or any(folder.iterdir()):
        return f"{folder} is not empty and is not a site made by this command: choose a new folder"
    return ""


def main(arguments):
    """``crankmath site FOLDER [--pyodide FOLDER_OR_ARCHIVE]``."""
    parser = argparse.ArgumentParser(
        prog="crankmath site",
        description="The whole workbook as a static site: lessons run in the reader's browser, "
        "nothing is installed and no other host is asked.",
    )
    parser.add_argument("folder", help="where the site is written")
    parser.add_argument(
        "--pyodide", metavar="SOURCE", help="folder, archive or address of a Pyodide release"
    )
    asked = parser.parse_args(arguments)
    folder = Path(asked.folder).absolute()
    if any(map(_absent, ("jupyterlite_core", "jupyterlite_pyodide_kernel"))):
        print(MISSING, file=sys.stderr)
        return 1
    if problem := _folder_problem(folder):
        print(problem, file=sys.stderr)
        return 1
    begun = time.monotonic()
    try:
        where = asked.pyodide or release()
        if re.match(r"https?://", where):
            print(f"About 60 MB are fetched from {where}", flush=True)
        else:
            print(f"Python for the browser comes from {where}; nothing is fetched.", flush=True)
        source = Source(where)
        if folder.exists():
            shutil.rmtree(folder)
        make_folder(folder)
        size = build(folder, source, lambda words: print(words, flush=True))
    except (ValueError, OSError, FileTroubleError) as error:
        print(f"No site was made: {error}", file=sys.stderr)
        return 1
    print(
        f"The site is in {folder}: {size / 1e6:.0f} MB, made in {time.monotonic() - begun:.0f} s.\n"
        f"Try it:  {Path(sys.executable).name} -m http.server --bind 127.0.0.1 "
        f"--directory {asked.folder} 8000\n"
        f"and open  http://localhost:8000/lab/index.html?path={START}\n"
        "For a school put the folder on a web server with https: without it (or localhost) nothing "
        "that is entered outlives a reload, and the page says so."
    )
    return 0


def _absent(name):
    return importlib.util.find_spec(name) is None
