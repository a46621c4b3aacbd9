"""Puts the lessons into wheel and source archive; the tree holds them once."""

from pathlib import Path

from setuptools import setup
from setuptools.command.build_py import build_py
from setuptools.command.sdist import sdist

HERE = Path(__file__).parent
INSIDE = Path("crankbook") / "workbook"  # where the lessons lie in a wheel and an sdist


def lessons():
    """Each file of the lessons with its place below the packages' folder."""
    unpacked = HERE / INSIDE
    source = unpacked if unpacked.is_dir() else HERE.parent / "workbook"
    found = [
        path
        for pattern in ("*.ipynb", "solutions/*.ipynb", "cranks/*.toml", "pictures/*.*")
        for path in sorted(source.glob(pattern))
    ]
    if not found:
        raise SystemExit(f"The lessons were not found in {source}: build inside the whole tree")
    return [(path, INSIDE / path.relative_to(source)) for path in found]


class WithLessons(build_py):
    """Copies the lessons into the built packages; an editable install reads them in the tree."""

    def run(self):
        super().run()
        if not self.editable_mode:
            for path, place in lessons():
                self._copy(path, Path(self.build_lib) / place)

    def _copy(self, path, place):
        self.mkpath(str(place.parent))
        self.copy_file(str(path), str(place))

    def get_outputs(self, *arguments, **named):
        listed = super().get_outputs(*arguments, **named)
        if self.editable_mode:
            return listed
        return listed + [str(Path(self.build_lib) / place) for _, place in lessons()]


class SourceWithLessons(sdist):
    """Copies the lessons into the source archive, from which a wheel is built later."""

    def make_release_tree(self, base_dir, files):
        super().make_release_tree(base_dir, files)
        for path, place in lessons():
            self.mkpath(str((Path(base_dir) / place).parent))
            self.copy_file(str(path), str(Path(base_dir) / place))


setup(cmdclass={"build_py": WithLessons, "sdist": SourceWithLessons})
