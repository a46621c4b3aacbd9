"""Class pages as an app: this machine only, with a token, no code in sight and none run from the page."""

import contextlib
import importlib.util
import json
import os
import re
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
import uuid

import pytest
import websocket
from conftest import LIMIT, PICTURES, SLIDER, serious, still, until

from crankbook.classroom import stage
from crankbook.notebooks import lessons

has_voila = pytest.mark.skipif(
    importlib.util.find_spec("voila") is None and not os.environ.get("CI"),
    reason="the package voila is not installed: class pages as an app are not tried",
)


@contextlib.contextmanager
def started(name, own):
    """The app on a free port, with its address, token, port and process."""

    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    log = own / "stage.log"
    start = f"import sys; from crankbook.classroom import stage; sys.exit(stage.main(['{name}', '--no-browser', '--port', '{port}']))"
    with log.open("w") as store:
        process = subprocess.Popen(
            [sys.executable, "-c", start],
            env={**os.environ, "CRANKMATH_WORK": str(own)},
            stdout=store,
            stderr=store,
        )
    deadline = time.monotonic() + LIMIT / 1000
    found = None
    while not found and time.monotonic() < deadline and process.poll() is None:
        found = re.search(r"http://127\.0\.0\.1:\d+/\S*\?token=(\w+)", log.read_text())
        time.sleep(0.2)
    try:
        assert found, log.read_text()[-3000:]
        yield found[0], found[1], port, process
    finally:
        process.terminate()
        process.wait(30)


@pytest.fixture(scope="module")
def running(tmp_path_factory):
    with started("squeeze", tmp_path_factory.mktemp("own")) as app:
        yield app


@pytest.fixture(scope="module")
def stress_riser(tmp_path_factory):
    with started("stress-riser", tmp_path_factory.mktemp("riser")) as app:
        yield app


def read(address, **headers):
    with urllib.request.urlopen(
        urllib.request.Request(address, headers=headers), timeout=180
    ) as answer:
        return answer.read().decode()


def test_every_panel_of_the_course_has_a_page():
    found = stage.pages()
    with_panel = {
        page.number
        for page in lessons()
        if re.search(rf"lesson_{page.number}\.(SCENE\.)?panel\(", page.text("code"))
    }
    assert {page.lesson for page in found.values()} == with_panel and len(with_panel) >= 15
    assert {"squeeze", "stress-riser", "chatter"} <= set(found) and "08" not in found


@pytest.mark.parametrize(
    ("asked", "name"), [("squeeze", "squeeze"), ("8", "squeeze"), ("04", "04"), (None, "")]
)
def test_a_page_is_asked_for_by_name_or_lesson(asked, name):
    assert stage.asked_page(asked, stage.pages()) == name


def test_every_page_leads_to_its_neighbors_and_to_the_list(tmp_path):
    found = stage.pages()
    stage.write_pages(found, tmp_path)
    first = (tmp_path / "01.ipynb").read_text(encoding="utf-8")
    assert "(02.ipynb)" in first and "(../../)" in first and "before" not in first
    second = (tmp_path / "02.ipynb").read_text(encoding="utf-8")
    assert "(01.ipynb)" in second and "(03.ipynb)" in second
    assert sorted(path.stem for path in tmp_path.iterdir()) == sorted(found)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["gears"], "no class page “gears”. Write one of:"),
        (["squeeze", "--port", "x"], "--port needs a whole number"),
    ],
)
def test_wrong_words_are_answered(arguments, words, capsys):
    assert stage.main(arguments) == 1
    assert words in capsys.readouterr().err


def test_without_the_package_it_says_what_to_type(monkeypatch, tmp_path, capsys):
    monkeypatch.setenv("CRANKMATH_WORK", str(tmp_path))
    monkeypatch.setenv("JUPYTER_PATH", "")
    monkeypatch.setitem(sys.modules, "voila", None)
    monkeypatch.setitem(sys.modules, "voila.app", None)
    assert stage.main(["squeeze"]) == 1
    assert "--extra class" in capsys.readouterr().err


def test_own_folder_that_cannot_be_written(monkeypatch, tmp_path, capsys):
    (tmp_path / "file").write_text("no folder")
    monkeypatch.setenv("CRANKMATH_WORK", str(tmp_path / "file" / "own"))
    assert stage.main(["squeeze"]) == 1
    assert "Set CRANKMATH_WORK" in capsys.readouterr().err


@has_voila
def test_page_shows_no_code_and_fetches_nothing_elsewhere(running):
    page = read(running[0])
    assert "lesson_08" not in page and "import" not in re.sub(
        r"<script.*?</script>|<style.*?</style>", "", page, flags=re.DOTALL
    )
    assert "The tailstock closes the crank" in page
    for address in re.findall(r'(?:src|href)="(https?:[^"]+)"', page):
        assert address.startswith("http://127.0.0.1:"), address
    assert "cdn" not in page


@has_voila
def test_page_wants_its_token(running):
    address, _, port, _ = running
    for path in ("", "voila/render/squeeze.ipynb"):
        page = read(f"http://127.0.0.1:{port}/{path}")
        assert "tailstock" not in page and "token" in page.lower(), "it opened without its token"
    listed = read(f"http://127.0.0.1:{port}/?token={running[1]}")
    for one in stage.pages().values():
        assert f'href="voila/render/{one.file}"' in listed and one.title in listed
    for path in ("voila/files/progress.json", "voila/files/squeeze.ipynb"):
        with pytest.raises(urllib.error.HTTPError, match="40[0-9]"):
            read(f"http://127.0.0.1:{port}/{path}?token={running[1]}")


@has_voila
def test_a_name_that_points_here_from_elsewhere_is_refused(running):
    with pytest.raises(urllib.error.HTTPError, match="403"):
        read(running[0], Host="elsewhere.example")


@has_voila
def test_it_listens_on_this_machine_only(running):
    import psutil

    places = {
        connection.laddr.ip
        for connection in psutil.Process(running[3].pid).net_connections("inet")
        if connection.status == "LISTEN"
    }
    assert places == {"127.0.0.1"}


@has_voila
def test_nothing_is_run_from_the_page(running, tmp_path):
    """The kernel answers a question about itself, and leaves a request to run code alone."""
    _, token, port, _ = running
    kernel = re.search(r'"kernelId": ?"([\w-]+)"', read(running[0]))[1]
    channel = websocket.create_connection(
        f"ws://127.0.0.1:{port}/api/kernels/{kernel}/channels?token={token}",
        timeout=60,
        origin=f"http://127.0.0.1:{port}",
    )

    def send(kind, content):
        mark = uuid.uuid4().hex
        header = {
            "msg_id": mark,
            "msg_type": kind,
            "username": "",
            "session": mark,
            "version": "5.3",
        }
        channel.send(
            json.dumps(
                {
                    "channel": "shell",
                    "header": header,
                    "parent_header": {},
                    "metadata": {},
                    "content": content,
                    "buffers": [],
                }
            )
        )
        return mark

    harm = tmp_path / "harm"
    run = send(
        "execute_request",
        {
            "code": f"open({str(harm)!r}, 'w').close()",
            "silent": False,
            "store_history": False,
            "user_expressions": {},
            "allow_stdin": False,
        },
    )
    asked = send("kernel_info_request", {})
    answers = []
    while asked not in answers:
        got = channel.recv()
        if isinstance(got, str):
            message = json.loads(got)
            answers.append(
                message["parent_header"].get("msg_id")
                if message["msg_type"].endswith("_reply")
                else None
            )
    channel.close()
    assert run not in answers and not harm.exists(), "code was run from the page"


@pytest.fixture
def page(running, chromium):
    """The class page in a browser that reaches this machine and nothing else."""
    page = chromium.new_page(viewport={"width": 1280, "height": 720})
    page.set_default_timeout(LIMIT)
    page.elsewhere = []
    page.route(
        lambda address: not address.startswith(("http://127.0.0.1:", "data:", "blob:")),
        lambda route: (page.elsewhere.append(route.request.url), route.abort()),
    )
    page.goto(running[0])
    page.wait_for_selector(".crank-hands")
    page.wait_for_function("document.activeElement.classList.contains('crank-stage')")
    yield page
    page.close()


@has_voila
def test_class_page_works_and_fits_the_screen(page):
    assert page.elsewhere == []
    assert page.locator(".jp-InputArea-editor:visible").count() == 0, "code is in sight"
    before, words = (
        page.locator(".crank-picture svg").inner_html(),
        page.locator(".crank-readout").text_content(),
    )
    page.locator(SLIDER).nth(1).focus()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    page.wait_for_function(
        "words => document.querySelector('.crank-readout').textContent !== words", arg=words
    )
    until(page, page.locator(".crank-picture svg").inner_html, lambda drawn: drawn != before)
    page.get_by_role("button", name="Hold this").click()
    PICTURES.mkdir(exist_ok=True)
    for width, height in ((1280, 720), (1024, 768), (1920, 1080)):
        page.set_viewport_size({"width": width, "height": height})
        bottom = still(page, page.locator(".crank-picture").bounding_box)
        page.screenshot(path=PICTURES / f"stage-squeeze-{width}.png")
        assert bottom["y"] + bottom["height"] <= height, (
            f"the picture is cut off at {width} x {height}"
        )
    assert serious(page) == []


# how far the picture's own scale and the layers over it stand apart, in pixels of the screen
APART = """() => {
    const box = kind => document.querySelector(`.crank-picture ${kind}`).getBoundingClientRect();
    const img = box('img'), layers = ['svg', 'canvas'].map(box);
    const edges = layers.flatMap(it => ['left', 'top', 'right', 'bottom'].map(e => it[e] - img[e]));
    const high = document.querySelector('.crank-picture svg').viewBox.baseVal.height;
    const dots = [...document.querySelectorAll('.crank-picture svg circle')].map(dot => {
        const at = dot.getBoundingClientRect();
        const axis = img.top + dot.getAttribute('cy') * img.height / high;
        return (at.top + at.bottom) / 2 - axis;
    });
    return {edges, dots};
}"""


@has_voila
def test_dot_lies_on_the_curve_of_the_picture_at_every_size(stress_riser, chromium):
    page = chromium.new_page(viewport={"width": 1280, "height": 720})
    page.set_default_timeout(LIMIT)
    page.goto(stress_riser[0])
    page.wait_for_selector(".crank-hands")
    page.wait_for_function("document.activeElement.classList.contains('crank-stage')")
    page.keyboard.press("s")
    for width, height in ((1280, 720), (1024, 768), (1093, 614), (960, 540)):
        page.set_viewport_size({"width": width, "height": height})
        apart = still(page, lambda: page.evaluate(APART))
        assert apart["dots"], "no dot on the page"
        worst = max(map(abs, apart["edges"] + apart["dots"]))
        assert worst < 1, f"{worst:.1f} px beside the picture at {width} x {height}"
    page.close()


@has_voila
def test_keys_choose_and_hold_and_hands_are_counted(page):
    readout = page.locator(".crank-readout")

    def press(key, words):
        page.keyboard.press(key)
        page.wait_for_function(
            "words => document.querySelector('.crank-readout').textContent.includes(words)",
            arg=words,
        )

    page.wait_for_function("document.activeElement.classList.contains('crank-stage')")
    picture = page.locator(".crank-picture img")
    assert (
        page.locator(".crank-cover").is_visible()
        and not picture.is_visible()
        and not readout.is_visible()
    ), "the answer is in sight before the vote"
    page.get_by_role("button", name="Show inches").click()
    page.wait_for_function("document.querySelector('.crank-readout').textContent.includes('lbf')")
    assert not picture.is_visible(), "units alone show nothing"
    page.get_by_role("button", name="Show millimeters").click()
    page.locator(".crank-stage").focus()
    page.keyboard.press("s")
    assert (
        picture.is_visible()
        and readout.is_visible()
        and not page.locator(".crank-cover").is_visible()
    )
    page.get_by_role("button", name="Cover picture").click()
    assert not picture.is_visible()
    page.locator(".crank-stage").focus()
    press("1", "too short")
    assert picture.is_visible(), "a preset shows what it chose"
    page.keyboard.press("h")
    page.wait_for_function(
        "words => document.querySelector('.crank-held').textContent.includes(words)",
        arg="Before, in gray: " + page.locator(".crank-headline").inner_text(),
    )
    press("3", "too long")
    page.keyboard.press("9")  # no such preset
    page.keyboard.press("s")
    counts = page.locator(".crank-hands input")
    counts.nth(0).fill("12")
    counts.nth(1).fill("6")
    counts.nth(1).press("1")  # typed into the field, not taken for a preset
    page.wait_for_timeout(500)
    assert counts.nth(1).input_value() == "61" and "too long" in readout.text_content()
    counts.nth(1).fill("6")
    page.get_by_role("button", name="Show inches").click()
    page.wait_for_function("document.querySelector('.crank-readout').textContent.includes('lbf')")
    assert counts.nth(0).input_value() == "12", "votes are lost when the units change"
    page.get_by_role("button", name="Show millimeters").click()


@has_voila
def test_keys_work_after_a_vote_a_list_and_a_click_anywhere(page):
    picture, readout = page.locator(".crank-picture img"), page.locator(".crank-readout")

    def waits_for(words):
        page.wait_for_function(
            "words => document.querySelector('.crank-readout').textContent.includes(words)",
            arg=words,
        )

    counts = page.locator(".crank-hands input")
    for place, votes in enumerate("974"):
        counts.nth(place).click()
        page.keyboard.press(votes)
    page.keyboard.press("s")
    assert picture.is_visible(), "S does nothing after a vote"
    page.keyboard.press("s")
    page.keyboard.press("Enter")
    page.keyboard.press("1")
    waits_for("too short")
    assert [counts.nth(place).input_value() for place in range(3)] == ["9", "7", "4"]
    page.mouse.click(640, 715)  # the white part below the panel
    page.keyboard.press("3")
    waits_for("too long")
    chooser = page.locator(".crank-control select")
    chooser.select_option(index=1)
    page.keyboard.press("s")
    assert not picture.is_visible() and not readout.is_visible(), "S does nothing after a list"
    page.keyboard.press("PageDown")
    assert picture.is_visible(), "a presenter's remote shows nothing"
    page.keyboard.press("1")
    waits_for("too short")
    page.keyboard.press("PageDown")
    page.keyboard.press("ArrowRight")
    waits_for("too long")
    page.keyboard.press("PageUp")
    page.keyboard.press("ArrowLeft")
    waits_for("too short")
