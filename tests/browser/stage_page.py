"""A stage panel in a browser without a server: the page gets the panel's state as it stands."""

import base64
import json
import re
from pathlib import Path

from crankbook.classroom import stage

TEMPLATE = stage.STAGE / "voila" / "templates" / "stage" / "index.html.j2"
KEYS = ("spec", "frame", "held", "background", "ahead")
PAGE = """<!DOCTYPE html><meta charset="utf-8"><style>%s %s</style>
<div id="rendered_cells"><div><div class="jp-RenderedMarkdown"><h1>%s</h1><p>%s</p></div>
<div id="root"></div></div></div>
<script type="module">
const revived = (key, value) => value && value.bytes !== undefined
  ? new DataView(Uint8Array.from(atob(value.bytes), (one) => one.charCodeAt(0)).buffer) : value;
const state = {}, heard = {};
window.put = (text) => {
  const more = JSON.parse(text, revived);
  Object.assign(state, more);
  for (const key of Object.keys(more)) (heard[`change:${key}`] || []).forEach((act) => act());
};
put(%s);
const model = { get: (key) => state[key], send() {},
  on(event, act) { (heard[event] ||= []).push(act); } };
const script = new Blob([%s], { type: "text/javascript" });
const panel = await import(URL.createObjectURL(script));
panel.default.render({ model, el: document.getElementById("root") });
document.documentElement.dataset.ready = "true";
</script>"""


def state(panel):
    """What the page knows of a panel, as JSON."""

    def plain(value):
        if isinstance(value, bytes):
            return {"bytes": base64.b64encode(value).decode()}
        raise TypeError(type(value))

    return json.dumps({key: getattr(panel, key) for key in KEYS}, default=plain)


def mount(page, panel, listed, folder):
    """Show a panel with the styles of the stage's own template."""
    style = "".join(re.findall(r"<style>(.*?)</style>", TEMPLATE.read_text(), re.DOTALL))
    scripts = json.dumps(str(panel._esm))
    html = PAGE % (
        style,
        panel._css,
        f"{listed.lesson} {listed.title}",
        listed.words,
        json.dumps(state(panel)).replace("</", r"<\/"),
        scripts.replace("</", r"<\/"),
    )
    place = Path(folder) / f"{listed.name}.html"
    place.write_text(html, encoding="utf-8")
    page.goto(place.as_uri())
    page.wait_for_selector("[data-ready]", state="attached")


def put(page, panel):
    """Bring the page up to date with the panel."""
    page.evaluate("text => put(text)", state(panel))
