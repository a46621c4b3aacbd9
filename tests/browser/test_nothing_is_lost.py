"""What a reader typed, held or saved stays, and a page whose kernel is gone says so at once."""

import json
import re
import time

from conftest import SLIDER, reach_panel, still, until

SHAPES = "g => [...g.querySelectorAll('polygon')].map(one => one.getAttribute('points'))"


def test_what_is_held_stays_true_where_the_picture_takes_another_scale(lab, page):
    """The hole is the same for both fits, so its held bar has to lie on the new one."""
    lab.open(page, "13-fit-the-bearings.ipynb")
    reach_panel(page)
    shaft = page.locator(".crank-control", has_text="Seat turned to").locator("select").first
    groups = page.locator(".crank-picture svg > g")

    def held_and_moving():
        return [groups.nth(number).evaluate(SHAPES) for number in (0, 1)]

    shaft.select_option("k6")
    page.get_by_role("button", name="Hold this").first.click()
    page.wait_for_function("() => document.querySelector('.crank-held').textContent.length > 5")
    before = held_and_moving()[1][0]
    shaft.select_option("s6")
    page.wait_for_function(
        "old => document.querySelectorAll('.crank-picture svg > g')[1]"
        ".querySelector('polygon').getAttribute('points') !== old",
        arg=before,
    )
    held, moving = held_and_moving()
    assert moving[0] != before, "the scale has not changed: this test needs two that differ"
    assert held[0] == moving[0]
    page.get_by_role("button", name="Let go").first.click()
    page.wait_for_function("() => !document.querySelector('.crank-held').textContent")
    assert held_and_moving()[0] == [] and page.problems == []


def test_the_point_of_a_curved_picture_comes_to_the_hand(lab, page):
    """In 06 the nose of a narrow cut pushes by itself, so that the push grows slower than the width:
    at one move of the hand the arrow's tip stayed half of the way behind.
    """
    lab.open(page, "06-feel-the-cutting-force.ipynb")
    reach_panel(page)
    page.get_by_role("button", name="Finishing").first.click()

    def middle():
        box = still(page, lambda: until(page, page.locator(".crank-grip").first.bounding_box))
        return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

    page.locator(".crank-picture").first.scroll_into_view_if_needed()
    x, y = middle()
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 20, y)
    until(page, middle, lambda at: abs(at[0] - x - 20) < 3)
    page.mouse.up()
    assert abs(middle()[0] - x - 20) < 3 and page.problems == []


def test_a_panel_says_at_once_that_its_kernel_was_restarted(lab, page):
    """At the first move after the restart: before, the field changed and nothing was said."""
    lab.open(page, "04-choose-a-spindle-speed.ipynb")
    reach_panel(page)
    page.get_by_role("menuitem", name="Kernel").first.click()
    page.get_by_role("menuitem", name=re.compile("^Restart Kernel…")).first.click()
    page.locator(".jp-Dialog button.jp-mod-accept").click()
    preset = page.get_by_role("button", name="Pump pin").first
    problem = page.locator(".crank-problem").first

    def said():  # the kernel may still be on its way out, and answer
        preset.click()
        return problem.inner_text()

    words = until(page, said, lambda words: "restarted" in words, every=500)
    assert "Run all cells again" in words


def test_what_is_typed_into_a_cell_is_saved_by_itself(lab, page):
    """JupyterLab alone waits two minutes: so much of an answer could be lost."""
    name = lab.open(page, "04-choose-a-spindle-speed.ipynb")
    reach_panel(page)
    page.locator(".jp-CodeCell .cm-content").last.click()
    page.keyboard.press("Control+End")
    page.keyboard.type("\nmy_speed = 437")
    typed = time.monotonic()
    until(page, (lab.own / name).read_text, lambda text: "my_speed = 437" in text)
    assert time.monotonic() - typed < 60


def test_a_lesson_whose_kernel_did_not_start_runs_after_a_reload(lab, page):
    refused = []

    def refuse_first(route):
        if route.request.method == "POST" and not refused:
            refused.append(route.request.url)
            route.abort()
        else:
            route.continue_()

    page.route("**/api/sessions*", refuse_first)
    lab.open(page, "00-start-here.ipynb")
    assert refused
    reach_panel(page)


def crank_form(lab, page):
    lab.open(page, "01-draw-the-crank.ipynb", ".form(")
    reach_panel(page, ".crank-form")


def type_in(page, label, text):
    box = page.locator(".crank-form").get_by_label(label, exact=True).first
    box.fill(text)
    box.press("Enter")
    return box


def said(page, words):
    page.wait_for_function(
        "words => document.querySelector('.crank-form .crank-status').textContent.includes(words)",
        arg=words,
    )


def test_a_second_crank_does_not_take_the_place_of_the_first(lab, page):
    crank_form(lab, page)
    save = page.get_by_role("button", name="Save as my crank")
    for name in ("spare pump", "yard pump"):
        type_in(page, "name", name)
        said(page, f"name read as {name}")
        save.click()
        said(page, f"now offers “{name}” first")
    starts = page.get_by_label("start from").first
    assert starts.locator("option").all_inner_texts()[1:3] == ["yard pump", "spare pump"]
    starts.select_option("spare pump")
    said(page, "spare pump is loaded")
    type_in(page, "throw 1 radius, half the stroke", "17 mm")
    said(page, "read as 17 mm")
    save.click()
    said(page, "is kept under “bring back”")
    earlier = page.get_by_label("bring back").first
    first = next(one for one in earlier.locator("option").all_inner_texts() if "spare" in one)
    earlier.select_option(first)
    said(page, "Brought back: spare pump")
    assert page.get_by_label("throw 1 radius, half the stroke").first.input_value() == "18 mm"
    page.get_by_role("button", name="Put spare pump away").click()
    said(page, "spare pump is out of the lists")
    assert page.problems == []


def test_sizes_typed_and_not_saved_are_there_after_a_reload(lab, page):
    crank_form(lab, page)
    radius = "throw 1 radius, half the stroke"
    type_in(page, radius, "16,5 mm")
    said(page, "read as 16.5 mm")
    type_in(page, "throw 1 pin diameter", "wide")
    said(page, "Not taken")
    crank_form(lab, page)
    said(page, "as you left it")
    assert page.get_by_label(radius).first.input_value() == "16.5 mm"
    assert page.get_by_label("throw 1 pin diameter").first.input_value() == "wide"
    page.get_by_role("button", name="Put back what was not taken").first.click()
    page.get_by_role("button", name="Save as my crank").click()
    said(page, "Saved as")
    assert page.problems == []


def test_starting_all_answers_again_asks_first_and_can_be_undone(lab, page):
    lab.open(page, "15-write-the-job-sheet.ipynb", ".page(")
    reach_panel(page, ".job-form")
    thrust = page.locator(".job-form").get_by_label("Thrust of the tailstock")
    button = lambda name: page.get_by_role("button", name=name, exact=True)  # noqa: E731

    def answered(words):
        page.wait_for_function(
            "words => document.querySelector('.job-form .crank-status').textContent.includes(words)",
            arg=words,
        )

    thrust.fill("321 N")
    thrust.press("Enter")
    answered("read as 321 N")
    button("Start all answers again").click()
    button("No, keep them").click()
    assert json.loads((lab.own / "my-job.json").read_text())["job"]["given"] == ["thrust"]
    button("Start all answers again").click()
    button("Yes, start again").click()
    answered("1 typed answers are kept as my-job.before-")
    assert json.loads((lab.own / "my-job.json").read_text())["job"]["given"] == []
    button("Bring the last answers back").click()
    answered("last put aside are back")
    assert thrust.input_value() == "321 N" and page.problems == []


def test_what_is_assumed_follows_the_units_of_the_crank(lab, page):
    lab.open(page, "15-write-the-job-sheet.ipynb", ".page(")
    reach_panel(page, ".job-form")
    starts = page.get_by_label("start from").first
    form = page.locator(".crank-form .crank-status").first
    for name in ("pump", "bellows"):
        starts.select_option(name)
        page.wait_for_function(
            "words => document.querySelector('.job-form .crank-status').textContent.includes(words)",
            arg=f"my {name}: checked",
        )
        type_in(page, "name", f"night {name} works")  # of one's own: no example's name
        page.wait_for_function(
            "words => document.querySelector('.job-form .crank-status').textContent.includes(words)",
            arg=f"night {name} works: checked",
        )
        page.get_by_role("button", name="Save as my crank").click()
        said(page, "Saved as")
    for name, travel in (("night pump works", "2 mm"), ("night bellows works", "0.1 in")):
        starts.select_option(name)
        page.wait_for_function(
            "words => document.querySelector('.job-form .crank-status').textContent.includes(words)",
            arg=f"{name}: checked",
        )
        lead = page.locator(".job-form").get_by_label("Mill's travel for a turn of its handwheel")
        page.wait_for_function(
            "travel => [...document.querySelectorAll('.job-form .crank-field')]"
            ".find(e => e.textContent.includes('of its handwheel')).querySelector('input').value"
            " === travel",
            arg=travel,
        )
        assert lead.input_value() == travel, form.inner_text()
    assert page.problems == []


class Line:
    """The page's way to its kernel, which can be cut: what goes off then is lost, as when a computer
    falls asleep, and the page takes up the line anew.
    """

    def __init__(self, page):
        self.sockets, self.lost, self.down = [], [], False
        page.route_web_socket("**/api/kernels/*/channels*", self._opened)

    def _opened(self, socket):
        server = socket.connect_to_server()
        self.sockets.append(socket)
        socket.on_message(lambda message: self._send(server, message))

    def _send(self, server, message):
        (self.lost.append if self.down else server.send)(message)

    def taken_up(self):
        self.down = False
        self.sockets[-1].close(code=1011, reason="the line was cut")


def test_what_a_broken_line_lost_is_sent_again(lab, page):
    """What was typed meanwhile is kept, the last word last, and the page follows; so does a panel."""
    line = Line(page)
    lab.open(page, "15-write-the-job-sheet.ipynb", ".page(")
    reach_panel(page, ".job-form input")
    kept = lab.own / "my-job.json"
    form = page.locator(".job-form")
    height, length = (
        form.get_by_label(label) for label in ("Center height over the bed", "Most between centers")
    )
    line.down = True
    for field, text in ((height, "141 mm"), (length, "641 mm"), (height, "142 mm")):
        field.fill(text)
        field.blur()
    until(page, lambda: line.lost)
    page.wait_for_timeout(300)
    line.taken_up()

    def answers():
        return json.loads(kept.read_text())["job"]["answers"] if kept.exists() else {}

    until(page, answers, lambda now: now.get("center_height") == [142, "mm"])
    assert answers()["between_centers"] == [641, "mm"]
    page.wait_for_selector(".job-form:not([aria-busy], [data-older])")
    assert height.input_value() in ("142 mm", "5.591 in")  # of the crank of the tests before
    lab.open(page, "04-choose-a-spindle-speed.ipynb")
    reach_panel(page)
    slider, readout = page.locator(SLIDER).first, page.locator(".crank-readout").first
    for key in ("End", "Home"):  # one lost, one after it
        before, lost = readout.inner_text(), len(line.lost)
        line.down = key == "End"
        slider.press(key)
        if line.down:
            until(page, lambda lost=lost: len(line.lost) > lost)
            line.taken_up()
        until(page, readout.inner_text, lambda now, before=before: now != before)
    assert page.problems == []
