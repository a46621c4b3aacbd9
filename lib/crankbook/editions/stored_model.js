// Stands where a kernel stands: answers a panel's messages out of the states stored in this page.
async function unpack(id) {
  const text = document.getElementById(id).textContent.trim();
  const packed = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  return new Response(new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"))).arrayBuffer();
}

async function storedModel() {
  const stored = JSON.parse(new TextDecoder().decode(await unpack("stored-words"))), bytes = await unpack("stored-bytes");
  const KINDS = { int16: Int16Array, uint16: Uint16Array, int32: Int32Array, uint8: Uint8Array, float32: Float32Array };
  const blobs = stored.blobs.map(([start, size, kind]) => new KINDS[kind](bytes, start, size));
  const listeners = {};
  let units = stored.first, place = stored.start, projector = stored.units[units].spec.projector, count = 0, problem = "", heldScales = "";

  // one array of a shading: whole numbers times a step, from a least value on
  function numbersOf({ blob, step, least }) {
    return step === undefined ? blobs[blob] : Float32Array.from(blobs[blob], (whole) => least + step * whole);
  }
  function item(number) {
    const found = stored.items[number];
    if (found.kind === "space") return { ...found, rings: blobs[found.rings.blob], rows: blobs[found.rows.blob] };
    if (found.kind !== "shading") return found;
    const at = (name) => numbersOf(found[name]);
    return { ...found, points: at("points"), value: at("value"), triangles: at("triangles") };
  }
  const state = (what) => stored.units[units][what].map((column) => blobs[column][place]);
  const words = () => stored.words[blobs[stored.units[units].rest][place]];
  const scales = () => JSON.stringify(JSON.parse(words()).scales);
  const items = () => state("columns").filter((number) => number >= 0).map(item);

  // values of a place: of the grid by its digits, of a preset by its own list
  function valuesAt(where) {
    const here = {};
    const own = stored.presetValues[where - stored.gridSize];
    let left = where;
    for (const axis of [...stored.axes].reverse()) {
      const digit = left % axis.size;
      left = Math.floor(left / axis.size);
      here[axis.name] = own ? own[axis.name][units] : axis.shown[units][digit];
    }
    return here;
  }
  function nearest(axis, value) {
    let best = 0;
    axis.shown[units].forEach((shown, digit) => {
      if (axis.words ? shown.value === value : Math.abs(shown.value - value) < Math.abs(axis.shown[units][best].value - value)) best = digit;
    });
    return best;
  }
  // moves to the stored state nearest to the values; says which others than the slider in hand had to move for it
  function go(values, inHand = []) {
    const said = [];
    let where = 0;
    for (const axis of stored.axes) {
      const digit = nearest(axis, values[axis.name].value), found = axis.shown[units][digit];
      const apart = axis.words ? 0 : Math.abs(found.value - values[axis.name].value);
      if (!inHand.includes(axis.name) && apart > 1e-6 * Math.max(1e-9, Math.abs(found.value))) said.push(`${axis.label}: ${values[axis.name].text} is not in this file; nearest stored: ${found.text}`);
      where = where * axis.size + digit;
    }
    place = where;
    problem = said.join(". ");
  }
  function trigger(name) { for (const act of listeners[name] || []) act(); }
  function frame(typed = "") {
    count += 1;
    const refused = stored.refusals[blobs[stored.units[units].refused][place]];
    const rest = JSON.parse(words());
    model.frame = {
      ...rest, items: items(), values: valuesAt(place), problem: [refused, problem].filter(Boolean).join(". "), typed,
      settled: true, count,
    };
    if (refused && model.shown) model.frame = { ...model.shown, values: model.frame.values, problem: model.frame.problem, count, stale: true };
    else model.shown = model.frame;
    trigger("change:frame");
  }
  function layOut() {
    const { spec, background } = stored.units[units];
    model.spec = { ...spec, projector, shades: blobs[spec.shades.blob], controls: controls() };
    model.background = background;
    model.words = spec.words;
    trigger("change:spec");
    trigger("change:background");
  }
  function controls() {
    const now = valuesAt(place);
    return stored.axes.map((axis) => {
      const shown = axis.shown[units], about = { name: axis.name, label: axis.label, plays: axis.plays, ...now[axis.name] };
      if (axis.words) return { ...about, options: shown.map(({ value }) => value), said: shown.map(({ text }) => text) };
      const low = shown[0].value, high = shown[axis.size - 1].value;
      return { ...about, low, high, step: axis.size > 1 ? (high - low) / (axis.size - 1) : 1 };
    });
  }

  // what a person types: 18 mm, 0,25 mm, 3/4 in, 1-1/8 in, 0.002"
  function read(axis, text) {
    const example = axis.shown[units][Math.floor(axis.size / 2)].text;
    const found = /^\s*([+\-−–]?)\s*(?:(\d+)(?:\s+|\s*-\s*))?(?:(\d+)\s*\/\s*(\d+)|(\d+(?:[.,]\d*)?|[.,]\d+))\s*(.*?)\s*$/.exec(text);
    if (!found || (found[2] && found[5])) throw new Error(`${axis.label}: no number found in “${text}”; write for example ${example}`);
    const [, sign, whole, top, bottom, plain, unit] = found;
    if (/^[1-9]\d{0,2},\d{3}$/.test(plain || "")) throw new Error(`${axis.label}: “${text}” may mean ${plain.replace(",", ".")} or ${plain.replace(",", "")}; write it without the comma`);
    const size = plain ? Number(plain.replace(",", ".")) : Number(whole || 0) + Number(top) / Number(bottom);
    if (!unit) throw new Error(`${axis.label} needs a unit after “${text}”: write for example ${example}`);
    const scale = axis.scales[units][unit] ?? axis.scales[units][unit.toLowerCase()];
    if (scale === undefined || !Number.isFinite(size)) throw new Error(`${axis.label}: “${unit}” is not a unit of this field; write for example ${example}`);
    const value = (sign && sign !== "+" ? -1 : 1) * size * scale;
    const shown = axis.shown[units], low = shown[0], high = shown[axis.size - 1], slack = 1e-9 * Math.max(Math.abs(low.value), Math.abs(high.value));
    if (value < low.value - slack || value > high.value + slack) throw new Error(`${axis.label}: ${text.trim()} is outside this file; write a value from ${low.text} to ${high.text}`);
    return { value, text: text.trim() };
  }
  function answer(message) {
    problem = "";
    const values = valuesAt(place);
    if (message.type === "set") {
      for (const [name, value] of Object.entries(message.values)) values[name] = { value, text: String(value) };
      go(values, Object.keys(message.values));
    } else if (message.type === "type") {
      const axis = stored.axes.find(({ name }) => name === message.name);
      try { go({ ...values, [axis.name]: read(axis, message.text) }); } catch (error) { problem = error.message; return frame(message.name); }
    } else if (message.type === "preset") place = stored.gridSize + stored.presets.indexOf(message.name);
    else if (message.type === "reset") place = stored.start;
    else if (message.type === "hold") {
      model.held = { items: model.frame.items, text: model.frame.readout };
      heldScales = scales();
      trigger("change:held");
    } else if (message.type === "release") { model.held = {}; trigger("change:held"); }
    else if (message.type === "units") {
      units = units === "mm" ? "in" : "mm";
      model.held = {};
      layOut();
    } else if (message.type === "projector") { projector = !projector; layOut(); }
    else return; // next steps are not fetched: every state is here
    if (model.held.items && heldScales !== scales()) problem = [problem, "The held picture keeps the scale it had"].filter(Boolean).join(". ");
    frame();
  }
  const model = {
    held: {}, ahead: {},
    get: (name) => model[name],
    on: (name, act) => { (listeners[name] ||= []).push(act); },
    off() {},
    send: (message) => { queueMicrotask(() => answer(message)); },
    save_changes() {},
  };
  layOut();
  frame();
  return model;
}

async function open() {
  const root = document.getElementById("panel"), source = document.getElementById("panel-script").textContent;
  const bytes = new TextEncoder().encode(source);
  let letters = "";
  for (const byte of bytes) letters += String.fromCharCode(byte);
  const model = await storedModel();
  const panel = await import(`data:text/javascript;base64,${btoa(letters)}`);
  root.replaceChildren();
  const dark = matchMedia("(prefers-color-scheme: dark)"), follow = () => { document.body.dataset.jpThemeLight = !dark.matches; };
  if (!document.body.matches(".stage")) { follow(); dark.addEventListener("change", follow); } // a projector stays light
  panel.default.render({ model, el: root });
  for (const picture of root.querySelectorAll(".crank-picture")) {
    picture.tabIndex = 0; // wider than a phone: moved sideways by a finger or by keys
    picture.setAttribute("role", "group");
    picture.setAttribute("aria-label", "Picture; on a narrow screen it moves sideways");
  }
  document.documentElement.dataset.ready = "true";
}
open().catch((error) => {
  document.getElementById("panel").textContent =
    `This page cannot be shown by this browser (${error.message}). It needs one of 2023 or later.`;
});
