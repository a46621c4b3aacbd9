// Two buttons: all own files down as one archive, such an archive up again; a question before anything is replaced.
const LARGEST = 5000000; // bytes of an archive

function render({ model, el }) {
  speak(model);
  const root = make("div", { className: "crank-form crank-work" });
  const said = make("p", { className: "crank-status" });
  said.setAttribute("role", "status");
  const chooser = make("input", { type: "file", accept: ".zip", hidden: true });
  const button = (text, act) => {
    const made = make("button", { type: "button", textContent: text });
    made.addEventListener("click", act);
    return made;
  };
  const bring = button(_("Bring my work in"), () => chooser.click());
  const choice = make("div", { className: "crank-buttons", hidden: true });
  root.append(make("div", { className: "crank-buttons" }, button(_("Download my work"), () => ask({ type: "take" })), bring, chooser), said, choice);
  el.append(root);
  const ask = asker(model, root);
  choice.append(
    button(_("Take what I bring"), () => ask({ type: "replace" })),
    button(_("Keep what is here"), () => ask({ type: "keep" })),
  );
  chooser.addEventListener("change", async () => {
    const [file] = chooser.files;
    chooser.value = "";
    if (!file) return;
    if (file.size > LARGEST) { said.textContent = put(_("{name} is too large: choose a my-work-….zip of at most 5 MB."), { name: file.name }); return; }
    let letters = "";
    for (const byte of new Uint8Array(await file.arrayBuffer())) letters += String.fromCharCode(byte);
    ask({ type: "bring", data: btoa(letters) });
  });
  model.on("msg:custom", (message, buffers) => {
    if (message.type !== "work") return;
    const link = make("a", { href: URL.createObjectURL(new Blob([buffers[0]], { type: "application/zip" })), download: message.name });
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  });
  const show = () => {
    const { text, question } = model.get("status");
    said.textContent = text;
    choice.hidden = !question;
  };
  model.on("change:status", show);
  show();
}
export default { render };
