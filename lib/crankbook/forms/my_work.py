"""The reader's own files out and in: one archive to take along; brought in, it loses nothing."""

import base64
import binascii
import io
import re
import zipfile
from datetime import datetime

import traitlets

from crankmath.files import FileTroubleError, alone, make_folder, set_aside, write_whole
from crankmath.language import _

from ..lesson import progress
from ..lesson.kernel_link import Linked, script

PLACES = ("*.json", "*.toml", "my-cranks/*.toml", "my-lathes/*.toml")  # below the reader's folder
NAME = re.compile(r"(?:my-(?:cranks|lathes)/)?\w[\w .()-]{0,80}\.(?:json|toml)")
EARLIER = re.compile(r"\.(?:before|damaged)-\d+\.\w+$")  # kept aside: stays where it is
MOST_FILES, MOST_BYTES = 500, 5_000_000


def own_files():
    """The reader's progress, cranks, lathes, readings and jobs: (name below the folder, path)."""
    folder = progress.folder()
    found = [(path.relative_to(folder).as_posix(), path) for p in PLACES for path in folder.glob(p)]
    return sorted(
        (name, path)
        for name, path in found
        if path.is_file() and NAME.fullmatch(name) and not EARLIER.search(name)
    )


def archive():
    """All own files as the bytes of a zip archive."""
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as store:
        for name, path in own_files():
            store.writestr(name, path.read_bytes())
    return content.getvalue()


def read_archive(content):
    """Files of an archive by name; ValueError says what is wrong with one that is not ours."""
    try:
        store = zipfile.ZipFile(io.BytesIO(content))
        listed = [entry for entry in store.infolist() if not entry.is_dir()]
        if len(listed) > MOST_FILES or sum(entry.file_size for entry in listed) > MOST_BYTES:
            raise ValueError(
                _(
                    "the archive is too large: at most {most_files} files and {most_bytes} MB are "
                    "taken"
                ).format(most_files=MOST_FILES, most_bytes=MOST_BYTES // 1_000_000)
            )
        strange = [entry.filename for entry in listed if not NAME.fullmatch(entry.filename)]
        if strange or not listed:
            what = (
                _("it holds “{strange}”").format(strange=strange[0][:60])
                if strange
                else _("it is empty")
            )
            raise ValueError(
                _(
                    "this is not an archive made by the workbook ({what}): choose my-work-….zip"
                ).format(what=what)
            )
        return {entry.filename: store.read(entry) for entry in listed}
    except (zipfile.BadZipFile, RuntimeError, NotImplementedError, zipfile.zlib.error):
        raise ValueError(_("the archive cannot be read: choose the my-work-….zip again")) from None


def different(files):
    """Names of those files that are here already with different content."""
    folder = progress.folder()
    return [
        name
        for name, content in files.items()
        if (folder / name).is_file() and (folder / name).read_bytes() != content
    ]


def bring_in(files, replace):
    """Write an archive's files, and return their names; the reader's own ones are kept aside.

    A file whose content differs from the reader's is written only with ``replace``.
    FileTroubleError: The folder cannot be written.
    """
    folder, unlike, written = progress.folder(), different(files), []
    for name, content in files.items():
        place = folder / name
        if (place.is_file() and name not in unlike) or (name in unlike and not replace):
            continue
        make_folder(place.parent)
        with alone(place):
            if place.is_file():
                set_aside(place, "before")
            write_whole(place, content)
        written.append(name)
    return written


class MyWork(Linked):
    """Two buttons: download all own files as one archive; bring such an archive in.

    It asks before it replaces a file of different content.
    """

    _esm = script(__file__, ".js")
    _css = script(__file__, ".css")
    status = traitlets.Dict().tag(sync=True)

    def __init__(self):
        super().__init__()
        self._files = {}
        count = len(own_files())
        self._say(
            _("{count} of your own files are here.").format(count=count)
            if count
            else _("Nothing of your own is here yet.")
        )

    def receive(self, message):
        """Act on a message of the page."""
        kind = message.get("type")
        try:
            if kind == "take":
                self._take()
            elif kind == "bring":
                self._bring(message["data"])
            elif kind in ("replace", "keep"):
                self._written(self._files, kind == "replace")
        except (ValueError, FileTroubleError) as error:
            self._files = {}
            self._say(_("Nothing was brought in: {error}.").format(error=error))

    def _take(self):
        if not own_files():
            return self._say(
                _("Nothing of your own is here yet: answer a question or save a crank.")
            )
        name = f"my-work-{datetime.now():%Y-%m-%d}.zip"
        self.send({"type": "work", "name": name}, buffers=[archive()])
        self._say(
            _("{name} holds {count} files. Keep it where you will find it.").format(
                name=name, count=len(own_files())
            )
        )

    def _bring(self, data):
        try:
            content = base64.b64decode(data, validate=True)
        except (binascii.Error, ValueError):
            raise ValueError(_("the archive did not arrive whole; choose it again")) from None
        self._files = read_archive(content)
        if unlike := different(self._files):
            listed = ", ".join(unlike[:8]) + (" …" if len(unlike) > 8 else "")
            return self._say(
                _("Already here, with other contents: {listed}. Which should be kept?").format(
                    listed=listed
                ),
                True,
            )
        self._written(self._files, False)

    def _written(self, files, replace):
        unlike = different(files)
        written = bring_in(files, replace)
        kept = len(files) - len(written)
        said = _("Brought in: {written}.").format(written=", ".join(written) or "nothing")
        if unlike and replace:
            said += _(" What they replace is kept beside as ….before-1 and so on.")
        elif kept:
            said += _(" {kept} stay as they are here.").format(kept=kept)
        self._files = {}
        self._say(said + _(" Run the cells of an open lesson again to see it."))

    def _say(self, text, question=False):
        self.status = {"text": text, "question": question}
