"""What readers type is never run: not by Python, not by a page, not by a spreadsheet; and the server lets only its owner in."""

import ast
import csv
import http.client
import io
import json
import os
import re
import socket
import subprocess
import sys
import time
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import psutil
import pytest

import crankmath
from crankbook import csv_tables
from crankbook import pages as print_page
from crankbook.classroom import course, sets
from crankbook.classroom.paper import stills
from crankbook.forms import job_form
from crankbook.forms.crank_form import CrankForm
from crankbook.lesson import Exercise, Question, exercise, own, show
from crankbook.lessons.blank import lesson_01
from crankbook.pictures.blank import layout_sheet
from crankbook.sheet.sheet import Sheet
from crankmath.blank import layout
from crankmath.blank.bar import smallest_bar
from crankmath.crank import Crank
from crankmath.job import Job
from crankmath.units import Quantity

ROOT = Path(__file__).parents[1]
LIBRARY = Path(crankmath.__file__).parents[1]
PACKAGES = LIBRARY / "crankmath", LIBRARY / "crankbook"
NASTY = [
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "' onmouseover='alert(1)",
    "</title></style><svg onload=alert(1)>",
    "a & b &lt;i&gt;",
    "]]><!--",
    "javascript:alert(1)",
    r"a$\frac{$ $x_{y}$",
    "=HYPERLINK(1)",
    "+1+cmd|' /C calc'!A1",
    "-2+3",
    "@SUM(A1)",
    " =1+1",
    "＝1+1",
]
nasty = pytest.mark.parametrize("text", NASTY)
pytestmark = pytest.mark.filterwarnings(
    "ignore:Glyph"
)  # wide letters may be missing from the type of the drawings

CALLED = {"eval", "exec", "compile", "__import__", "execfile", "breakpoint"}
RUNNING = {
    "system",
    "popen",
    "startfile",
    "getoutput",
    "getstatusoutput",
    "execv",
    "execl",
    "execvp",
    "spawnl",
    "spawnv",
    "create_subprocess_shell",
}
IMPORTED = {
    "pickle",
    "cPickle",
    "dill",
    "cloudpickle",
    "joblib",
    "marshal",
    "shelve",
    "code",
    "codeop",
    "ctypes",
    "yaml",
    "runpy",
}


def dangers(source):
    """What a program has in it that could run a text, with line numbers."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import | ast.ImportFrom):
            names = (
                [node.module or ""]
                if isinstance(node, ast.ImportFrom)
                else [one.name for one in node.names]
            )
            found = [name for name in names if name.split(".")[0] in IMPORTED]
            inside = {one.name for one in node.names} if isinstance(node, ast.ImportFrom) else set()
            found += (
                inside & (RUNNING | CALLED)
                if names[0] in ("os", "subprocess", "builtins", "asyncio")
                else []
            )
        elif isinstance(node, ast.Name):
            found = {node.id} & (CALLED | {"__builtins__"})
        elif isinstance(node, ast.Attribute):
            found = {node.attr} & (
                RUNNING
                | {
                    "__builtins__",
                    "__subclasses__",
                    "__globals__",
                    "literal_eval",
                    "sympify",
                    "parse_expr",
                }
            )
        elif isinstance(node, ast.keyword):
            found = (
                {node.arg} & {"shell", "allow_pickle"}
                if not (isinstance(node.value, ast.Constant) and node.value.value is False)
                else ()
            )
        else:
            continue
        yield from ((getattr(node, "lineno", 0), one) for one in found)


@pytest.mark.parametrize(
    "path",
    sorted(path for folder in PACKAGES for path in folder.rglob("*.py")),
    ids=lambda path: path.stem,
)
def test_nothing_in_the_library_runs_a_text(path):
    assert not list(dangers(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize(
    "source",
    [
        "eval(x)",
        "exec(x)",
        "compile(x, '', 'eval')",
        "__import__(x)",
        "import pickle",
        "from pickle import loads",
        "import marshal as m",
        "import shelve",
        "os.system(x)",
        "os.popen(x)",
        "from os import system",
        "subprocess.run(x, shell=True)",
        "subprocess.run(x, shell=y)",
        "np.load(x, allow_pickle=True)",
        "import yaml",
        "f = eval",
        "from builtins import exec as e",
        "getattr(__builtins__, x)",
    ],
)
def test_the_search_finds_each_way(source):
    assert list(dangers(source))


def test_pages_of_the_library_never_take_text_for_markup():
    sinks = (
        r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|createContextualFragment|setHTML|DOMParser|srcdoc|\beval\s*\(|new Function|javascript:|import\s*\(|"
        r"setTimeout\(\s*[\"'`]|setAttribute\(\s*[\"']on|\|\s*safe\b"
    )
    files = [
        path
        for end in ("*.js", "*.html", "*.j2", "*.css")
        for folder in PACKAGES
        for path in folder.rglob(end)
    ]
    assert {"panel.js", "crank_form.js", "job_form.js", "readings_form.js"} <= {
        path.name for path in files
    }
    # a single page runs the panel's own script, which stands in the page itself
    own_script = "await import(`data:text/javascript;base64,${btoa(letters)}`)"
    for path in files:
        text = path.read_text(encoding="utf-8").replace(own_script, "")
        assert not re.search(sinks, text), path
        if path.suffix == ".js":
            assert "textContent" in text or "drawItem(" in text, path


@pytest.mark.parametrize(
    "path",
    sorted((ROOT / "workbook").rglob("*.ipynb")),
    ids=lambda path: f"{path.parent.name}-{path.stem}",
)
def test_notebooks_carry_no_script(path):
    for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
        texts = [
            "".join(cell["source"]),
            *(
                "".join(part) if isinstance(part, list) else str(part)
                for output in cell.get("outputs", ())
                for part in (*output.get("data", {}).values(), output.get("text", ""))
            ),
        ]
        for text in texts:
            assert not re.search(
                r"<\s*(script|iframe|object|embed|form|base|link|meta)\b|javascript:|data:text/html|<[^>]+\son\w+\s*=",
                text,
                re.IGNORECASE,
            ), text[:200]
            assert not re.search(
                r"^\s*(%%(javascript|js|html|svg|bash|sh|script|writefile)|!\s*\w|%(run|load_ext|system|sx)\b)",
                text,
                re.MULTILINE,
            ), text[:200]
        if cell["cell_type"] == "code":
            assert not list(dangers(re.sub(r"^%.*$", "", texts[0], flags=re.MULTILINE))), texts[0][
                :200
            ]


class Skeleton(HTMLParser):
    """Elements of a page with the names of their attributes, its texts, and whatever could run."""

    def __init__(self, page):
        super().__init__()
        self.elements, self.text, self.running = [], "", []
        self.feed(str(page))
        self.close()

    def handle_starttag(self, tag, attributes):
        self.elements.append((tag, *sorted(name for name, _ in attributes)))
        self.running += [
            (tag, name, value)
            for name, value in attributes
            if name.startswith("on")
            or name in ("href", "src", "action")
            and not re.match(r"data:image/png|[\w-]+\.ipynb$", value or "")
        ]
        self.running += [tag] if tag in ("script", "iframe", "object", "embed", "form") else []

    def handle_data(self, data):
        self.text += data

    def handle_comment(self, data):
        self.elements.append(("comment", data))


def job(text):
    crank = Crank.from_dict(Crank.load("pump").to_dict() | {"name": text})
    return Job(crank).typed("lathe_name", text.replace("\n", " "))


PAGES = {
    "job sheet": lambda text: Sheet(job(text), ({"fillet": "2 mm"},), "2026-03-01").html(),
    "question sheet": lambda text: class_page(text, False),
    "key": lambda text: class_page(text, True),
    "page": lambda text: print_page.page(
        text, print_page.prose(text) + print_page.table([text], [[text]], text), text
    ),
    "question": lambda text: sets.question_html(
        text, Question(text, Quantity(1.0, "mm"), ("mm",), {}, ())
    ),
}


def class_page(text, key):
    lesson = course.chosen("08")[0]
    asked = {
        name: sets.SchoolClass("oak", [text]).question(name, maker, "Anna")
        for name, maker in course.exercises(lesson).items()
    }
    return (
        sets.key_page(lesson, [(1, text, asked)])
        if key
        else print_page.page(text, sets.sheet(lesson, 1, text, asked))
    )


# a job sheet takes two seconds: what ends an element, an attribute and a style is in these
TYPED = [
    (page, text)
    for page in PAGES
    for text in ((NASTY[1], NASTY[2], NASTY[3]) if page == "job sheet" else NASTY)
]


@pytest.mark.parametrize(("page", "text"), TYPED)
def test_no_element_of_an_exported_page_comes_from_a_typed_text(page, text):
    plain, found = Skeleton(PAGES[page](re.sub(r"\S", "x", text))), Skeleton(PAGES[page](text))
    assert found.elements == plain.elements and not found.running
    assert " ".join(text.split()) in " ".join(found.text.split())


@nasty
def test_the_foot_of_a_page_ends_no_style(text):
    page = print_page.page("x", "y", text)
    assert (
        page.count("</style>") == 1
        and Skeleton(page).elements == Skeleton(print_page.page("x", "y", "z")).elements
    )


@pytest.mark.parametrize("text", NASTY[:7])
def test_what_notebooks_display_is_escaped(text, own_folder, monkeypatch, capsys):
    shown = []
    for module in (sys.modules["crankbook.lesson.pictures"], exercise):
        monkeypatch.setattr(module, "display", lambda one: shown.append(one.data))
    show(
        layout_sheet.layout_sheet(
            [layout.center_layout(Crank.load("pump"), smallest_bar(Crank.load("pump"), "round"))],
            name=text,
        ),
        text,
    )
    own.save(replace(Crank.load("pump"), name=text))
    asked = Exercise("01-1", next(iter(course.exercises(course.chosen("01")[0]).values())))
    asked.name = text
    asked.ask(), asked.check(text)
    panel = lesson_01.panel()
    for control in panel.controls:
        panel.type_in(control, text)
    shown.append(stills.still(panel))
    for page in shown:
        found = Skeleton(page)
        assert not found.running and {tag for tag, *_ in found.elements} <= {
            "img",
            "p",
            "strong",
            "details",
            "summary",
            "figure",
            "div",
            "table",
            "caption",
            "thead",
            "tbody",
            "tr",
            "th",
            "td",
        }
    assert len(shown) == 3


@pytest.mark.parametrize("text", NASTY[:8])
def test_forms_hand_the_page_plain_text_and_draw_it_as_typed(text, own_folder):
    """A name with dollars is no formula to the drawing either."""
    form, builder = CrankForm(Crank.load("pump")), job_form.JobForm()
    (
        form.set("name", text),
        form.set("steel", text),
        builder.set("lathe_name", text),
        builder.set("bore", text),
        builder.vary("fillet", text),
    )
    assert form.spec["name"]["text"] == text and text.strip() in form.spec["name"]["text"]
    assert set(form.picture) == {"address", "alt", "width"} and form.picture["address"].startswith(
        "data:image/png;base64,"
    )


@nasty
def test_no_spreadsheet_runs_a_cell(text, tmp_path):
    csv_tables.write_table(tmp_path / "names.csv", ["name", text], [[text, f" {text}"]])
    rows = [
        *csv.reader(io.StringIO(Sheet(job(text)).csv())),
        *csv.reader((tmp_path / "names.csv").open(encoding="utf-8-sig", newline="")),
    ]
    for cell in (cell for row in rows for cell in row):
        if cell.lstrip().startswith(("=", "+", "-", "@", "＝", "＋", "－", "＠")):
            float(cell)  # a number below zero stays a number
    assert any(text in cell for row in rows for cell in row)


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    """The workbook's own command, on a free port: (process, port, token)."""
    home = tmp_path_factory.mktemp("home")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    places = {
        f"JUPYTER_{kind}_DIR": str(home / kind.lower()) for kind in ("CONFIG", "DATA", "RUNTIME")
    }
    clean = {
        name: value
        for name, value in os.environ.items()
        if name not in ("JUPYTER_TOKEN", "JUPYTER_CONFIG_PATH")
    }
    with (home / "log").open("w") as log:
        process = subprocess.Popen(
            [sys.executable, "-m", "crankbook", "--no-browser", f"--port={port}"],
            stdout=log,
            stderr=log,
            env={**clean, **places, "CRANKMATH_WORK": str(home / "own"), "PYTHONUNBUFFERED": "1"},
        )
    try:
        end, found = time.monotonic() + 180, None
        while not found and time.monotonic() < end and process.poll() is None:
            found = re.search(r"127\.0\.0\.1:\d+/lab/\S*\?token=(\w+)", (home / "log").read_text())
            time.sleep(0.2)
        assert found, (home / "log").read_text()[-2000:]
        yield process, port, found[1]
    finally:
        process.terminate()
        process.wait(30)


def asked(server, path, **headers):
    """Status and address led to, of one request."""
    channel = http.client.HTTPConnection("127.0.0.1", server[1], timeout=120)
    channel.request("GET", path, headers=headers)
    answer = channel.getresponse()
    return answer.status, answer.getheader("Location", "")


def test_the_server_listens_on_this_machine_only(server):
    main = psutil.Process(server[0].pid)
    listening = set()
    for one in (main, *main.children(recursive=True)):
        connections = (
            getattr(one, "net_connections", None) or one.connections
        )  # the second before psutil 6
        try:
            found = connections("tcp")
        except psutil.NoSuchProcess:  # a child that ended meanwhile listens no more
            continue
        listening |= {
            (each.laddr.ip, each.laddr.port) for each in found if each.status == psutil.CONN_LISTEN
        }
    assert ("127.0.0.1", server[1]) in listening and {place for place, _ in listening} <= {
        "127.0.0.1",
        "::1",
    }


@pytest.mark.parametrize(
    "path",
    [
        "/api/contents",
        "/api/sessions",
        "/api/kernels",
        "/api/terminals",
        "/files/00-start-here.ipynb",
    ],
)
def test_the_server_wants_its_token(server, path):
    for wrong in ({}, {"Authorization": "token " + "0" * 48}, {"Authorization": "token "}):
        status, leads = asked(server, path, **wrong)
        assert status == 403 or status == 302 and "/login" in leads, (wrong, status)
    assert asked(server, path, Authorization=f"token {server[2]}")[0] == 200
    # a page elsewhere that points a name of its own at this machine is refused, token or not
    assert asked(server, path, Authorization=f"token {server[2]}", Host="evil.example")[0] == 403


def test_the_page_leads_to_the_login(server):
    status, leads = asked(server, "/lab")
    assert status == 302 and leads.startswith("/login?")
    assert len(server[2]) >= 32
