"""Pages for a class, made of little: slides, the stage's pages and how they are started."""

import ast
import sys
from pathlib import Path
from types import SimpleNamespace
from urllib.parse import urlsplit
from urllib.request import url2pathname

import nbformat
import pytest
from markupsafe import Markup

from crankbook.classroom import course, stage, stage_pages
from crankbook.classroom.paper import formula, handouts, slides
from crankbook.classroom.results import collect, export, feedback, summary
from crankbook.classroom.stage_pages import StagePage

FIRST = "First of two sentences. The second stays off."


def lesson_of(markdown, number="04", title="Choose a speed", path="04-choose.ipynb"):
    return SimpleNamespace(
        path=Path(path), number=number, title=title, text={"markdown": markdown}.get
    )


def test_a_slide_shows_a_paragraphs_first_sentence_and_the_rest_whole():
    assert slides.short(FIRST) == "First of two sentences."
    for whole in ("- one. Two", "| a | b. C |", "1. One. Two", "![x](y) z. Z", "> said. So"):
        assert slides.short(whole) == whole
    assert slides.short("So $$a = b$$ holds. Then more.") == "So $$a = b$$ holds. Then more."
    assert slides.short("See [lesson 03](03-x.ipynb) first. Then go.") == "See lesson 03 first."


@pytest.mark.parametrize(
    ("blocks", "packed"),
    [
        (("a" * 200, "b" * 230), [2]),  # 430 letters have room
        (("a" * 200, "b" * 231), [1, 1]),
        (("a" * 500, "b"), [1, 1]),
        (("![x](y)", "b"), [1, 1]),  # a drawing has a slide of its own
        (("a", "![x](y)"), [1, 1]),
        (("a" * 310, "$$x$$"), [2]),  # a formula takes 120
        (("a" * 311, "$$x$$"), [1, 1]),
        (("a" * 200, "b" * 200, "c" * 200, "d" * 230), [2, 2]),
        (("**Next:** lesson 5", "a"), [1]),
        (("[lesson](04-x.ipynb) leads on",), [1]),
    ],
)
def test_blocks_are_packed_as_long_as_there_is_room(blocks, packed):
    assert [len(one) for one in slides.slides_of("\n\n".join(blocks))] == packed


def test_a_lessons_slides_are_headed_numbered_and_in_order(monkeypatch):
    seen = []

    def still(panel, heading, units):
        seen.append((panel, heading, units))
        return Markup("<p>the panel</p>")

    monkeypatch.setattr(slides, "_still", still)
    every = {"04": StagePage("04", "04", "", "", ""), "05": StagePage("05", "05", "", "", "")}
    monkeypatch.setattr(slides, "pages", lambda: every | {"x": StagePage("x", "04", "", "", "")})
    monkeypatch.setattr(slides, "make_panel", lambda one: one.name)
    markdown = f"# Choose a speed\n\n{'a' * 300}\n\n{'b' * 300}\n\n## Turn the knobs\n\nDrag.\n\n"
    markdown += (
        "## Derive\n\nWhy.\n\n<details>secret</details>\n\n## Sources\n\nBooks.\n\n## Empty\n"
    )
    text = slides.slides_page(lesson_of(markdown), "in")
    assert seen == [("04", "Turn the knobs", "in")], "the lesson's first panel alone"
    parts = text.split('<section class="slide">')[1:]
    heads = ["<h1>04 Choose a speed</h1>", "<h2>04 Choose a speed</h2>", "<p>the panel</p>"]
    heads += ["<h2>Derive</h2>", "<h2>Empty</h2>"]
    assert len(parts) == 5
    for number, (part, head) in enumerate(zip(parts, heads, strict=True), 1):
        assert part.startswith(head)
        assert f"<footer>04 · {number} of 5</footer>" in part
    assert "<title>04 Choose a speed, slides</title>" in text
    assert "secret" not in text and "Books" not in text


def test_a_still_slide_shows_the_panels_picture_and_finding(monkeypatch):
    panel = SimpleNamespace(
        values={"feed": 1}, answer=lambda units, feed: (f"items {units}", f"finding {feed}"),
        paper=lambda units, projector: f"paper {units} {projector}",
    )  # fmt: skip
    monkeypatch.setattr(slides, "add", lambda figure, items: f"{figure} + {items}")
    monkeypatch.setattr(slides, "png_address", lambda figure: f"of {figure}")
    assert slides._still(panel, "Turn", "in") == (
        '<h2>Turn</h2><p>finding 1</p><img alt="finding 1" src="of paper in True + items in">'
    )


def test_slides_are_written_a_file_a_lesson(monkeypatch, tmp_path, own_folder, capsys):
    lessons = [lesson_of("", path="04-a.ipynb"), lesson_of("", path="05-b.ipynb")]
    monkeypatch.setattr(slides.course, "chosen", lambda number: lessons[: 1 if number else 2])
    monkeypatch.setattr(slides, "slides_page", lambda lesson, units: f"{lesson.path} {units}")
    out = tmp_path / "out"
    assert slides.main(["--out", str(out), "--units", "in"]) == 0
    told = capsys.readouterr().out.splitlines()
    assert told[:2] == [str(out / "04-a.html"), str(out / "05-b.html")] and "PDF" in told[2]
    assert (out / "05-b.html").read_text(encoding="utf-8") == "05-b.ipynb in"
    assert slides.main(["--lesson", "4"]) == 0
    made = own_folder / "slides"
    assert [one.name for one in made.iterdir()] == ["04-a.html"]
    assert (made / "04-a.html").read_text(encoding="utf-8") == "04-a.ipynb mm"
    (tmp_path / "file").write_text("")
    assert slides.main(["--out", str(tmp_path / "file")]) == 1
    assert "No slides were made. " in capsys.readouterr().err


COMMANDS = {"slides": slides, "feedback": feedback, "results": summary, "export": export}
COMMANDS |= {"handouts": handouts, "collect": collect, "stage": stage}


@pytest.mark.parametrize("word", COMMANDS)
def test_help_of_a_command_says_its_name_and_what_it_is_for(word, capsys):
    with pytest.raises(SystemExit) as stopped:
        COMMANDS[word].main(["--help"])
    said = " ".join(capsys.readouterr().out.split())
    assert stopped.value.code == 0 and said.startswith(f"usage: crankmath {word} [-h]")
    purpose = {
        "slides": "Lessons as slides: text",
        "feedback": "One page a student:",
        "results": "Results of a class over all lessons",
        "export": "Each student's questions as QTI 2.2 files",
        "handouts": "Lessons on paper:",
        "collect": "Collects what students answered",
        "stage": "Every panel on the projector",
    }[word]
    assert said.index(purpose) < said.index("options:")
    assert ("--lesson NN" in said) == (word in ("slides", "feedback", "export", "handouts"))


PAGES = [StagePage(name, name[:2], f"T{name}", "Words.", "x = 1") for name in ("01", "02", "03")]


def test_each_page_of_the_stage_leads_to_its_neighbors_and_to_the_list(tmp_path):
    stage_pages.write_pages({one.name: one for one in PAGES}, tmp_path)
    words = {}
    for one in PAGES:
        notebook = nbformat.read(tmp_path / f"{one.name}.ipynb", as_version=4)
        prose, code = notebook.cells
        assert (prose.cell_type, code.cell_type, code.source) == ("markdown", "code", "x = 1")
        assert notebook.metadata.kernelspec.name == "python3"
        head, words[one.name] = prose.source.split("\n\n")
        assert head == f"# {one.lesson} T{one.name}"
    assert words == {
        "01": "Words. [list](../../) · [next ›](02.ipynb)",
        "02": "Words. [‹ before](01.ipynb) · [list](../../) · [next ›](03.ipynb)",
        "03": "Words. [‹ before](02.ipynb) · [list](../../)",
    }


def test_every_lesson_with_a_panel_has_a_page_and_one_for_a_class_stands_in_its_place():
    found = stage_pages.pages()
    assert [one.lesson for one in found.values()] == sorted(one.lesson for one in found.values())
    assert found["04"].title == course.chosen("4")[0].title
    assert found["04"].words == stage_pages.KEYS
    assert "lesson_04" in found["04"].code and found["04"].code.endswith("(stage=True)")
    named = [one for one in found.values() if not one.name.isdigit()]
    assert named and not any(one.lesson in found for one in named)
    assert all(one.title and one.words != stage_pages.KEYS for one in named)
    panel = stage_pages.make_panel(found["04"])
    assert panel.spec["stage"] and type(panel).__name__ == "Panel"


@pytest.mark.parametrize(
    ("text", "name"),
    [(None, ""), ("01", "01"), ("1", "01"), (" 2", None), ("show", "show"), ("3", "show")],
)
def test_a_page_is_asked_for_by_name_or_by_its_lessons_number(text, name):
    every = {"01": PAGES[0], "02": PAGES[1], "show": StagePage("show", "03", "", "", "")}
    if name is None:
        with pytest.raises(ValueError, match="Write one of: 01, 02, show"):
            stage.asked_page(text, every)
    else:
        assert stage.asked_page(text, every) == name


def test_the_stage_listens_on_this_machine_alone_at_the_port_asked_for():
    made = stage.settings(Path("folder"), 8866, PAGES)
    assert (made["ip"], made["port"], made["root_dir"]) == ("127.0.0.1", 8866, "folder")
    assert made["port_retries"] == 0, "another port than the one told is no help"
    assert made["auto_token"] and made["config_file_paths"] == []
    inner = made["tornado_settings"]
    assert inner["allow_remote_access"] is False
    assert set(inner["local_hostnames"]) == {"localhost", "127.0.0.1"}
    assert inner["jinja_template_vars"] == {"stage_pages": PAGES}


@pytest.fixture
def started(monkeypatch):
    """What the stage is started with, in place of a start."""
    made = {}

    class App:
        def __init__(self, **settings):
            made.update(settings, app=self)
            made["files"] = sorted(one.name for one in Path(settings["root_dir"]).iterdir())

        def initialize(self, words):
            made["words"] = words

        def start(self):
            made["started"] = True

    monkeypatch.setattr(stage, "pages", lambda: {one.name: one for one in PAGES})
    monkeypatch.setattr(stage, "prepare", lambda: made.get("own", Path("own")))
    monkeypatch.setattr(stage, "app_class", lambda: App)
    monkeypatch.setattr(stage, "add_to_path", lambda *where: made.update(path=where))
    return made


def test_the_stage_starts_with_its_list_or_at_a_page(started, capsys):
    assert stage.main(["--no-browser"]) == 0
    assert started["started"] and started["app"].first == "" and not started["app"].show
    assert started["files"] == ["01.ipynb", "02.ipynb", "03.ipynb"] and started["port"] == 8866
    assert "--VoilaConfiguration.template=stage" in started["words"]
    assert started["path"] == ("JUPYTER_PATH", stage.STAGE)
    assert stage.main(["2", "--port", "9000"]) == 0
    assert started["app"].first == "voila/render/02.ipynb" and started["app"].show
    assert started["port"] == 9000


def test_what_keeps_the_stage_from_starting_is_said(started, monkeypatch, capsys):
    assert stage.main(["7"]) == 1 and "no class page “7”" in capsys.readouterr().err
    assert stage.main(["--port", "x"]) == 1 and "whole number" in capsys.readouterr().err
    started["own"] = None
    assert stage.main([]) == 1
    started["own"] = Path("own")

    def missing():
        raise ImportError

    monkeypatch.setattr(stage, "app_class", missing)
    assert stage.main([]) == 1 and "voila" in capsys.readouterr().err
    assert "started" not in started


@pytest.mark.parametrize("show", [True, False])
def test_the_stages_address_is_told_and_opened_by_a_private_file(show, monkeypatch, capsys):
    opened = []
    base = type("Voila", (), {"display_url": "http://127.0.0.1:8866/?token=t"})
    monkeypatch.setitem(sys.modules, "voila", SimpleNamespace())
    monkeypatch.setitem(sys.modules, "voila.app", SimpleNamespace(Voila=base))
    monkeypatch.setattr(
        stage.webbrowser, "open", lambda address, new: opened.append((address, new))
    )
    app = stage.app_class()()
    app.show, app.first = show, "voila/render/02.ipynb"
    app.launch_browser()
    address = "http://127.0.0.1:8866/voila/render/02.ipynb?token=t"
    assert capsys.readouterr().out.startswith(f"The class page is at {address}\n")
    assert len(opened) == show
    for page, new in opened:
        assert f"url={address}" in Path(url2pathname(urlsplit(page).path)).read_text()
        assert new == 2, "a tab of its own"


def test_an_outline_is_written_as_moves_lines_and_curves():
    """Up on the paper is down in the drawing; a curve has its controls before its end."""
    points = [(0, 0), (1, 2), (3, 4), (5, 6), (7, 8), (9, 10), (11, 12), (0, 0), (1.2, -1)]
    codes = [1, 2, 3, 3, 4, 4, 4, 79, 1]
    assert formula._outline(points, codes) == (
        "M0.0,0.0L1.0,-2.0Q3.0,-4.0 5.0,-6.0C7.0,-8.0 9.0,-10.0 11.0,-12.0ZM1.2,1.0"
    )


def test_a_sum_that_calls_all_that_a_calculator_has_is_still_plain():
    tree = ast.parse("print(abs(max(min(round(sqrt(4.0), 1), 2), 3)))")
    assert handouts.plain_sum(tree)
    assert not handouts.plain_sum(ast.parse("print(sum([1]))"))
    assert not handouts.plain_sum(ast.parse("import math"))


def test_handouts_are_written_lesson_by_lesson_as_asked(monkeypatch, tmp_path, own_folder, capsys):
    asked = []

    class Kernel:
        def __init__(self, units):
            self.units = units

        def __enter__(self):
            return self

        def __exit__(self, *error):
            pass

    def export_lesson(lesson, folder, runner, large):
        asked.append((lesson, folder, runner.units, large))
        return [f"{lesson}.html"]

    def guide(folder, runner, large):
        asked.append(("guide", folder, runner.units, large))
        return "guide.html"

    monkeypatch.setattr(handouts, "Runner", Kernel)
    monkeypatch.setattr(handouts, "export", export_lesson)
    monkeypatch.setattr(handouts, "export_guide", guide)
    monkeypatch.setattr(handouts.course, "chosen", lambda number: [number or "all"])
    assert handouts.main(["--lesson", "4", "--units", "in", "--large"]) == 0
    assert handouts.main(["--out", str(tmp_path / "x"), "--guide"]) == 0
    assert handouts.main([]) == 0
    own = own_folder / "handouts"
    assert asked == [
        ("4", own, "in", True),
        ("guide", tmp_path / "x", "mm", False),
        ("all", own, "mm", False),
    ]
    assert capsys.readouterr().out.splitlines()[:2] == [
        "4.html",
        "Open a sheet in a browser and print it; choose A4 or Letter there.",
    ]

    def broken(*_):
        raise OSError(28, "no room", "x.html")

    monkeypatch.setattr(handouts, "export", broken)
    assert handouts.main([]) == 1
    assert "x.html cannot be written (no room)" in capsys.readouterr().err

    def undrawn(*_):
        raise ValueError("the formula cannot be drawn")

    monkeypatch.setattr(handouts, "export", undrawn)
    assert handouts.main([]) == 1
    assert "The handout was not made: the formula" in capsys.readouterr().err
