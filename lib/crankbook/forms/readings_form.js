// A form for indicator readings. The kernel reads and judges; this page sends what is typed and shows the answers.
const read = () => [["source", _("Readings are"), ""], ["layout", _("Each line holds"), ""], ["unit", _("Numbers without a unit are"), ""], ["held", _("The work turns"), ""]];
const judge = () => [["allowed", _("Runout allowed"), _("for example 10 um or 0.5 thou")], ["division", _("Division of the dial"), _("for example 2 um or 0.1 thou")], ["indicator", _("Error of the indicator, up to ±"), _("see its certificate; often 3 um")]];
const rarely = () => [["support", _("Error of the centers and their holes, up to ±"), _("otherwise leave empty")], ["repeatability", _("Scatter known beforehand"), _("one standard deviation; otherwise leave empty")],
  ["dial_turn", _("Dial read without sign: one turn of the hand is"), _("for example 1 mm; otherwise leave empty")]];
const WAIT = 250; // ms without a key before what is typed is sent

function render({ model, el }) {
  speak(model);
  const seldomAsked = rarely();
  const root = make("div", { className: "crank-readings" });
  const fields = new Map();
  const choices = (name) => model.get("spec").choices[name];

  function typed(name, label, hint = "", area = false) {
    const words = name in model.get("spec").choices ? choices(name) : null;
    const made = field({ label, hint: hint && `, ${hint}`, words, area, wait: WAIT, act: (text) => ask({ type: "edit", field: name, text }) });
    fields.set(name, made);
    return made.box;
  }
  const grid = (named, ...first) => make("div", { className: "crank-fields" }, ...first, ...named.map((one) => typed(...one)));
  const place = field({ label: _("Place measured"), hint: _(", each is kept by itself"), words: [], act: (name) => {
    for (const one of fields.values()) one.send();
    return ask({ type: "place", name });
  } });
  const how = grid(read(), place.box);
  const seldom = make("details", {}, make("summary", { textContent: _("Seldom needed") }), grid(seldomAsked));
  const area = typed("text", _("Readings, one line each"), _("paste them here"), true);
  const again = make("button", { type: "button", textContent: _("Read the file again") });
  again.addEventListener("click", () => { fields.get("file").send(); ask({ type: "again" }); });
  const file = make("div", {}, typed("file", _("File of readings"), _("text or CSV; a name alone is looked for in your own folder")), again);
  const count = make("p", { className: "crank-readings-count" }), kept = make("p", { className: "crank-readings-kept" });
  const body = make("tbody");
  const caption = make("caption", { textContent: _("What was understood") });
  const head = make("tr", {}, ...[_("line"), _("as written"), _("understood as")].map((word) => make("th", { scope: "col", textContent: word })));
  const echo = make("div", { className: "crank-readings-echo", tabIndex: 0 }, make("table", {}, caption, make("thead", {}, head), body));
  echo.setAttribute("role", "region");
  echo.setAttribute("aria-label", _("What was understood, line by line"));
  const verdict = make("p", { className: "crank-readings-verdict" }), sentence = make("p", { className: "crank-readings-sentence" });
  const cautions = make("ul"), told = make("div", {}, count, verdict, sentence);
  told.setAttribute("role", "status");
  const picture = make("img"), drawing = make("div", { className: "crank-readings-picture" }, picture);
  root.append(how, area, file, grid(judge()), seldom, kept, echo, told, cautions, drawing);
  el.append(root);
  const ask = asker(model, root);
  sideways(drawing);

  function fill() {
    const spec = model.get("spec");
    if ([...place.input.options].map((one) => one.value).join("\n") !== spec.places.join("\n")) place.input.replaceChildren(...options(spec.places));
    place.show({ text: spec.place }, true);
    root.classList.toggle("crank-projector", spec.projector);
    for (const [name, made] of fields) made.show({ text: spec.entry[name], problem: spec.problems[name] }, spec.fresh);
    if (spec.fresh) seldom.open = seldomAsked.some(([name]) => spec.entry[name]);
    area.hidden = spec.entry.source === "file";
    file.hidden = !area.hidden;
    count.textContent = spec.count; kept.textContent = spec.kept;
    body.replaceChildren(...spec.lines.map(([number, text, kind, answer]) => {
      const odd = kind === "refused";
      const row = make("tr", { className: odd ? "crank-readings-odd" : "" }, ...[number, text, odd ? put(_("Look again: {answer}"), { answer }) : answer].map((word) => make("td", { textContent: word })));
      return row;
    }));
    if (spec.more) body.append(make("tr", {}, make("td", { colSpan: 3, textContent: put(_("and {count} more lines, counted but not shown"), { count: spec.more }) })));
    echo.hidden = !spec.lines.length;
    verdict.textContent = spec.verdict ? put(_("Verdict: {verdict}"), { verdict: spec.verdict }) : "";
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
