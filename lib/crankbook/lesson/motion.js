// What moves by itself or by hand: presets that ease, things in the picture that are dragged, a tone.
const EASE = 300; // ms
const wantsStill = () => matchMedia("(prefers-reduced-motion: reduce)").matches;

// An item on the way to the next: numbers and rows of numbers of equal length move, everything else is the next one's.
function between(from, to, share) {
  const mix = (a, b) => a + (b - a) * share;
  if (typeof from === "number" && typeof to === "number") return mix(from, to);
  if (Array.isArray(from) && Array.isArray(to) && from.length === to.length) return to.map((value, n) => between(from[n], value, share));
  if (ArrayBuffer.isView(to) || typeof from !== "object" || typeof to !== "object" || !from || !to) return to;
  const moved = { ...to };
  for (const key of Object.keys(to)) moved[key] = between(from[key], to[key], share);
  if (typeof to.points === "string") {
    const [a, b] = [from.points, to.points].map((text) => String(text).split(/[ ,]/).map(Number));
    if (a.length === b.length) moved.points = b.map((value, n) => mix(a[n], value)).join(" ");
  } else if (to.kind === "shading" && from.points.byteLength === to.points.byteLength) {
    for (const key of ["points", "value"]) {
      const [a, b] = [numbers(from[key], Float32Array), numbers(to[key], Float32Array)];
      moved[key] = b.map((value, n) => mix(a[n], value));
    }
  }
  return moved;
}
// Draws items on their way from others; ``paint`` gets the last ones exactly as they are.
function easing(paint) {
  let under = 0, shown = [];
  return (items, eased) => {
    const from = shown, mine = ++under, begun = performance.now();
    const alike = from.length === items.length && items.every(({ kind, axes }, n) => from[n].kind === kind && from[n].axes === axes);
    const onward = (now) => {
      if (mine !== under) return;
      const share = Math.min(1, Math.max(0, now - begun) / EASE);
      shown = share < 1 ? items.map((item, n) => between(from[n], item, share * share * (3 - 2 * share))) : items;
      paint(shown);
      if (share < 1) requestAnimationFrame(onward);
    };
    if (eased && alike && !document.hidden && !wantsStill()) onward(begun);
    else paint(shown = items);
  };
}
// A marker with grips is dragged by mouse, pen or finger. The sliders it moves are its twins for the keys and get the focus.
// A grip is a straight line through where its marker stands: where the picture curves, each new frame brings it closer to the hand.
function dragging(picture, overlay, model, gripOf, take, turn) {
  let held = null, hand = null, tries = 0;
  picture.addEventListener("pointerdown", (event) => {
    held = event.target.dataset.grip ?? null;
    hand = null;
    if (held === null) return;
    event.preventDefault();
    picture.setPointerCapture(event.pointerId);
    take(gripOf(held).grips[0][0]);
  });
  // the focus stays, and a finger on a marker does not scroll: browsers do not all ask the touch-action of shapes
  for (const kind of ["mousedown", "touchstart"]) {
    picture.addEventListener(kind, (event) => { if (event.target.dataset.grip !== undefined) event.preventDefault(); }, { passive: false });
  }
  const follow = () => {
    const item = held === null || hand === null ? null : gripOf(held);
    if (!item?.grips) return;
    const { width, height, inside, scales } = model.get("background"), seen = overlay.getBoundingClientRect(), box = inside[item.axes];
    const share = { x: (((hand.clientX - seen.left) * width) / seen.width - box.x) / box.width, y: 1 - (((hand.clientY - seen.top) * height) / seen.height - box.y) / box.height };
    for (const [name, along, factor, offset] of item.grips) {
      const [low, high, log] = scales[item.axes][along];
      turn(name, offset + factor * (log ? low * (high / low) ** share[along] : low + (high - low) * share[along]));
    }
  };
  picture.addEventListener("pointermove", (event) => { hand = event; tries = 12; follow(); });
  model.on("change:frame", () => { if (tries-- > 0) follow(); });
  for (const kind of ["pointerup", "pointercancel", "lostpointercapture"]) picture.addEventListener(kind, () => { held = null; });
}
// The tone of a picture, silent until its button is pressed: the computed frequency, or nothing where the picture has none.
function tone(button) {
  let context = null, voice = null, volume = null, hertz = 0;
  const say = () => {
    const words = voice ? (hertz ? _("Stop the tone, {hertz} Hz") : _("Stop the tone: quiet")) : hertz ? _("Play the tone, {hertz} Hz") : _("Play the tone: quiet");
    button.textContent = put(words, { hertz: Math.round(hertz) });
    button.setAttribute("aria-pressed", String(Boolean(voice)));
  };
  function sound() {
    if (!voice) return;
    if (hertz) voice.frequency.setTargetAtTime(hertz, context.currentTime, 0.03);
    volume.gain.setTargetAtTime(hertz ? 0.08 : 0, context.currentTime, 0.03);
  }
  function stop() {
    if (!voice) return;
    voice.stop(); context.close();
    voice = null;
    say();
  }
  button.addEventListener("click", () => {
    if (voice) { stop(); return; }
    context = new AudioContext(); // a press of the reader's own: no browser holds it back
    voice = new OscillatorNode(context, { type: "triangle", frequency: hertz || 200 });
    volume = new GainNode(context, { gain: 0 });
    voice.connect(volume).connect(context.destination);
    voice.start(); sound(); say();
  });
  document.addEventListener("visibilitychange", stop);
  return {
    stop,
    show(item) {
      button.hidden = !item || !window.AudioContext;
      hertz = item ? item.hertz : 0;
      say(); sound();
    },
  };
}
