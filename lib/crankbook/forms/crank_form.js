// A form for every size of a crank. The kernel holds the crank; this page only shows its fields and sends what is typed.
function option(word) { return make("option", { textContent: word, value: word }); }

function render({ model, el }) {
  const own = `crank-form-${Math.random().toString(36).slice(2)}`;
  const root = make("div", { className: "crank-form" });
  const head = make("div", { className: "crank-form-fields" });
  const status = make("p", { className: "crank-form-status" });
  status.setAttribute("role", "status");
  const picture = make("img"), drawing = make("div", { className: "crank-form-drawing" }, picture);
  const length = make("p"), groups = make("div"), buttons = make("div", { className: "crank-buttons" });
  root.append(head, drawing, length, status, buttons, groups);
  el.append(root);
  const ask = asker(model, root);
  new ResizeObserver(() => { // on a narrow page the drawing is moved sideways, by keys too
    if (drawing.scrollWidth > drawing.clientWidth) drawing.tabIndex = 0; else drawing.removeAttribute("tabindex");
  }).observe(drawing);
  let built = "", fields = new Map(), count = 0;

  function labeled(text, element, hint = "") {
    element.id = `${own}-${count++}`;
    const label = make("label", { textContent: text, htmlFor: element.id });
    if (hint) label.append(make("small", { textContent: ` ${hint}` }));
    return make("div", { className: "crank-form-field" }, label, element);
  }
  function listOf(text, words, act) {
    const list = make("select", {}, ...words.map(option));
    list.addEventListener("change", () => act(list.value));
    return [labeled(text, list), list];
  }
  function field(shown) {
    const input = make("input", { type: "text", autocomplete: "off", spellcheck: false });
    const box = labeled(shown.label, input, shown.hint);
    const said = make("span", { className: "crank-form-said", id: `${input.id}-said` });
    if (shown.spoken) input.setAttribute("aria-label", shown.spoken + (shown.hint ? `, ${shown.hint}` : ""));
    input.setAttribute("aria-describedby", said.id);
    box.append(said);
    let sent = null;
    const send = () => { if (input.value !== sent) ask({ type: "edit", key: shown.key, text: sent = input.value }); };
    input.addEventListener("focus", () => { sent = input.value; });
    input.addEventListener("change", send);
    input.addEventListener("keydown", (event) => { if (event.key === "Enter") send(); });
    fields.set(String(shown.key), { input, said });
    return box;
  }
  function button(text, message) {
    const made = make("button", { type: "button", textContent: text });
    made.addEventListener("click", () => ask(message()));
    buttons.append(made);
    return made;
  }

  let start, units, steel, which;
  const add = button("Add a throw", () => ({ type: "add" }));
  const remove = button("Remove throw", () => ({ type: "remove", index: Number(which.value) - 1 }));
  which = make("select");
  which.setAttribute("aria-label", "throw to remove");
  buttons.append(which);
  const back = button("Put back what was not taken", () => ({ type: "back" }));
  button("Save as my crank", () => ({ type: "save" }));

  function build(spec) {
    fields.clear(); head.replaceChildren(); groups.replaceChildren();
    let box;
    [box, start] = listOf("start from", ["…", ...spec.starts], (name) => { if (name !== "…") ask({ type: "start", name }); });
    head.append(box, field(spec.name));
    [box, units] = listOf("sizes in", ["mm", "in"], (text) => ask({ type: "edit", key: "units", text }));
    head.append(box);
    [box, steel] = listOf("steel", spec.steels, (text) => ask({ type: "edit", key: "steel", text }));
    head.append(box);
    for (const group of spec.groups) {
      groups.append(make("fieldset", {}, make("legend", { textContent: group.title }),
        make("div", { className: "crank-form-fields" }, ...group.fields.map(field))));
    }
    which.replaceChildren(...Array.from({ length: spec.throws }, (_, k) => option(String(k + 1))));
    which.value = String(spec.throws);
  }
  function fill() {
    const spec = model.get("spec"), shape = JSON.stringify([spec.throws, spec.starts, spec.steels]);
    const rebuilt = shape !== built;
    if (rebuilt) { build(spec); built = shape; }
    root.classList.toggle("crank-projector", spec.projector);
    start.value = "…"; units.value = spec.units; steel.value = spec.steel;
    remove.disabled = which.disabled = spec.throws === 1;
    back.disabled = !spec.waiting;
    length.textContent = spec.length;
    status.textContent = spec.status;
    for (const shown of [spec.name, ...spec.groups.flatMap((group) => group.fields)]) {
      const { input, said } = fields.get(String(shown.key));
      if (rebuilt || spec.fresh || document.activeElement !== input) input.value = shown.text; // what is being typed stays
      said.textContent = shown.problem || shown.note;
      said.classList.toggle("crank-form-problem", Boolean(shown.problem));
      if (shown.problem) input.setAttribute("aria-invalid", "true"); else input.removeAttribute("aria-invalid");
    }
  }
  function draw() {
    const { address, alt, width } = model.get("picture");
    picture.src = address; picture.alt = alt; picture.style.width = `${width}px`;
  }
  model.on("change:spec", fill);
  model.on("change:picture", draw);
  draw(); fill();
}
export default { render };
