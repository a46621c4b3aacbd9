// A form for indicator readings. The kernel reads and judges; this page sends what is typed and shows the answers.
const READ = [["source", "Readings are", ""], ["layout", "Each line holds", ""], ["unit", "Numbers without a unit are", ""], ["held", "The work turns", ""]];
const JUDGE = [["allowed", "Runout allowed", "for example 10 um or 0.5 thou"], ["division", "Division of the dial", "for example 2 um or 0.1 thou"], ["indicator", "Indicator may be off by ±", "its paper says; often 3 um"]];
const SELDOM = [["support", "Centers and their holes may lead off by ±", "else leave empty"], ["repeatability", "Scatter known beforehand", "one standard deviation; else leave empty"],
  ["dial_turn", "Dial read without sign: one turn of the hand is", "for example 1 mm; else leave empty"]];
const WAIT = 250; // ms without a key before what is typed is sent

function option([value, text]) { return make("option", { value, textContent: text }); }

function render({ model, el }) {
  const own = `crank-readings-${Math.random().toString(36).slice(2)}`;
  const root = make("div", { className: "crank-readings" });
  const inputs = new Map();

  function labeled(name, text, hint, element) {
    element.id = `${own}-${name}`;
    const label = make("label", { textContent: text, htmlFor: element.id });
    if (hint) label.append(make("small", { textContent: `, ${hint}` }));
    const said = make("span", { className: "crank-readings-said", id: `${element.id}-said` });
    element.setAttribute("aria-describedby", said.id);
    const box = make("div", {}, label, element, said);
    inputs.set(name, { element, said, box, sent: null, timer: 0 });
    return box;
  }
  function send(name) {
    const input = inputs.get(name);
    clearTimeout(input.timer);
    if (input.element.value !== input.sent) ask({ type: "edit", field: name, text: input.sent = input.element.value });
  }
  function typed(name, element) {
    element.addEventListener("input", () => { const input = inputs.get(name); clearTimeout(input.timer); input.timer = setTimeout(() => send(name), WAIT); });
    element.addEventListener("change", () => send(name));
    return element;
  }
  function textField(name, text, hint) {
    return labeled(name, text, hint, typed(name, make("input", { type: "text", autocomplete: "off", spellcheck: false })));
  }

  const place = make("select");
  place.addEventListener("change", () => { for (const name of inputs.keys()) if (name !== "place") send(name); ask({ type: "place", name: place.value }); });
  const lists = new Map();
  function grid(fields, ...first) {
    return make("div", { className: "crank-readings-fields" }, ...first, ...fields.map(([name, text, hint]) => {
      if (!(name in model.get("spec").choices)) return textField(name, text, hint);
      const list = make("select");
      list.addEventListener("change", () => send(name));
      lists.set(name, list);
      return labeled(name, text, hint, list);
    }));
  }
  const how = grid(READ, labeled("place", "Place measured", "each is kept by itself", place));
  const seldom = make("details", {}, make("summary", { textContent: "Seldom needed" }), grid(SELDOM));
  const lines = typed("text", make("textarea", { spellcheck: false, autocomplete: "off" }));
  lines.addEventListener("keydown", (event) => event.stopPropagation()); // else the notebook swallows Enter
  const area = labeled("text", "Readings, one line each", "paste them here", lines);
  const again = make("button", { type: "button", textContent: "Read the file again" });
  again.addEventListener("click", () => { send("file"); ask({ type: "again" }); });
  const file = make("div", {}, textField("file", "File of readings", "text or CSV; a name alone is looked for in your own folder"), again);
  const count = make("p", { className: "crank-readings-count" }), kept = make("p", { className: "crank-readings-kept" });
  const body = make("tbody");
  const caption = make("caption", { textContent: "What was understood" });
  const head = make("tr", {}, ...["line", "as written", "understood as"].map((word) => make("th", { scope: "col", textContent: word })));
  const echo = make("div", { className: "crank-readings-echo", tabIndex: 0 }, make("table", {}, caption, make("thead", {}, head), body));
  echo.setAttribute("role", "region");
  echo.setAttribute("aria-label", "What was understood, line by line");
  const verdict = make("p", { className: "crank-readings-verdict" }), sentence = make("p", { className: "crank-readings-sentence" });
  const cautions = make("ul"), told = make("div", {}, count, verdict, sentence);
  told.setAttribute("role", "status");
  const picture = make("img"), drawing = make("div", { className: "crank-readings-picture" }, picture);
  root.append(how, area, file, grid(JUDGE), seldom, kept, echo, told, cautions, drawing);
  el.append(root);
  const ask = asker(model, root);
  new ResizeObserver(() => { // on a narrow page the picture is moved sideways, by keys too
    if (drawing.scrollWidth > drawing.clientWidth) drawing.tabIndex = 0; else drawing.removeAttribute("tabindex");
  }).observe(drawing);

  function fill() {
    const spec = model.get("spec");
    for (const [name, list] of lists) if (!list.options.length) list.append(...spec.choices[name].map(option));
    if ([...place.options].map((one) => one.value).join("\n") !== spec.places.join("\n")) place.replaceChildren(...spec.places.map((name) => option([name, name])));
    place.value = spec.place;
    root.classList.toggle("crank-projector", spec.projector);
    for (const [name, input] of inputs) {
      if (name === "place") continue;
      const text = spec.entry[name], waiting = input.element.value !== input.sent && input.sent !== null;
      if (spec.fresh || (document.activeElement !== input.element && !waiting)) { input.element.value = text; input.sent = input.element.value; }
      const problem = spec.problems[name] || "";
      input.said.textContent = problem;
      if (problem) input.element.setAttribute("aria-invalid", "true"); else input.element.removeAttribute("aria-invalid");
    }
    if (spec.fresh) seldom.open = SELDOM.some(([name]) => spec.entry[name]);
    area.hidden = spec.entry.source === "file";
    file.hidden = !area.hidden;
    count.textContent = spec.count; kept.textContent = spec.kept;
    body.replaceChildren(...spec.lines.map(([number, text, kind, answer]) => {
      const odd = kind === "refused";
      const row = make("tr", { className: odd ? "crank-readings-odd" : "" }, ...[number, text, odd ? `Look again: ${answer}` : answer].map((word) => make("td", { textContent: word })));
      return row;
    }));
    if (spec.more) body.append(make("tr", {}, make("td", { colSpan: 3, textContent: `and ${spec.more} more lines, counted but not shown` })));
    echo.hidden = !spec.lines.length;
    verdict.textContent = spec.verdict ? `Verdict: ${spec.verdict}` : "";
    sentence.textContent = spec.sentence;
    cautions.replaceChildren(...spec.cautions.map((words) => make("li", { textContent: words })));
    cautions.hidden = !spec.cautions.length;
  }
  function draw() {
    const { address, alt } = model.get("picture");
    drawing.hidden = !address;
    if (address) { picture.src = address; picture.alt = alt; }
  }
  model.on("change:spec", fill);
  model.on("change:picture", draw);
  draw(); fill();
}
export default { render };
