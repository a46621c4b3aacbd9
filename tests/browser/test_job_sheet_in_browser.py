"""The builder's page by keyboard alone: from an example to the printed sheet, in a real JupyterLab."""

import re
import time

from conftest import ALL, PICTURES, serious, still

from crankbook.forms import crank_words
from crankmath.crank import EXAMPLES, Crank
from crankmath.job import Job
from crankmath.job.report import check_job

LESSON = "15-write-the-job-sheet.ipynb"
ACTIVE = """() => { const e = document.activeElement, said = e.getAttribute('aria-label');
    return said || (e.labels && e.labels.length ? e.labels[0].firstChild.textContent : e.textContent).trim().slice(0, 60); }"""
BEFORE = """const cells = [...document.querySelectorAll('.jp-Cell')], here = cells.findIndex(c => c.classList.contains('jp-mod-active'));
    const before = cells[here - 1], prompt = before ? before.querySelector('.jp-InputPrompt') : null;
    const code = before && before.classList.contains('jp-CodeCell');"""
LEFT_OUT = (
    f"() => {{ {BEFORE} return Boolean(code && prompt && prompt.textContent.trim() === '[ ]:'); }}"
)
PANEL_RUN = (
    f"() => {{ {BEFORE} return Boolean(code && before.textContent.includes('lesson_15.page')); }}"
)


def press_until(page, name, key="Tab", most=160):
    """Press a key until what has the focus bears a name; returns how often."""
    for count in range(most):
        if page.evaluate(ACTIVE) == name:
            return count
        page.keyboard.press(key)
    raise AssertionError(
        f"“{name}” was not reached by {most} × {key}; the focus is on “{page.evaluate(ACTIVE)}”"
    )


def open_form(lab, page):
    """Run the cells by Shift+Enter until the form is there, and go back to it by arrow and Tab."""
    page.goto(f"{lab.address}/doc/tree/{LESSON}?token={lab.token}&reset")
    page.wait_for_selector(".jp-CodeCell")
    page.wait_for_selector('.jp-Notebook-ExecutionIndicator[data-status="idle"]')
    page.wait_for_selector(".jp-Cell.jp-mod-active")
    deadline = time.monotonic() + 240
    while not page.locator(".job-form .crank-field").count():
        assert time.monotonic() < deadline, page.locator(".jp-OutputArea-output").all_inner_texts()[
            -3:
        ]
        page.keyboard.press("Shift+Enter")
        page.wait_for_timeout(700)
        if page.evaluate(
            LEFT_OUT
        ):  # the kernel was not there yet and the notebook went on without it
            page.wait_for_timeout(2000)
            page.keyboard.press("ArrowUp")
        elif page.evaluate(PANEL_RUN):
            page.wait_for_selector(".job-form .crank-field", state="attached")
    still(page, page.locator(".job-form").bounding_box)
    page.keyboard.press("Escape")
    page.keyboard.press("ArrowUp")
    press_until(page, "start from")


def status(page, words):
    page.wait_for_function(
        "words => [...document.querySelectorAll('.job-form .crank-status, .job-form-summary')].some(e => e.textContent.includes(words))",
        arg=words,
    )


def test_every_example_from_empty_form_to_print_by_keyboard(lab, page):
    PICTURES.mkdir(exist_ok=True)
    (lab.own / "my-job.json").unlink(missing_ok=True)  # another test may have answered
    open_form(lab, page)
    for name in EXAMPLES if ALL else ("organ",):
        started = time.monotonic()
        page.keyboard.type(name)  # in the list the first letters choose
        status(page, f"my {name}: checked.")
        press_until(page, "Write the job sheet")
        page.keyboard.press("Enter")
        status(page, f"my-{name}-sheet.html")
        press_until(page, "Open the sheet to print it", most=4)
        with page.context.expect_page() as opened:
            page.keyboard.press("Enter")
        sheet = opened.value
        sheet.wait_for_selector("h1")
        job = Job(crank_words.start_from(Crank.load(name)))
        text = " ".join(sheet.inner_text("body").split())
        assert check_job(job).summary in text
        for one in check_job(job).checks:
            assert " ".join(one.sentence.split()) in text
        for paper in ("A4", "Letter"):
            pdf = sheet.pdf(
                path=PICTURES / f"sheet-{name}-{paper}.pdf",
                format=paper,
                prefer_css_page_size=False,
            )
            assert 8 <= len(re.findall(rb"/Type\s*/Page\b", pdf)) <= 28
        sheet.evaluate(  # the traveler alone, to count its pages
            "() => { const own = document.querySelector('.traveler'); own.style.breakAfter = 'auto'; "
            "for (const one of own.parentNode.children) if (one !== own) one.style.display = 'none'; }"
        )
        for paper in ("A4", "Letter"):
            pdf = sheet.pdf(format=paper, prefer_css_page_size=False)
            count = len(re.findall(rb"/Type\s*/Page\b", pdf))
            assert count <= 7, "traveler of over seven pages"  # of 20 steps, in letters of 8 points
        sheet.reload()
        spent = time.monotonic() - started
        print(f"{name} took {spent:.0f} s from the empty form to the printed sheet")
        sheet.emulate_media(media="print", forced_colors="none")
        sheet.set_viewport_size({"width": 760, "height": 1075})
        assert sheet.evaluate(
            "() => document.documentElement.scrollWidth <= window.innerWidth + 1"
        ), "wider than the paper"
        assert serious(sheet) == []
        sheet.screenshot(path=PICTURES / f"sheet-{name}.png", full_page=True)
        sheet.close()
        page.bring_to_front()
        press_until(page, "start from", "Shift+Tab")
    assert page.problems == []


def test_a_wrong_entry_keeps_the_rest_and_closing_resumes(lab, page):
    open_form(lab, page)
    page.keyboard.type("pump")
    status(page, "my pump: checked.")
    press_until(page, "Thrust of the tailstock")
    page.keyboard.press("Control+A")
    page.keyboard.type("1,234")
    page.keyboard.press("Tab")
    status(page, "does “1,234” mean 1.234 or 1234")
    field = page.locator(".job-form .crank-field", has_text="Thrust of the tailstock").locator(
        "input"
    )
    page.wait_for_selector(".job-form .crank-field input[aria-invalid='true']")
    assert field.input_value() == "1,234" and field.get_attribute("aria-invalid") == "true"
    assert "1234?" in page.locator(f"#{field.get_attribute('aria-describedby')}").inner_text()
    press_until(page, "Deepest roughing pass, on the radius")
    page.keyboard.press("Control+A")
    page.keyboard.type("0,8 mm")
    page.keyboard.press("Enter")
    status(page, "read as 0.8 mm")
    effect = page.locator(".job-form .crank-field", has_text="Deepest roughing pass").locator(
        ".job-form-effect"
    )
    effect.wait_for()  # what an answer does to the verdicts stands where it was given
    assert re.fullmatch(r"No verdict changes\.|.+: .+, now .+\.", effect.inner_text())
    assert field.input_value() == "1,234"
    press_until(page, "sizes in", "Shift+Tab")
    page.keyboard.type("in")
    page.wait_for_function(
        "() => [...document.querySelectorAll('.job-form input')].some(e => e.value === '0.0315 in')"
    )
    assert serious(page, ".job-form") == []
    open_form(lab, page)  # as after closing the window
    page.wait_for_function(  # what was said meanwhile may stand over "taken up where you left it"
        "() => [...document.querySelectorAll('.job-form input')].some(e => e.value === '0.0315 in')"
    )
    deep = page.locator(".job-form .crank-field", has_text="Deepest roughing pass").locator("input")
    assert (
        deep.input_value() == "0.0315 in"
        and field.input_value() == "1,234"
        and field.get_attribute("aria-invalid") == "true"
    )
    assert page.problems == []


def test_the_form_fits_a_narrow_window(lab, page):
    open_form(lab, page)
    page.set_viewport_size({"width": 320, "height": 900})
    wide = still(
        page,
        lambda: page.locator(".job-form").evaluate("f => [f.scrollWidth, f.clientWidth]"),
    )
    assert wide[0] <= wide[1] + 1
    short = page.evaluate("""() => [...document.querySelectorAll('.job-form input, .job-form select, .job-form button')]
        .filter(e => e.getBoundingClientRect().height < 24 && e.offsetParent).length""")
    assert short == 0
