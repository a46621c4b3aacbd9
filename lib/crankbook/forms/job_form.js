// The builder's form. The kernel holds the job and its verdicts; this page shows them and sends what is typed.
const QUIET = 500; // ms without a key or an answer until the verdicts are asked for

function table(caption, head, rows) {
  const top = make("tr", {}, ...head.map((word) => make("th", { scope: "col", textContent: word })));
  const body = rows.map((cells) => make("tr", {}, ...cells.map((cell, place) =>
    place ? make("td", { textContent: cell }) : make("th", { scope: "row", textContent: cell }))));
  const made = make("table", {}, make("caption", { textContent: caption }), make("thead", {}, top), make("tbody", {}, ...body));
  made.caption.dataset.working = _(", older than the last answer: working …");
  return make("div", { className: "job-form-scroll" }, made);
}

function render({ model, el }) {
  speak(model);
  const summary = make("p", { className: "job-form-summary" }), status = make("p", { className: "crank-status" });
  status.setAttribute("role", "status");
  const button = (text) => make("button", { type: "button", textContent: text });
  const write = button(_("Write the job sheet")), back = button(_("Put back what was not taken"));
  const again = button(_("Start all answers again")), sure = button(_("Yes, start again")), no = button(_("No, keep them")), restore = button(_("Bring the last answers back")), lathe = button(_("Keep this lathe as my own"));
  const question = make("span", { textContent: _("All answers that you typed are put aside. Start again?") });
  const asked = make("span", { className: "crank-buttons", hidden: true }, question, sure, no);
  const open = make("a", { target: "_blank", rel: "noopener", textContent: _("Open the sheet to print it"), hidden: true });
  const save = make("a", { textContent: _("Download it"), hidden: true });
  const verdicts = make("div"), groups = make("div"), beside = make("div"), changes = make("div", { className: "crank-fields" });
  const root = make("div", { className: "job-form" }, summary, make("div", { className: "crank-buttons" }, write, open, save), status, verdicts,
    make("fieldset", {}, make("legend", { textContent: _("Compare with") }), changes, beside),
    make("div", { className: "crank-buttons" }, back, again, asked, restore, lathe), groups);
  el.append(root);
  let unanswered = 0;
  const send = asker(model, root), ask = (message) => {
    unanswered += 1;
    return send(message).then(() => { unanswered -= 1; verdictsSoon(); });
  };
  const toAsk = (wanted) => { asked.hidden = !wanted; again.hidden = wanted; (wanted ? no : again).focus(); };
  write.addEventListener("click", () => ask({ type: "sheet" }));
  back.addEventListener("click", () => ask({ type: "back" }));
  again.addEventListener("click", () => toAsk(true));
  no.addEventListener("click", () => toAsk(false));
  sure.addEventListener("click", () => { toAsk(false); ask({ type: "again" }); });
  lathe.addEventListener("click", () => ask({ type: "lathe" }));
  restore.addEventListener("click", () => ask({ type: "restore" }));
  const fields = new Map(), effect = make("p", { className: "job-form-effect" }); // of the last answer on the verdicts, under its field
  effect.setAttribute("role", "status");
  let answered = null, built = "", address = "", quiet = 0, checked = null; // answers of which the verdicts were asked for, once
  function verdictsSoon() {
    clearTimeout(quiet);
    const spec = model.get("spec");
    if (spec.older && spec !== checked && !unanswered) quiet = setTimeout(() => { checked = spec; ask({ type: "check" }); }, QUIET);
  }
  root.addEventListener("input", verdictsSoon);

  function asking(type) {
    return (shown) => {
      const words = shown.options.length ? shown.options.map((word, place) => [word, shown.said[place] || _("as it is")]) : null;
      const made = field({ label: shown.label, words, act: (text) => { answered = type === "edit" ? shown.key : null; return ask({ type, key: shown.key, text }); } });
      fields.set(`${type} ${shown.key}`, made);
      return made.box;
    };
  }
  function build(spec) {
    fields.clear();
    groups.replaceChildren(...spec.groups.map((group) => make("fieldset", {}, make("legend", { textContent: group.title }),
      make("div", { className: "crank-fields" }, ...group.fields.map(asking("edit"))))));
    changes.replaceChildren(...spec.variant.map(asking("variant")));
  }
  function fill() {
    const spec = model.get("spec"), shape = JSON.stringify(spec.groups.map((group) => group.fields.map((shown) => [shown.key, shown.options])));
    const rebuilt = shape !== built;
    if (rebuilt) { build(spec); built = shape; }
    root.classList.toggle("crank-projector", spec.projector);
    root.toggleAttribute("data-older", spec.older);
    verdictsSoon(); // of a change in the crank's form, or of a page loaded again
    status.textContent = spec.status;
    back.disabled = !spec.waiting;
    restore.hidden = !spec.restorable;
    for (const shown of spec.groups.flatMap((group) => group.fields)) fields.get(`edit ${shown.key}`).show(shown, rebuilt || spec.fresh);
    for (const shown of spec.variant) fields.get(`variant ${shown.key}`).show(shown, rebuilt || spec.fresh);
    const last = spec.groups.flatMap((group) => group.fields).find(({ key }) => key === answered);
    if (!last || spec.older) return;
    effect.textContent = last.problem ? "" : model.get("found").changed;
    fields.get(`edit ${answered}`).box.append(effect);
    answered = null;
  }
  function tell() {
    const found = model.get("found");
    if (answered === null) effect.remove(); // what it says is of other verdicts
    summary.textContent = `${found.summary} ${put(_("{count} answers are still assumed."), { count: found.untyped })}`;
    const made = table(_("Verdicts"), [_("check"), _("verdict"), _("what was found"), _("lesson")], found.rows.map((row) => [row.title, row.said, row.sentence, row.lesson]));
    made.querySelectorAll("tbody tr").forEach((row, place) => {
      row.children[1].className = "job-form-verdict"; row.children[1].dataset.word = found.rows[place].verdict; row.children[3].dataset.of = `${_("lesson")} `;
    });
    made.firstChild.className = "job-form-stacks";
    verdicts.replaceChildren(made);
    const { names, verdicts: differing, numbers } = found.beside;
    beside.replaceChildren(...(names ? [differing.length ? table(_("Verdicts that differ"), [_("check"), ...names], differing) : make("p", { textContent: _("No verdict differs.") }),
      table(_("Numbers that differ by 2 % or more"), [_("number"), ...names], numbers)] : []));
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
