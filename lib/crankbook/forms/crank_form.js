// A form for every size of a crank. The kernel holds the crank; this page only shows its fields and sends what is typed.
function render({ model, el }) {
  speak(model);
  const root = make("div", { className: "crank-form" });
  const head = make("div", { className: "crank-fields" });
  const status = make("p", { className: "crank-status" });
  status.setAttribute("role", "status");
  const picture = make("img"), drawing = make("div", { className: "crank-form-drawing" }, picture);
  const length = make("p"), groups = make("div"), buttons = make("div", { className: "crank-buttons" });
  root.append(head, drawing, length, status, buttons, groups);
  el.append(root);
  const ask = asker(model, root);
  sideways(drawing);
  let built = "", fields = new Map(), lists = {};

  function list(name, label, words, act) {
    lists[name] = field({ label, words, act });
    return lists[name].box;
  }
  function sized(shown) {
    const made = field({ label: shown.label, hint: shown.hint, spoken: shown.spoken, act: (text) => ask({ type: "edit", key: shown.key, text }) });
    fields.set(String(shown.key), made);
    return made.box;
  }
  function button(text, message) {
    const made = make("button", { type: "button", textContent: text });
    made.addEventListener("click", () => ask(message()));
    buttons.append(made);
    return made;
  }

  const which = make("select");
  button(_("Add a throw"), () => ({ type: "add" }));
  const remove = button(_("Remove throw"), () => ({ type: "remove", index: Number(which.value) - 1 }));
  which.setAttribute("aria-label", _("throw to remove"));
  buttons.append(which);
  const back = button(_("Put back what was not taken"), () => ({ type: "back" }));
  button(_("Save as my crank"), () => ({ type: "save" }));
  const rename = button(_("Rename"), () => ({ type: "rename" }));
  const away = button(_("Put away"), () => ({ type: "away" }));

  function build(spec) {
    fields.clear();
    const picked = (type) => (name) => (name === "…" ? null : ask({ type, name }));
    head.replaceChildren(list("start", _("start from"), ["…", ...spec.starts], picked("start")), sized(spec.name),
      list("units", _("sizes in"), ["mm", "in"], (text) => ask({ type: "edit", key: "units", text })),
      list("steel", _("steel"), spec.steels, (text) => ask({ type: "edit", key: "steel", text })),
      list("earlier", _("bring back"), ["…", ...spec.earlier], picked("earlier")));
    groups.replaceChildren(...spec.groups.map((group) => make("fieldset", {}, make("legend", { textContent: group.title }),
      make("div", { className: "crank-fields" }, ...group.fields.map(sized)))));
    which.replaceChildren(...options(Array.from({ length: spec.throws }, (none, k) => String(k + 1))));
    which.value = String(spec.throws);
  }
  function fill() {
    const spec = model.get("spec"), shape = JSON.stringify([spec.throws, spec.starts, spec.steels, spec.earlier]);
    const rebuilt = shape !== built;
    if (rebuilt) { build(spec); built = shape; }
    root.classList.toggle("crank-projector", spec.projector);
    for (const [name, text] of [["start", "…"], ["earlier", "…"], ["units", spec.units], ["steel", spec.steel]]) lists[name].show({ text }, true);
    lists.earlier.box.hidden = !spec.earlier.length;
    remove.disabled = which.disabled = spec.throws === 1;
    back.disabled = !spec.waiting;
    away.hidden = !spec.origin;
    away.textContent = put(_("Put {name} away"), { name: spec.origin });
    rename.hidden = !spec.origin || spec.origin === spec.name.text;
    rename.textContent = put(_("Rename {name} to {wanted}"), { name: spec.origin, wanted: spec.name.text });
    length.textContent = spec.length;
    status.textContent = spec.status;
    for (const shown of [spec.name, ...spec.groups.flatMap((group) => group.fields)]) fields.get(String(shown.key)).show(shown, rebuilt || spec.fresh);
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
