// The builder's form. The kernel holds the job and its verdicts; this page shows them and sends what is typed.
function table(caption, head, rows) {
  const top = make("tr", {}, ...head.map((word) => make("th", { scope: "col", textContent: word })));
  const body = rows.map((cells) => make("tr", {}, ...cells.map((cell, place) =>
    place ? make("td", { textContent: cell }) : make("th", { scope: "row", textContent: cell }))));
  const made = make("table", {}, make("caption", { textContent: caption }), make("thead", {}, top), make("tbody", {}, ...body));
  return make("div", { className: "job-form-scroll" }, made);
}

function render({ model, el }) {
  const own = `job-form-${Math.random().toString(36).slice(2)}`;
  const summary = make("p", { className: "job-form-summary" }), status = make("p", { className: "job-form-status" });
  status.setAttribute("role", "status");
  const write = make("button", { type: "button", textContent: "Write the job sheet" });
  const open = make("a", { target: "_blank", rel: "noopener", textContent: "Open the sheet to print it", hidden: true });
  const save = make("a", { textContent: "Download it", hidden: true });
  const back = make("button", { type: "button", textContent: "Put back what was not taken" });
  const anew = make("button", { type: "button", textContent: "Start all answers anew" });
  const verdicts = make("div"), groups = make("div"), beside = make("div"), changes = make("div", { className: "job-form-fields" });
  const root = make("div", { className: "job-form" }, summary, make("div", { className: "job-form-buttons" }, write, open, save), status, verdicts,
    make("fieldset", {}, make("legend", { textContent: "Compare with" }), changes, beside),
    make("div", { className: "job-form-buttons" }, back, anew), groups);
  el.append(root);
  const ask = asker(model, root);
  write.addEventListener("click", () => ask({ type: "sheet" }));
  back.addEventListener("click", () => ask({ type: "back" }));
  anew.addEventListener("click", () => ask({ type: "anew" }));
  const fields = new Map();
  let count = 0, built = "", address = "";

  function field(shown, type) {
    const list = shown.options.length > 0, name = `${type} ${shown.key}`;
    const input = list ? make("select", {}, ...shown.options.map((word) => make("option", { value: word, textContent: word || "as it is" })))
      : make("input", { type: "text", autocomplete: "off", spellcheck: false });
    input.id = `${own}-${count++}`;
    const said = make("span", { className: "job-form-said", id: `${input.id}-said` });
    input.setAttribute("aria-describedby", said.id);
    let sent = null;
    const send = () => { if (input.value !== sent) ask({ type, key: shown.key, text: sent = input.value }); };
    input.addEventListener("focus", () => { sent = input.value; });
    input.addEventListener("change", send);
    if (!list) input.addEventListener("keydown", (event) => { if (event.key === "Enter") send(); });
    fields.set(name, { input, said });
    return make("div", { className: "job-form-field" }, make("label", { textContent: shown.label, htmlFor: input.id }), input, said);
  }
  function build(spec) {
    fields.clear();
    groups.replaceChildren(...spec.groups.map((group) => make("fieldset", {}, make("legend", { textContent: group.title }),
      make("div", { className: "job-form-fields" }, ...group.fields.map((shown) => field(shown, "edit"))))));
    changes.replaceChildren(...spec.variant.map((shown) => field(shown, "variant")));
  }
  function fill() {
    const spec = model.get("spec"), shape = JSON.stringify(spec.groups.map((group) => group.fields.map((shown) => [shown.key, shown.options])));
    const rebuilt = shape !== built;
    if (rebuilt) { build(spec); built = shape; }
    root.classList.toggle("crank-projector", spec.projector);
    status.textContent = spec.status;
    back.disabled = !spec.waiting;
    const all = [...spec.groups.flatMap((group) => group.fields).map((shown) => ["edit", shown]), ...spec.variant.map((shown) => ["variant", shown])];
    for (const [type, shown] of all) {
      const { input, said } = fields.get(`${type} ${shown.key}`);
      if (rebuilt || spec.fresh || document.activeElement !== input) input.value = shown.text; // what is being typed stays
      said.textContent = shown.problem || shown.note;
      said.classList.toggle("job-form-problem", Boolean(shown.problem));
      if (shown.problem) input.setAttribute("aria-invalid", "true"); else input.removeAttribute("aria-invalid");
    }
  }
  function tell() {
    const found = model.get("found");
    summary.textContent = `${found.summary} ${found.untyped} answers are still assumed.`;
    const made = table("Verdicts", ["check", "verdict", "what was found", "lesson"], found.rows.map((row) => [row.title, row.verdict, row.sentence, row.lesson]));
    made.querySelectorAll("tbody tr").forEach((row) => {
      row.children[1].className = "job-form-verdict"; row.children[1].dataset.word = row.children[1].textContent;
    });
    made.firstChild.className = "job-form-stacks";
    verdicts.replaceChildren(made);
    const { names, verdicts: differing, numbers } = found.beside;
    beside.replaceChildren(...(names ? [differing.length ? table("Verdicts that differ", ["check", ...names], differing) : make("p", { textContent: "No verdict differs." }),
      table("Numbers that differ by 2 % or more", ["number", ...names], numbers)] : []));
  }
  function offer() {
    const { html, name } = model.get("sheet");
    if (!html) return;
    if (address) URL.revokeObjectURL(address);
    address = URL.createObjectURL(new Blob([html], { type: "text/html" }));
    open.href = save.href = address; save.download = name;
    open.hidden = save.hidden = false;
    if (document.activeElement === write) open.focus();
  }
  model.on("change:spec", fill); model.on("change:found", tell); model.on("change:sheet", offer);
  fill(); tell(); offer();
}
export default { render };
