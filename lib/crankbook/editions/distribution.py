"""A Pyodide distribution with the workbook in it, loaded by a kernel at ``import crankmath``."""

import hashlib
import importlib.metadata
import io
import json
import re
import tarfile
import urllib.error
import urllib.request
import zipfile
from pathlib import Path, PurePosixPath

from ..workspace import INSTALLED, find_workbook, lessons

LOCK = "pyodide-lock.json"
CORE = ("pyodide.js", "pyodide.mjs", "pyodide.asm.js", "pyodide.asm.wasm", "python_stdlib.zip")
# what the kernel asks for when it starts, beside its own wheels
KERNEL = ("micropip", "ssl", "sqlite3", "comm", "jedi", "ipython", "matplotlib-inline")
LEFT_OUT = (  # no locks, no server
    *("filelock", "jupyter-server", "jupyterlab", "nbclient", "nbconvert", "nbformat"),
)
OURS = ("crankmath", "crankbook")  # packages of the distribution crankmath
FONTS = "matplotlib/fontlist.json"  # where Pyodide's matplotlib looks for its list of fonts


class Source:
    """Files of a Pyodide distribution by name, out of a folder, an archive or an address."""

    def __init__(self, where):
        self.where, self.archive = str(where), None
        if re.match(r"https?://", self.where):
            self.kind = "address"
            if self.where.endswith((".tar.bz2", ".tar.gz", ".zip", ".whl")):
                self._open_archive(_fetched(self.where))
        elif Path(where).is_dir():
            self.kind = "folder"
            locks = sorted(Path(where).rglob(LOCK), key=lambda path: len(path.parts))
            if not locks:
                raise ValueError(f"{where} holds no {LOCK}: name the folder of a Pyodide release")
            self.base = locks[0].parent
        elif Path(where).is_file():
            self._open_archive(Path(where).read_bytes())
        else:
            raise ValueError(f"there is no folder or file {where}")

    def _open_archive(self, content):
        self.kind, stored = "archive", io.BytesIO(content)
        if zipfile.is_zipfile(stored):
            self.archive = zipfile.ZipFile(stored)
            names = self.archive.namelist()
        else:
            try:
                self.archive = tarfile.TarFile.open(fileobj=io.BytesIO(content))
            except tarfile.TarError:
                raise ValueError(
                    f"{self.where} is not a zip or tar archive: name a Pyodide release"
                ) from None
            names = self.archive.getnames()
        locks = sorted((name for name in names if PurePosixPath(name).name == LOCK), key=len)
        if not locks:
            raise ValueError(f"{self.where} holds no {LOCK}: name an archive of a Pyodide release")
        self.base = PurePosixPath(locks[0]).parent

    def read(self, name):
        """Bytes of a file; ValueError where it is not there or cannot be fetched."""
        try:
            if self.kind == "address":
                return _fetched(f"{self.where.rstrip('/')}/{name}")
            if self.kind == "folder":
                return (self.base / name).read_bytes()
            member = str(self.base / name)
            if isinstance(self.archive, zipfile.ZipFile):
                return self.archive.read(member)
            return self.archive.extractfile(member).read()
        except (OSError, KeyError) as error:
            raise ValueError(f"{name} cannot be read from {self.where} ({error})") from None


def _fetched(address):
    try:
        with urllib.request.urlopen(address, timeout=60) as answer:
            return answer.read()
    except (urllib.error.URLError, TimeoutError) as error:
        raise ValueError(
            f"{address} cannot be fetched ({getattr(error, 'reason', error)}): where this machine "
            "may not reach it, fetch the Pyodide release elsewhere and name it with --pyodide"
        ) from None


def key(name):
    """A package's name as a lock file writes it."""
    return re.sub(r"[-_.]+", "-", name).lower()


def needed():
    """Packages that the workbook needs beside its own where no server runs."""
    asked = importlib.metadata.requires("crankmath") or []
    return [
        name for name in _required(asked, {"sys_platform": "emscripten"}) if name not in LEFT_OUT
    ]


def _required(requirements, environment):
    from packaging.requirements import Requirement

    found = []
    for line in requirements:
        wanted = Requirement(line)
        if wanted.marker is None or wanted.marker.evaluate({"extra": "", **environment}):
            found.append(key(wanted.name))
    return found


def pure_wheels(roots, known, environment):
    """Name of each package unknown to the distribution: (version, wheel, imports, depends)."""
    found, ahead = {}, [key(root) for root in roots]
    while ahead:
        name = ahead.pop()
        if name in known or name in found:
            continue
        try:
            installed = importlib.metadata.distribution(name)
        except importlib.metadata.PackageNotFoundError:
            raise ValueError(
                f"{name} is not installed here: install the extra “site” again"
            ) from None
        depends = _required(installed.requires or [], environment)
        files = [
            (str(PurePosixPath(path)), Path(installed.locate_file(path)))
            for path in installed.files or []
            if ".." not in path.parts and "__pycache__" not in path.parts
        ]
        found[name] = (installed.version, *_wheel(name, files), depends)
        ahead += depends
    return found


def _wheel(name, files, more=()):
    """A wheel of pure Python made of installed files: (bytes, imports).

    ValueError where a module is there in compiled form alone.
    """
    _refuse_compiled(name, {place for place, _ in files})
    names = {place for place, _ in files}
    content, tops = io.BytesIO(), set()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as wheel:
        for place, path in sorted(files):
            # of a module kept twice, compiled and as Python, a browser takes the Python
            if PurePosixPath(place).suffix in (".so", ".pyd", ".dylib", ".pyc", ".c"):
                continue
            if place.endswith(("/RECORD", "/direct_url.json")):
                continue
            _add(wheel, place, path.read_bytes())
            top = place.partition("/")[0]
            if not top.endswith((".dist-info", ".data")) and (
                top.endswith(".py") or f"{top}/__init__.py" in names
            ):
                tops.add(top.removesuffix(".py"))
        for place, text in more:
            _add(wheel, place, text)
    if not tops:
        raise ValueError(f"{name} holds no Python that a browser could run")
    return content.getvalue(), sorted(tops)


def _refuse_compiled(name, places):
    for place in places:
        module = place.partition(".")[0]
        spare = f"{module}.py" in places or "speedups" in module or "__mypyc" in module
        if PurePosixPath(place).suffix in (".so", ".pyd") and not spare:
            raise ValueError(f"{name} is compiled ({place}): a browser cannot run it")


def _add(wheel, place, content):
    """Add a file under one fixed date, so that the same files make the same wheel."""
    wheel.writestr(zipfile.ZipInfo(place, (2020, 1, 1, 0, 0, 0)), content, zipfile.ZIP_DEFLATED)


def own_wheel(more=()):
    """The library and the book, lessons within, as a wheel: (bytes, imports)."""
    files = []
    for package in OURS:
        top = Path(importlib.import_module(package).__file__).parent
        files += [
            (f"{package}/{path.relative_to(top).as_posix()}", path)
            for path in top.rglob("*")
            if path.is_file() and "__pycache__" not in path.parts
            if path.relative_to(top).parts[0] != INSTALLED.name
        ]
    workbook, inside = find_workbook(), f"crankbook/{INSTALLED.name}"
    files += [
        (f"{inside}/{path.relative_to(workbook).as_posix()}", path) for path in lessons(workbook)
    ]
    about = importlib.metadata.distribution("crankmath")
    folder = f"crankmath-{about.version}.dist-info"
    tag = "Wheel-Version: 1.0\nGenerator: crankmath\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
    metadata = f"Metadata-Version: 2.1\nName: crankmath\nVersion: {about.version}\n"
    return _wheel(
        "crankmath", files, [(f"{folder}/METADATA", metadata), (f"{folder}/WHEEL", tag), *more]
    )


def font_list(matplotlib_wheel):
    """Pyodide's list of matplotlib's fonts, under the number that this matplotlib asks for.

    A release may carry a list of another number, which matplotlib would make again, for seconds.
    """
    with zipfile.ZipFile(io.BytesIO(matplotlib_wheel)) as wheel:
        if FONTS not in wheel.namelist():
            return []
        source = wheel.read("matplotlib/font_manager.py").decode()
        listed = json.loads(wheel.read(FONTS))
    version = re.search(r"__version__ = (.+)", source)[1]
    return [(FONTS, json.dumps({**listed, "_version": json.loads(version.replace("'", '"'))}))]


def write(source, folder, say=print):
    """Write what the workbook needs into a folder: packages, wheels, the lock file.

    Returns the version of Pyodide.
    """
    lock = json.loads(source.read(LOCK))
    known = {key(name): entry for name, entry in lock["packages"].items()}
    python = ".".join(lock["info"]["python"].split(".")[:2])
    environment = {
        "sys_platform": "emscripten",
        "platform_system": "Emscripten",
        "python_version": python,
        "python_full_version": lock["info"]["python"],
    }
    pure = pure_wheels(["comm", *needed()], known, environment)
    wanted, ahead = (
        {},
        [*KERNEL, *needed(), *(name for wheel in pure.values() for name in wheel[3])],
    )
    while ahead:
        name = key(ahead.pop())
        if name in known and name not in wanted:
            wanted[name] = known[name]
            ahead += known[name]["depends"]
    folder.mkdir(parents=True, exist_ok=True)
    names = [*CORE, *(entry["file_name"] for entry in wanted.values())]
    for number, name in enumerate(names, 1):
        content = source.read(name)
        entry = next((entry for entry in wanted.values() if entry["file_name"] == name), None)
        if entry and hashlib.sha256(content).hexdigest() != entry["sha256"]:
            raise ValueError(
                f"{name} from {source.where} is damaged: its checksum is not the one listed"
            )
        (folder / name).write_bytes(content)
        say(f"{number}/{len(names)} {name}, {len(content) / 1e6:.1f} MB")
    fonts = font_list((folder / wanted["matplotlib"]["file_name"]).read_bytes())
    version = importlib.metadata.version("crankmath")
    pure["crankmath"] = (version, *own_wheel(fonts), needed())
    for name, (version, content, imports, depends) in pure.items():
        file = f"{name.replace('-', '_')}-{version}-py3-none-any.whl"
        (folder / file).write_bytes(content)
        wanted[name] = {
            "name": name,
            "version": version,
            "file_name": file,
            "install_dir": "site",
            "sha256": hashlib.sha256(content).hexdigest(),
            "package_type": "package",
            "imports": imports,
            "depends": [each for each in depends if each in known or each in pure],
            "unvendored_tests": False,
        }
    (folder / LOCK).write_text(json.dumps({**lock, "packages": wanted}, indent=1), encoding="utf-8")
    return lock["info"]["version"]
