"""Every panel as it opens, a check and a sheet in a language without Latin letters, for its test.

Run as a program, since modules say some words as they are imported: it prints what a reader sees,
as JSON, by place.
"""

import contextlib
import gettext
import html
import io
import json
import re
import sys
import warnings

PLACES = re.compile(r"(\{(?:[^{}]|\{[^{}]*\})*\})")


class Hidden(gettext.NullTranslations):
    """Words whose letters are hidden; places to fill keep their names and formats."""

    def gettext(self, words):
        return "".join(
            part if number % 2 else re.sub(r"[A-Za-z]", "ж", part)
            for number, part in enumerate(PLACES.split(words))
        )

    def ngettext(self, one, many, count):
        return self.gettext(one if count == 1 else many)


def panels():
    """What each lesson's panel says as it opens: finding, notes, labels, buttons, paper."""
    from matplotlib.text import Text

    from crankbook.lessons import modules

    for name, module in modules().items():
        if not hasattr(module, "panel"):
            continue
        panel = module.panel(stage=True)
        finding = panel.frame["finding"]
        said = [finding["headline"], finding["verdict"], *finding["lines"], panel.frame["problem"]]
        for item in panel.frame["items"]:
            said += [item["text"]] if item["kind"] == "text" else []
            said += [word["text"] for word in item.get("words", ())]
        spec = panel.spec
        said += [*spec["presets"], *(str(one) for one in spec["vote"][:1])]
        for control in spec["controls"]:
            said += [control["label"], *control.get("said", ())]
        said += [text.get_text() for text in panel.paper("mm", False).findobj(Text)]
        for preset in spec["presets"]:
            panel.receive({"type": "preset", "name": preset})
        yield name, said


def sheet():
    """Verdict lines of a check; headings of the sheet and what its checks found."""
    from crankbook.__main__ import main
    from crankbook.sheet.sheet import Sheet
    from crankmath.job import Job

    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        main(["check", "pump", "--no-sheet"])
    yield "check", out.getvalue().splitlines()
    text = Sheet(Job.load("compressor"), date="2026-01-01").html()
    found = re.findall(r"<(?:h[1-3]|caption|dt|th scope=\"col\"|b)(?: [^>]*)?>(.*?)</", text)
    found += re.findall(r"<p class=\"(?:note|limits|shifts|danger)\">(.*?)</p>", text)
    yield "sheet", [html.unescape(re.sub(r"<[^>]*>", " ", one)) for one in found]


if __name__ == "__main__":
    warnings.simplefilter("ignore")
    gettext.translation = lambda *_where, **_more: Hidden()
    json.dump(dict([*panels(), *sheet()]), sys.stdout)
