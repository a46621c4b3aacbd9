// One panel: controls, presets, read-out and a picture whose moving parts are drawn here.
// The kernel is asked only when its last answer has arrived; what a slider sends meanwhile is one message, so the last value is always shown.
// While nothing moves, the next steps of the slider last moved are fetched, so that they can be drawn at once.
const AHEAD = [1, 2, -1, 3, 4, -2, 5, 6, -3, 7, 8, -4, 9, 10, -5, 11, 12, -6]; // steps fetched, onward in the way last moved
const READABLE = 11; // px on the screen, the least that letters of a picture have
const SVG = "http://www.w3.org/2000/svg";

// The shape of an item. One drawn before is made into it where it can be: the browser lays out only what changed.
function drawItem(item, clip, before = null) {
  const tag = item.kind === "text" ? "text" : item.kind === "marker" ? "circle" : item.fill ? "polygon" : "polyline";
  const shape = before?.localName === tag ? before : document.createElementNS(SVG, tag);
  const looks = item.kind === "text" ? {
    x: item.x, y: item.y, fill: item.color, "font-size": item.size, "text-anchor": item.anchor,
    stroke: "white", "stroke-width": 3, "paint-order": "stroke", "font-family": "DejaVu Sans, sans-serif",
  } : item.kind === "marker" ? {
    cx: item.x, cy: item.y, r: item.size, fill: item.color, stroke: "white", "stroke-width": 1.5,
  } : {
    points: item.points, fill: item.fill || "none", stroke: item.color, "stroke-width": item.width, "stroke-linejoin": "round",
    "clip-path": `url(#${clip}-${item.axes})`, "stroke-dasharray": item.dash || null, class: item.sample ? "crank-sample" : null,
  };
  for (const [key, value] of Object.entries(looks)) {
    if (value === null) shape.removeAttribute(key);
    else if (shape.getAttribute(key) !== String(value)) shape.setAttribute(key, value);
  }
  if (item.kind === "text" && shape.textContent !== item.text) shape.textContent = item.text;
  return item.grips ? gripped(shape, item) : shape;
}

// Puts children in place of those there, touching only the ones that are others.
function replaceChanged(group, children) {
  children.forEach((child, place) => {
    const now = group.childNodes[place];
    if (now !== child) { if (now) now.replaceWith(child); else group.append(child); }
  });
  while (group.childNodes.length > children.length) group.lastChild.remove();
}

// A marker to be dragged: a ring about it, and around both room for a finger.
function gripped(dot, item) {
  const group = document.createElementNS(SVG, "g"), ways = new Set(item.grips.map(([, along]) => along));
  const circle = (radius, looks) => {
    const round = document.createElementNS(SVG, "circle");
    for (const [key, value] of Object.entries({ cx: item.x, cy: item.y, r: radius, fill: "none", ...looks })) round.setAttribute(key, value);
    return round;
  };
  const hand = circle(Math.max(22, 2 * item.size), { class: "crank-grip", "data-grip": item.grip });
  hand.style.cursor = ways.size > 1 ? "move" : ways.has("x") ? "ew-resize" : "ns-resize";
  group.append(circle(item.size + 5, { stroke: item.color, "stroke-width": 2, "stroke-dasharray": "3 3" }), dot, hand);
  return group;
}

function numbers(view, Kind) {
  return new Kind(view.buffer.slice(view.byteOffset, view.byteOffset + view.byteLength));
}

// Fills the triangles of a shading into pixels (one 32-bit color each), inside a box; down repeats it below its mirror line,
// a lens enlarges it into a box of its own.
function shade(pixels, width, sharp, box, item, colors, down, { scale: [wide, high], shift: [right, under] } = { scale: [1, 1], shift: [0, 0] }) {
  const points = numbers(item.points, Float32Array), value = numbers(item.value, Float32Array);
  const triangles = numbers(item.triangles, Uint16Array);
  const least = { x: Math.ceil(box.x * sharp), y: Math.ceil(box.y * sharp) };
  const most = { x: Math.floor((box.x + box.width) * sharp) - 1, y: Math.floor((box.y + box.height) * sharp) - 1 };
  const side = (down ? -1 : 1) * high, shift = (down ? 2 * item.mirror : 0) + under;
  for (let p = 0; p < points.length; p += 2) { points[p] = (points[p] * wide + right) * sharp; points[p + 1] = (shift + side * points[p + 1]) * sharp; }
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [triangles[t], triangles[t + 1], triangles[t + 2]];
    const ax = points[2 * a], ay = points[2 * a + 1];
    const bx = points[2 * b], by = points[2 * b + 1];
    const cx = points[2 * c], cy = points[2 * c + 1];
    const area = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay);
    if (!area) continue;
    const left = Math.max(least.x, Math.floor(Math.min(ax, bx, cx))), right = Math.min(most.x, Math.ceil(Math.max(ax, bx, cx)));
    const top = Math.max(least.y, Math.floor(Math.min(ay, by, cy))), bottom = Math.min(most.y, Math.ceil(Math.max(ay, by, cy)));
    for (let y = top; y <= bottom; y++) {
      for (let x = left; x <= right; x++) {
        const px = x + 0.5, py = y + 0.5;
        const u = ((bx - px) * (cy - py) - (cx - px) * (by - py)) / area;
        const v = ((cx - px) * (ay - py) - (ax - px) * (cy - py)) / area;
        const w = 1 - u - v;
        if (u < -1e-3 || v < -1e-3 || w < -1e-3) continue;
        const here = u * value[a] + v * value[b] + w * value[c];
        if (item.fringe) {
          const light = Math.round(255 * Math.sin(Math.PI * here / item.fringe) ** 2);
          pixels[y * width + x] = 0xff000000 | (light << 16) | (light << 8) | light;
        } else {
          pixels[y * width + x] = colors[Math.max(0, Math.min(255, Math.round(255 * (here - item.low) / (item.high - item.low))))];
        }
      }
    }
  }
}

// Writes a text in pieces, so that no line ends between a number and the word after it; what stands there already stays.
function say(element, text) {
  if (element.textContent === text) return;
  element.replaceChildren(...text.split(/([^\s\d]*\d\S* \S+)/).map((part, n) => (n % 2 ? make("span", { className: "crank-whole", textContent: part }) : part)));
}

function render({ model, el }) {
  speak(model);
  const root = make("div", { className: "crank-panel" });
  const controls = make("div", { className: "crank-controls" });
  const buttons = make("div", { className: "crank-buttons" });
  const headline = make("p", { className: "crank-headline" }), verdict = make("p", { className: "crank-verdict" });
  const lines = make("ul", { className: "crank-lines" });
  headline.dataset.now = _("Now: ");
  const readout = make("div", { className: "crank-readout" }, headline, verdict, lines);
  readout.setAttribute("role", "status");
  const problem = make("p", { className: "crank-problem" });
  problem.setAttribute("role", "alert");
  const picture = make("div", { className: "crank-picture" });
  const background = make("img");
  const canvas = make("canvas");
  canvas.setAttribute("aria-hidden", "true");
  const overlay = document.createElementNS(SVG, "svg");
  overlay.setAttribute("aria-hidden", "true");
  const clips = document.createElementNS(SVG, "defs");
  const held = document.createElementNS(SVG, "g"), moving = document.createElementNS(SVG, "g"), inSpace = document.createElementNS(SVG, "g");
  const clip = `crank-clip-${Math.random().toString(36).slice(2)}`;
  held.setAttribute("opacity", "0.6");
  overlay.append(clips, held, moving, inSpace);
  const space = spaceView(picture, inSpace);
  const cover = make("p", { className: "crank-cover", textContent: _("Vote first. S shows the picture."), hidden: true });
  picture.append(background, canvas, space.holder, overlay, cover);
  const heldText = make("p", { className: "crank-held" });
  const sideways = make("button", { type: "button", className: "crank-sideways", hidden: true });
  const body = make("div", { className: "crank-body" }, picture, sideways);
  root.append(controls, buttons, problem, readout, heldText, body);
  el.append(make("div", { className: "crank-room" }, root));
  // a picture wider than its window: also by a button, since a finger on a view in space turns it
  const atEnd = () => picture.scrollLeft + picture.clientWidth >= picture.scrollWidth - 2;
  const pushed = () => {
    sideways.hidden = picture.scrollWidth <= picture.clientWidth + 2;
    sideways.textContent = atEnd() ? _("Show the left part") : _("Show the right part");
  };
  sideways.addEventListener("click", () => picture.scrollBy({ left: atEnd() ? -picture.scrollWidth : 0.9 * picture.clientWidth, behavior: wantsStill() ? "auto" : "smooth" }));
  picture.addEventListener("scroll", pushed);
  new ResizeObserver(pushed).observe(picture);

  const send = sender(model, (words) => { waiting = false; queue.length = 0; clearTimeout(ask.timer); problem.textContent = words; }, ({ trouble }) => {
    if (trouble) { answered(); problem.textContent = troubleWords(trouble); }
  });
  const queue = [], sent = []; // messages to be sent, and what is told when a sent one is answered
  let waiting = false, fields = {}, shownShading = null, heldShading = null, coverKey = null, letGo = null, voteAgain = null, chosen = -1;
  let moved = null, ready = new Map(), wanted = null; // the slider last moved, its steps fetched ahead, the one under way
  let playing = null; // the slider that moves by itself, and where it is between two of its steps
  let eased = false; // the next picture is one that was chosen, not one that a knob in hand leads to
  const tones = make("button", { type: "button", hidden: true }), sound = tone(tones);
  const ease = easing((items) => {
    const flat = items.map((item, grip) => ({ ...item, grip })).filter(({ kind }) => ["line", "marker", "text"].includes(kind));
    replaceChanged(moving, flat.map((item, place) => drawItem(item, clip, moving.childNodes[place])));
    const shading = items.find(({ kind }) => kind === "shading") || null;
    if (shading || shownShading) { shownShading = shading; paint(); }
  });
  const turnTo = (name, value) => {
    const { slider } = fields[name], control = model.get("spec").controls.find((one) => one.name === name), before = slider.value;
    stop();
    slider.value = value;
    if (slider.value !== before) move(control, slider);
    space.soon();
  };
  dragging(picture, overlay, model, (grip) => model.get("frame").items[grip], (name) => fields[name].slider.focus({ preventScroll: true }), turnTo);
  function ask(message) {
    eased = message.type === "preset" || message.type === "reset";
    if (message.type !== "set") { forget(); stop(); }
    if (message.type !== "units") coverPicture(false); // whoever moves a knob or chooses wants to see
    const last = queue.at(-1)?.message;
    if (message.type === "set" && last?.type === "set") { Object.assign(last.values, message.values); return null; }
    return new Promise((done) => { queue.push({ message, done }); if (!waiting) sendNext(); });
  }
  function sendNext() {
    if (!queue.length) return false;
    const { message, done } = queue.shift();
    if (!send(message)) return false;
    sent.push(done);
    waiting = true;
    clearTimeout(ask.timer);
    ask.timer = setTimeout(() => { // what is shown no longer belongs to the knobs
      waiting = false; problem.textContent = silent();
      sendNext();
    }, PATIENCE);
    return true;
  }
  function answered() {
    waiting = false;
    clearTimeout(ask.timer);
    sent.shift()?.();
    if (!sendNext()) fetchAhead();
  }
  function forget() { moved = null; ready.clear(); wanted = null; }
  function move(control, slider) {
    const value = Number(slider.value);
    if (!moved || moved.control !== control) { forget(); moved = { control, value, way: 1 }; }
    if (value !== moved.value) moved.way = Math.sign(value - moved.value);
    moved.value = value;
    const known = ready.get(value.toPrecision(9));
    if (known) draw(known);
    else space.soon();
    ask({ type: "set", values: { [control.name]: value } });
  }
  // A slider that moves by itself, from its high end on at its low end again. A view in space follows between its steps;
  // the rest follows as the kernel answers. Where the reader wants no motion it goes on by a twelfth, twice a second.
  function play(control) {
    if (playing) { stop(); return; }
    const { slider, button } = fields[control.name], wide = control.high - control.low, still = wantsStill();
    playing = { control, at: Number(slider.value), then: performance.now() };
    named(button, _("Stop"), control);
    const onward = (now) => {
      if (!playing || playing.control !== control || !root.isConnected) return;
      const passed = now - playing.then;
      if (!still || passed > 500) {
        playing.at += still ? wide / 12 : (control.plays * Math.min(passed, 200)) / 1000;
        if (playing.at > control.high) playing.at -= wide;
        playing.then = now;
        const before = slider.value;
        slider.value = playing.at;
        if (slider.value !== before) move(control, slider);
        space.soon();
      }
      requestAnimationFrame(onward);
    };
    requestAnimationFrame(onward);
  }
  function named(button, word, control) {
    button.textContent = word;
    button.setAttribute("aria-label", `${word}: ${control.label}`);
  }
  function stop() {
    if (!playing) return;
    const { control } = playing;
    playing = null;
    if (fields[control.name]?.button) named(fields[control.name].button, _("Play"), control);
    space.soon();
  }
  function shareOf({ driver, over: [low, high] }) { // of the driving slider's way
    const field = fields[driver];
    if (!field || !field.slider) return 0;
    return ((playing && playing.control.name === driver ? playing.at : Number(field.slider.value)) - low) / (high - low);
  }
  function fetchAhead() {
    if (!moved || wanted || document.hidden) return;
    const { control, value, way } = moved;
    if (ready.size > 200) ready.clear();
    for (const steps of AHEAD) {
      const place = Math.round((value - control.low) / control.step) + way * steps;
      const there = Number((control.low + place * control.step).toPrecision(9)), key = there.toPrecision(9);
      if (there < control.low || there > control.high || ready.has(key)) continue;
      wanted = key;
      send({ type: "ahead", key, values: { [control.name]: there } });
      return;
    }
  }
  function arrived() {
    const page = model.get("ahead");
    if (page.key !== wanted) return; // asked before something else changed
    wanted = null;
    ready.set(page.key, page.items ? page : null);
    if (!waiting) fetchAhead();
  }

  function build() {
    const spec = model.get("spec");
    root.classList.toggle("crank-projector", spec.projector);
    root.classList.toggle("crank-stage", spec.stage);
    stop(); controls.replaceChildren(); buttons.replaceChildren(); fields = {}; forget();
    for (const control of spec.controls) {
      const id = `crank-${spec.id}-${Math.random().toString(36).slice(2)}`;
      const label = make("label", { textContent: control.label });
      label.htmlFor = id;
      if (control.options) {
        const list = make("select", { id }, ...control.options.map((word, place) => make("option", { textContent: control.said[place], value: word })));
        select(list, control.value);
        list.addEventListener("change", () => { forget(); ask({ type: "set", values: { [control.name]: list.value } }); if (spec.stage) root.focus({ preventScroll: true }); });
        fields[control.name] = { list };
        controls.append(make("div", { className: "crank-control" }, label, list));
        continue;
      }
      const slider = make("input", { type: "range", id, min: control.low, max: control.high, step: control.step, value: control.value });
      const typed = make("input", { type: "text", value: control.text });
      slider.setAttribute("aria-valuetext", control.text);
      typed.setAttribute("aria-label", control.label + ", " + _("type a value"));
      slider.addEventListener("input", () => { stop(); move(control, slider); });
      const { show } = typing(typed, {
        act: (text) => ask({ type: "type", name: control.name, text }),
        told({ problem }) { if (problem) typed.setAttribute("aria-invalid", "true"); else typed.removeAttribute("aria-invalid"); },
      });
      fields[control.name] = { slider, show };
      controls.append(make("div", { className: "crank-control" }, label, slider, typed));
    }
    const add = (text, message) => {
      const button = make("button", { type: "button", textContent: text });
      button.addEventListener("click", () => (message.type === "preset" ? choose(spec.presets.indexOf(message.name)) : ask(message)));
      buttons.append(button);
      return button;
    };
    spec.presets.forEach((preset, place) => {
      const key = spec.stage && place < 9 ? `${place + 1}` : "";
      const button = add(key ? `${key}: ${preset}` : preset, { type: "preset", name: preset });
      if (key) button.setAttribute("aria-keyshortcuts", key);
    });
    for (const control of spec.controls.filter(({ plays }) => plays)) {
      const button = make("button", { type: "button" });
      named(button, _("Play"), control);
      button.addEventListener("click", () => play(control));
      fields[control.name].button = button;
      buttons.prepend(button);
    }
    add(_("Reset"), { type: "reset" });
    const hold = add((spec.stage ? "H: " : "") + _("Hold this"), { type: "hold" });
    hold.title = _("Keeps the present picture in gray, to compare with the next");
    letGo = add(_("Let go"), { type: "release" });
    letGo.title = _("Takes the held picture away");
    if (spec.stage) hold.setAttribute("aria-keyshortcuts", "h");
    if (spec.stage && spec.vote.length) {
      coverKey = make("button", { type: "button" });
      coverKey.setAttribute("aria-keyshortcuts", "s");
      coverKey.addEventListener("click", () => coverPicture(cover.hidden));
      buttons.append(coverKey);
      coverPicture(!cover.hidden);
    }
    letGo.hidden = !model.get("held").text;
    buttons.append(tones);
    add(spec.units === "mm" ? _("Show inches") : _("Show millimeters"), { type: "units" });
    if (spec.stage) return;
    add(spec.projector ? _("Desk size") : _("Projector size"), { type: "projector" }).title = _("Letters for the back row. On a small screen knobs and picture may not fit at once; crankmath stage keeps both in sight.");
  }
  // The whole of an entry that the column cuts short stands in its title.
  function select(list, value) {
    list.value = value;
    list.title = list.selectedOptions[0]?.textContent ?? "";
  }
  // A class votes before it sees: picture and finding are covered until someone shows them, moves a knob or chooses.
  function coverPicture(covered) {
    if (!coverKey) return;
    cover.hidden = !covered;
    root.classList.toggle("crank-covered", covered);
    coverKey.textContent = "S: " + (covered ? _("Show picture") : _("Cover picture"));
  }
  // Keys of a stage: digits choose presets, H holds, S shows or covers; PageDown and the arrows, as presenter remotes
  // send them, show the picture and then go through the presets. They act while the focus is in this panel or nowhere.
  // A field for numbers keeps its digits and up and down, a list keeps letters, a slider its arrows.
  function pressed(event) {
    const spec = model.get("spec"), at = event.target, key = event.key.toLowerCase();
    if (!root.isConnected) { document.removeEventListener("keydown", pressed); return; }
    const nowhere = at === document.body || at === document.documentElement;
    if (!spec.stage || event.ctrlKey || event.metaKey || event.altKey || !(nowhere || root.contains(at))) return;
    const votes = at.matches("input[type=number]"), slider = at.matches("input[type=range]");
    if (at.matches("select, input") && !votes && !slider) return;
    if (votes && (key === "enter" || key === "escape")) root.focus({ preventScroll: true });
    else if (/^[1-9]$/.test(key) && !votes && spec.presets[Number(key) - 1] !== undefined) choose(Number(key) - 1);
    else if (key === "h") ask({ type: "hold" });
    else if (key === "s") coverPicture(cover.hidden);
    else if (key === "v" && voteAgain) voteAgain();
    else if (key === "pagedown" || (key === "arrowright" && !votes && !slider)) onward(1);
    else if (key === "pageup" || (key === "arrowleft" && !votes && !slider)) onward(-1);
    else return;
    event.preventDefault();
  }
  function choose(place) { chosen = place; ask({ type: "preset", name: model.get("spec").presets[place] }); }
  function onward(way) {
    if (!cover.hidden) { coverPicture(false); return; }
    const place = chosen + way;
    if (place >= 0 && place < model.get("spec").presets.length) choose(place);
  }
  // A show of hands: counted on this page alone, in percent; a second vote stands beside the first.
  function hands([question, answers]) {
    const box = make("fieldset", { className: "crank-hands" }, make("legend", { textContent: question }));
    let first = null; // shares of the first vote, once there is a second
    const bar = (more) => { const one = make("span", { className: `crank-bar ${more}` }); one.setAttribute("aria-hidden", "true"); return one; };
    const rows = answers.map((answer) => {
      const count = make("input", { type: "number", min: 0, max: 999, step: 1, placeholder: "0" });
      const row = { count, part: make("span", { className: "crank-part" }), before: bar("crank-first"), now: bar("") };
      box.append(make("label", {}, make("span", { textContent: answer }), count, row.part, row.before, row.now));
      count.addEventListener("input", share);
      return row;
    });
    const shares = () => {
      const votes = rows.map(({ count }) => Math.max(0, Math.floor(Number(count.value)) || 0)), all = votes.reduce((a, b) => a + b, 0);
      return all ? votes.map((one) => (100 * one) / all) : null;
    };
    function share() {
      const now = shares();
      box.classList.toggle("crank-uncounted", !now && !first);
      rows.forEach((row, place) => {
        row.now.style.width = `${now ? now[place] : 0}%`;
        row.before.style.width = `${first ? first[place] : 0}%`;
        row.before.hidden = !first;
        const said = (word, many) => (many ? `${word} ${Math.round(many[place])} %`.trim() : "");
        row.part.textContent = first ? [said(_("before"), first), said(_("now"), now)].filter(Boolean).join(", ") : said("", now);
      });
    }
    voteAgain = () => {
      first = shares() || first;
      rows.forEach(({ count }) => { count.value = ""; });
      share();
      coverPicture(true);
    };
    const again = make("button", { type: "button", textContent: "V: " + _("Vote again") });
    again.setAttribute("aria-keyshortcuts", "v");
    again.addEventListener("click", voteAgain);
    box.append(again);
    share();
    return box;
  }
  // What is held arrives as items of its own, drawn by the kernel to the scale of the picture beside it.
  function drawHeld() {
    const { items = [], text = "" } = model.get("held");
    const shapes = items.filter(({ kind, color }) => (kind === "line" && color !== "white") || kind === "marker");
    held.replaceChildren(...shapes.map((item) => drawItem({ ...item, color: "#555", fill: item.fill && "none" }, clip)));
    heldShading = items.find((item) => item.kind === "shading") || null;
    heldText.replaceChildren(...(text ? [make("b", { textContent: (heldShading ? _("Before, lower half") : _("Before, in gray")) + ": " }), text, items.some(({ kind }) => kind === "space") ? " " + _("(The view in space shows only now.)") : ""] : []));
    root.classList.toggle("crank-holding", Boolean(text));
    if (letGo) letGo.hidden = !text;
    paint();
  }
  function paint() {
    canvas.hidden = !shownShading;
    if (!shownShading) return;
    const { width, height, inside } = model.get("background"), sharp = Math.min(2, window.devicePixelRatio || 1);
    canvas.width = Math.round(width * sharp); canvas.height = Math.round(height * sharp);
    const context = canvas.getContext("2d"), image = context.createImageData(canvas.width, canvas.height);
    const pixels = new Uint32Array(image.data.buffer), rgb = numbers(model.get("spec").shades, Uint8Array);
    const colors = Uint32Array.from({ length: 256 }, (none, i) => 0xff000000 | (rgb[3 * i + 2] << 16) | (rgb[3 * i + 1] << 8) | rgb[3 * i]);
    const box = inside[shownShading.axes];
    shade(pixels, canvas.width, sharp, box, shownShading, colors, false);
    shade(pixels, canvas.width, sharp, box, heldShading || shownShading, colors, true);
    if (shownShading.lens) shade(pixels, canvas.width, sharp, inside[shownShading.lens.axes], shownShading, colors, false, shownShading.lens);
    context.putImageData(image, 0, 0);
  }
  function draw(frame) {
    ease(frame.items, eased);
    eased = false;
    sound.show(frame.items.find(({ kind }) => kind === "tone"));
    say(headline, frame.finding.headline);
    say(verdict, frame.finding.verdict);
    frame.finding.lines.forEach((words, place) => say(lines.children[place] || lines.appendChild(make("li")), words));
    while (lines.children.length > frame.finding.lines.length) lines.lastChild.remove();
    problem.textContent = frame.problem;
    root.classList.toggle("crank-stale", Boolean(frame.stale)); // the picture is of other values than the knobs show
    background.alt = frame.alt;
    for (const [name, field] of Object.entries(fields)) {
      const now = frame.values[name];
      if (!now) continue;
      if (field.list) { select(field.list, now.value); continue; }
      if (playing && playing.control.name === name) continue;
      if (document.activeElement !== field.slider || frame.settled) field.slider.value = now.value;
      field.slider.setAttribute("aria-valuetext", now.text);
      field.show(frame.typed === name ? { text: null, problem: true } : now); // what was refused stays to be mended
    }
    space.show(frame.items.find(({ kind }) => kind === "space") || null, model.get("background"), lettersNow(), shareOf);
    root.dispatchEvent(new CustomEvent("crank-drawn", { bubbles: true, detail: frame.count }));
  }
  function lettersNow() { return model.get("spec").letters; }
  function paper() {
    const { address, width, height, inside } = model.get("background");
    background.src = address;
    background.width = width; background.height = height;
    root.style.setProperty("--crank-ratio", width / height);
    root.style.setProperty("--crank-least", `${Math.ceil((width * READABLE) / lettersNow())}px`);
    overlay.setAttribute("viewBox", `0 0 ${width} ${height}`);
    clips.replaceChildren(...inside.map((box, number) => {
      const path = document.createElementNS(SVG, "clipPath"), window_ = document.createElementNS(SVG, "rect");
      path.id = `${clip}-${number}`;
      for (const [key, value] of Object.entries(box)) window_.setAttribute(key, value);
      path.append(window_);
      return path;
    }));
    drawHeld();
  }
  model.on("change:spec", build);
  model.on("change:background", paper);
  model.on("change:held", drawHeld);
  model.on("change:frame", () => {
    // an answer that is older than the picture drawn from a step fetched ahead is not shown
    if (!(queue.length && moved && ready.get(moved.value.toPrecision(9)))) draw(model.get("frame"));
    answered();
  });
  model.on("change:ahead", arrived);
  build(); paper(); draw(model.get("frame"));
  const spec = model.get("spec");
  if (spec.stage) {
    if (spec.vote.length) { root.append(hands(spec.vote)); coverPicture(true); }
    root.tabIndex = -1; // a click anywhere in the panel gives it the keys
    document.addEventListener("keydown", pressed);
    const seen = new IntersectionObserver((places) => { // once it is on the screen the keys are its own, unless something else has them
      if (!places.some((place) => place.isIntersecting)) return;
      seen.disconnect();
      // after a run the notebook has the keys, in a cell; they are not taken where something is typed
      const has = document.activeElement, ran = has?.closest(".jp-Notebook")?.contains(root) && !has.closest(".cm-editor")?.innerText.trim();
      if (has === document.body || ran) root.focus({ preventScroll: true });
    });
    seen.observe(root);
  }
  return sound.stop;
}
export default { render };
