// One panel: controls, presets, read-out and a picture whose moving parts are drawn here.
// The kernel is asked only when its last answer has arrived, so nothing queues and the last value is always shown.
const SVG = "http://www.w3.org/2000/svg";

function make(tag, properties = {}, ...children) {
  const element = Object.assign(document.createElement(tag), properties);
  element.dataset.lmSuppressShortcuts = "true"; // keys pressed here belong to the panel, not to the notebook
  element.append(...children);
  return element;
}

function drawItem(item, clip) {
  if (item.kind === "text") {
    const text = document.createElementNS(SVG, "text");
    text.textContent = item.text;
    for (const [key, value] of Object.entries({
      x: item.x, y: item.y, fill: item.color, "font-size": item.size, "text-anchor": item.anchor,
      stroke: "white", "stroke-width": 3, "paint-order": "stroke", "font-family": "DejaVu Sans, sans-serif",
    })) text.setAttribute(key, value);
    return text;
  }
  const shape = document.createElementNS(SVG, item.kind === "marker" ? "circle" : "polyline");
  if (item.kind === "marker") {
    shape.setAttribute("cx", item.x); shape.setAttribute("cy", item.y); shape.setAttribute("r", item.size);
    shape.setAttribute("fill", item.color); shape.setAttribute("stroke", "white"); shape.setAttribute("stroke-width", 1.5);
  } else {
    shape.setAttribute("points", item.points); shape.setAttribute("fill", item.fill || "none");
    shape.setAttribute("stroke", item.color); shape.setAttribute("stroke-width", item.width);
    shape.setAttribute("stroke-linejoin", "round");
    shape.setAttribute("clip-path", `url(#${clip})`);
    if (item.dash) shape.setAttribute("stroke-dasharray", item.dash);
  }
  return shape;
}

function render({ model, el }) {
  const root = make("div", { className: "crank-panel" });
  const controls = make("div", { className: "crank-controls" });
  const buttons = make("div", { className: "crank-buttons" });
  const readout = make("p", { className: "crank-readout" });
  readout.setAttribute("role", "status");
  const problem = make("p", { className: "crank-problem" });
  problem.setAttribute("role", "alert");
  const picture = make("div", { className: "crank-picture" });
  const background = make("img");
  const overlay = document.createElementNS(SVG, "svg");
  overlay.setAttribute("aria-hidden", "true");
  const held = document.createElementNS(SVG, "g"), moving = document.createElementNS(SVG, "g");
  const clip = document.createElementNS(SVG, "clipPath"), window_ = document.createElementNS(SVG, "rect");
  clip.id = `crank-clip-${Math.random().toString(36).slice(2)}`;
  clip.append(window_);
  held.setAttribute("opacity", "0.6");
  overlay.append(clip, held, moving);
  picture.append(background, overlay);
  const heldText = make("p", { className: "crank-held" });
  root.append(controls, buttons, problem, readout, heldText, picture);
  el.append(root);

  let waiting = false, next = null, fields = {};
  function ask(message) {
    if (waiting) { next = message.type === "set" && next && next.type === "set"
      ? { ...next, ...message, values: { ...next.values, ...message.values } } : message; return; }
    waiting = true;
    model.send(message);
    clearTimeout(ask.timer);
    ask.timer = setTimeout(() => { waiting = false; if (next) { const message = next; next = null; ask(message); } }, 3000);
  }
  function answered() {
    waiting = false;
    clearTimeout(ask.timer);
    if (next) { const message = next; next = null; ask(message); }
  }

  function build() {
    const spec = model.get("spec");
    root.classList.toggle("crank-projector", spec.projector);
    controls.replaceChildren(); buttons.replaceChildren(); fields = {};
    for (const control of spec.controls) {
      const id = `crank-${spec.id}-${Math.random().toString(36).slice(2)}`;
      const slider = make("input", { type: "range", id, min: control.low, max: control.high, step: control.step, value: control.value });
      const typed = make("input", { type: "text", value: control.text });
      slider.setAttribute("aria-valuetext", control.text);
      typed.setAttribute("aria-label", `${control.label}, type a value`);
      slider.addEventListener("input", () => {
        ask({ type: "set", values: { [control.name]: Number(slider.value) } });
      });
      const read = () => ask({ type: "type", name: control.name, text: typed.value });
      typed.addEventListener("change", read);
      typed.addEventListener("keydown", (event) => { if (event.key === "Enter") read(); });
      fields[control.name] = { slider, typed };
      const label = make("label", { textContent: control.label });
      label.htmlFor = id;
      controls.append(make("div", { className: "crank-control" }, label, slider, typed));
    }
    const add = (text, message) => {
      const button = make("button", { type: "button", textContent: text });
      button.addEventListener("click", () => message ? ask(message) : holdNow());
      buttons.append(button);
      return button;
    };
    for (const preset of spec.presets) add(preset, { type: "preset", name: preset });
    add("Reset", { type: "reset" });
    add("Hold this curve", null).title = "Keeps the present curve in gray, to compare with the next";
    add(spec.units === "mm" ? "Show inches" : "Show millimeters", { type: "units" });
    add(spec.projector ? "Desk size" : "Projector size", { type: "projector" });
  }
  function holdNow() {
    held.replaceChildren(...[...moving.childNodes].filter((node) => node.tagName !== "text").map((node) => node.cloneNode()));
    held.querySelectorAll("*").forEach((node) => { node.setAttribute("stroke", "#555"); if (node.tagName === "circle") node.setAttribute("fill", "#555"); });
    heldText.textContent = "Held: " + readout.textContent;
  }
  function draw() {
    const frame = model.get("frame");
    moving.replaceChildren(...frame.items.map((item) => drawItem(item, clip.id)));
    readout.textContent = frame.readout;
    problem.textContent = frame.problem;
    background.alt = frame.alt;
    for (const [name, field] of Object.entries(fields)) {
      const now = frame.values[name];
      if (!now) continue;
      if (document.activeElement !== field.slider || frame.settled) field.slider.value = now.value;
      field.slider.setAttribute("aria-valuetext", now.text);
      if (frame.typed !== name) { field.typed.value = now.text; field.typed.removeAttribute("aria-invalid"); }
      else field.typed.setAttribute("aria-invalid", "true");
    }
    answered();
    root.dispatchEvent(new CustomEvent("crank-drawn", { bubbles: true, detail: frame.count }));
  }
  function paper() {
    const { address, width, height, inside } = model.get("background");
    background.src = address;
    background.width = width; background.height = height;
    overlay.setAttribute("viewBox", `0 0 ${width} ${height}`);
    for (const [key, value] of Object.entries(inside)) window_.setAttribute(key, value);
    held.replaceChildren(); heldText.textContent = "";
  }
  model.on("change:spec", build);
  model.on("change:background", paper);
  model.on("change:frame", draw);
  build(); paper(); draw();
}
export default { render };
