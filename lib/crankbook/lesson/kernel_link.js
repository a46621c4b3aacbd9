// What panels and forms share: making elements and fields, and saying so when the kernel does not answer.
const silent = () => _("No answer: the kernel is busy or was stopped, and what you see no longer follows. Wait a moment; if nothing changes, run this cell again.");
const lost = () => _("No answer: the kernel was restarted or stopped, as it is after two idle hours (in a class one), so this page no longer follows. Run all cells again: menu Run, Run All Cells.");
const copy = () => _("What you typed last is still in its field: copy it first.");
const PATIENCE = 3000, SLOW = 400; // ms: until no answer is told, until it is told that work goes on
const ONCE = Math.random().toString(36).slice(2);
let fieldCount = 0, pageCount = 0, catalog = {};

// Words in the reader's language: the kernel sends those that are not as they stand here. Named places are filled by put().
const _ = (words) => catalog[words] || words;
const put = (words, named) => words.replace(/\{(\w+)\}/g, (all, name) => named[name] ?? all);
function speak(model) { catalog = model.get("words") || {}; }

function make(tag, properties = {}, ...children) {
  const element = Object.assign(document.createElement(tag), properties);
  element.dataset.lmSuppressShortcuts = "true"; // keys pressed here belong to panel or form, not to the notebook
  element.append(...children);
  return element;
}
function troubleWords(trouble) {
  return put(_("This could not be worked out because of an error in the program ({trouble}). The rest of the page is as it was."), { trouble });
}

// A way to send that says at once when the kernel of this page is gone; false where nothing was sent.
// Messages are numbered: a kernel may hand them to several threads, and acts on them in their turn. Those not answered
// are sent again once a broken line stands anew; ``answered`` is told of each answer, once.
function sender(model, say, answered) {
  const page = `${ONCE}-${pageCount++}`, open = new Map(), kernel = model.widget_manager?.kernel;
  let closed = false, turn = 0;
  const gone = () => { closed = true; open.clear(); say(lost()); };
  for (const event of ["comm:close", "comm_live_update"]) model.on(event, gone);
  kernel?.disposed?.connect(gone); // a kernel that the server took back after a rest closes nothing
  kernel?.connectionStatusChanged?.connect((_kernel, status) => {
    if (status === "connected") for (const message of open.values()) model.send(message);
  });
  model.on("msg:custom", (message) => {
    if (message.type === "taken" && message.page === page && open.delete(message.turn)) answered(message);
  });
  return (message) => {
    try {
      if (!closed) {
        const numbered = { ...message, page, turn };
        model.send(numbered);
        open.set(turn++, numbered);
        return true;
      }
    } catch { /* the kernel is gone */ }
    gone();
    return false;
  };
}

// A way to send that puts a sentence under the field last used where a message is not answered or went wrong, and takes it away once all are well.
// It gives a promise of the answer; what is slow to come makes the form busy, so that nothing older is shown as current.
function asker(model, root) {
  const alarm = make("p", { className: "crank-silent" });
  alarm.setAttribute("role", "alert");
  root.prepend(alarm);
  const unanswered = [];
  let timer = 0, slow = 0, used = root.firstChild;
  for (const kind of ["input", "click"]) root.addEventListener(kind, (event) => { used = event.target; }, true);
  const settled = () => { clearTimeout(timer); clearTimeout(slow); timer = slow = 0; root.removeAttribute("aria-busy"); };
  const send = sender(model, (words) => {
    settled();
    timer = -1;
    for (const done of unanswered.splice(0)) done();
    tell(`${words} ${copy()}`);
  }, (message) => {
    unanswered.shift()?.();
    if (unanswered.length) return;
    settled();
    tell(message.trouble ? troubleWords(message.trouble) : "");
  });
  function tell(words) {
    const place = used.closest(".crank-field") || used.parentElement;
    if (words && used !== alarm && root.contains(used) && place !== root) place.after(alarm);
    else if (!root.contains(alarm)) root.prepend(alarm); // a page built anew
    alarm.textContent = words;
  }
  return (message) => new Promise((done) => {
    if (!send(message)) { done(); return; }
    unanswered.push(done);
    timer ||= setTimeout(() => tell(`${silent()} ${copy()}`), PATIENCE);
    slow ||= setTimeout(() => root.setAttribute("aria-busy", "true"), SLOW);
  });
}

// What is typed or chosen, and what the kernel says of it. ``act(text)`` sends it, once for each change, with ``wait`` also after so many ms
// without a key; it may give a promise of the answer. ``show`` never writes over text in hand, not yet sent or not yet answered,
// unless ``fresh``: that waits until the field is left or answered.
function typing(input, { act, wait = 0, told }) {
  let sent = null, timer = 0, slow = 0, asked = 0, shown = null, must = false;
  const send = () => {
    clearTimeout(timer);
    if (input.value === sent) return;
    sent = input.value; shown = null; must = false; asked += 1;
    slow ||= setTimeout(() => told({ note: _("working …") }), SLOW);
    Promise.resolve(act(sent)).then(() => {
      asked -= 1;
      if (asked) return;
      clearTimeout(slow); slow = 0;
      settle();
    });
  };
  function settle() {
    if (asked) return;
    told(shown || {});
    if (shown && shown.text !== null && (must || (document.activeElement !== input && (sent === null || input.value === sent)))) {
      input.value = shown.text; sent = input.value;
    }
    must = false;
  }
  input.addEventListener("focus", () => { sent = input.value; });
  input.addEventListener("change", send);
  input.addEventListener("blur", settle);
  if (wait) input.addEventListener("input", () => { clearTimeout(timer); timer = setTimeout(send, wait); });
  if (input.matches("input")) input.addEventListener("keydown", (event) => { if (event.key === "Enter") send(); });
  return { send, show(what, fresh = false) { shown = what; must = fresh; settle(); } };
}

function options(words) {
  return words.map((word) => (Array.isArray(word) ? word : [word, word])).map(([value, textContent]) => make("option", { value, textContent }));
}
// A labeled field with a line under it.
function field({ label, hint = "", spoken = "", words = null, area = false, wait = 0, act }) {
  const typed = { autocomplete: "off", spellcheck: false };
  const input = words ? make("select", {}, ...options(words)) : area ? make("textarea", typed) : make("input", { type: "text", ...typed });
  input.id = `crank-field-${ONCE}-${fieldCount++}`;
  const name = make("label", { textContent: label, htmlFor: input.id });
  if (hint) name.append(make("small", { textContent: hint.startsWith(",") ? hint : ` ${hint}` }));
  if (spoken) input.setAttribute("aria-label", spoken + (hint ? `, ${hint}` : ""));
  const said = make("span", { className: "crank-said", id: `${input.id}-said` });
  input.setAttribute("aria-describedby", said.id);
  if (area) input.addEventListener("keydown", (event) => event.stopPropagation()); // else the notebook swallows Enter
  const { send, show } = typing(input, { act, wait, told({ problem = "", note = "" }) {
    said.textContent = problem || note;
    said.classList.toggle("crank-wrong", Boolean(problem));
    if (problem) input.setAttribute("aria-invalid", "true"); else input.removeAttribute("aria-invalid");
  } });
  return { box: make("div", { className: "crank-field" }, name, input, said), input, send, show };
}
// A picture wider than a narrow page is moved sideways, by keys too.
function sideways(drawing) {
  new ResizeObserver(() => {
    if (drawing.scrollWidth > drawing.clientWidth) drawing.tabIndex = 0; else drawing.removeAttribute("tabindex");
  }).observe(drawing);
}
