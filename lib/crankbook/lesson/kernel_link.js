// What panels and forms share: making elements, and saying so when the kernel does not answer.
const SILENT = "No answer: the kernel is busy, was stopped or started anew, and what you see no longer follows. Wait a moment; if nothing changes, run this cell again.";
const PATIENCE = 3000; // ms

function make(tag, properties = {}, ...children) {
  const element = Object.assign(document.createElement(tag), properties);
  element.dataset.lmSuppressShortcuts = "true"; // keys pressed here belong to panel or form, not to the notebook
  element.append(...children);
  return element;
}

// A way to send that puts a sentence under the field last used where a message is not answered, or went wrong, and takes it away once all are well.
function asker(model, root) {
  const alarm = make("p", { className: "crank-silent" });
  alarm.setAttribute("role", "alert");
  root.prepend(alarm);
  let waiting = 0, timer = 0, used = root.firstChild;
  for (const kind of ["input", "click"]) root.addEventListener(kind, (event) => { used = event.target; }, true);
  model.on("msg:custom", (message) => {
    if (message.type !== "taken") return;
    waiting = Math.max(0, waiting - 1);
    if (waiting) return;
    clearTimeout(timer);
    timer = 0;
    tell(message.trouble ? `This could not be worked out, by a mistake of ours (${message.trouble}). The rest of the page stands as it was.` : "");
  });
  function tell(words) {
    if (words && used !== alarm && root.contains(used) && used.parentElement !== root) used.parentElement.after(alarm);
    else if (!root.contains(alarm)) root.prepend(alarm); // a page built anew
    alarm.textContent = words;
  }
  return (message) => {
    waiting += 1;
    timer ||= setTimeout(() => tell(`${SILENT} What you typed last is still in its field: copy it first.`), PATIENCE);
    model.send(message);
  };
}
