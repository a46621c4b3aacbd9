// A view in space on a canvas of its own: convex prisms shaded flat into pixels, the nearest face wins; lines, words.
// The reader turns it by mouse, finger or arrow keys; how it is turned stays in this page and asks no kernel.
const TURNED = 5, STEEPEST = 80; // degrees a key turns, most up or down
const FINE = 2, MOST_PIXELS = 1.6e6, REST = 120, COSTLY = 4, BEHIND = 2.4; // pixels a unit of the picture at rest, most of them, ms until it rests and ms of a slow drawing; depth that an edge may lie behind its face
const SHARP_EDGE = Math.cos(0.45), LIGHT = ((l) => l.map((part) => part / Math.hypot(...l)))([0.3, 0.6, 0.74]);

// Rows right, up and toward the eye of a view turned around the upright and up [deg].
function sight([around, up]) {
  const [a, e] = [around, up].map((angle) => (angle * Math.PI) / 180), [ca, sa, ce, se] = [Math.cos(a), Math.sin(a), Math.cos(e), Math.sin(e)];
  return [[ca, 0, sa], [sa * se, ce, -ca * se], [-sa * ce, se, ca * ce]];
}
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
function fitted({ holds, middle }, turned, width, height) {
  const rows = sight(turned);
  let wide = 0, high = 0;
  for (let n = 0; n < holds.length; n += 3) {
    const from = [holds[n] - middle[0], holds[n + 1] - middle[1], holds[n + 2] - middle[2]];
    wide = Math.max(wide, Math.abs(dot(rows[0], from))); high = Math.max(high, Math.abs(dot(rows[1], from)));
  }
  return Math.min(width / wide, height / high) / 2;
}
function rgb(color) {
  const whole = parseInt(color.slice(1), 16);
  return [whole >> 16, (whole >> 8) & 255, whole & 255];
}
// A body's turn about x, then its shift along y and z, at a share of the driving slider's way.
function moveAt(moves, share) {
  if (!moves.length) return [0, 0, 0];
  const last = moves.length / 3 - 1, place = Math.max(0, Math.min(1, share)) * last, low = Math.min(Math.floor(place), last - 1), part = place - low;
  return [0, 1, 2].map((n) => moves[3 * low + n] * (1 - part) + moves[3 * low + 3 + n] * part);
}

class DepthPixels {
  constructor(context, width, height) {
    this.image = context.createImageData(width, height);
    this.pixels = new Uint32Array(this.image.data.buffer);
    this.depth = new Float32Array(width * height);
    this.width = width; this.height = height;
    this.left = new Float32Array(height); this.right = new Float32Array(height);
  }
  clear() { this.pixels.fill(0); this.depth.fill(-1e9); }
  paint(k, color, share) { // called for each pixel: no array is taken apart and none is made
    const under = this.pixels[k], alpha = under >>> 24, rest = 1 - share, whole = share >= 1 || !alpha;
    const red = whole ? color[0] : Math.round(color[0] * share + (under & 255) * rest);
    const green = whole ? color[1] : Math.round(color[1] * share + ((under >>> 8) & 255) * rest);
    const blue = whole ? color[2] : Math.round(color[2] * share + ((under >>> 16) & 255) * rest);
    const cover = share >= 1 ? 255 : Math.max(alpha, Math.round(255 * (share + rest * alpha / 255)));
    this.pixels[k] = ((cover << 24) | (blue << 16) | (green << 8) | red) >>> 0;
  }
  // fills a convex face: flat list of right, down, toward the eye; its normal likewise
  face(points, normal, color, opacity) {
    const count = points.length / 3, { left, right, width, depth, pixels } = this;
    let top = Infinity, low = -Infinity;
    for (let n = 1; n < points.length; n += 3) { top = Math.min(top, points[n]); low = Math.max(low, points[n]); }
    const first = Math.max(0, Math.ceil(top - 0.5)), last = Math.min(this.height - 1, Math.floor(low - 0.5));
    if (last < first) return;
    left.fill(Infinity, first, last + 1); right.fill(-Infinity, first, last + 1);
    for (let n = 0; n < count; n++) {
      const m = n + 1 < count ? n + 1 : 0;
      let x0 = points[3 * n], y0 = points[3 * n + 1], x1 = points[3 * m], y1 = points[3 * m + 1];
      if (y0 === y1) continue;
      if (y0 > y1) [x0, y0, x1, y1] = [x1, y1, x0, y0];
      const slope = (x1 - x0) / (y1 - y0), from = Math.max(first, Math.ceil(y0 - 0.5)), to = Math.min(last, Math.floor(y1 - 0.5));
      for (let y = from; y <= to; y++) {
        const x = x0 + (y + 0.5 - y0) * slope;
        if (x < left[y]) left[y] = x;
        if (x > right[y]) right[y] = x;
      }
    }
    const across = -normal[0] / normal[2], down = -normal[1] / normal[2];
    const solid = opacity === 1 ? ((255 << 24) | (color[2] << 16) | (color[1] << 8) | color[0]) >>> 0 : 0, slack = opacity === 1 ? 0 : BEHIND;
    for (let y = first; y <= last; y++) {
      const from = Math.max(0, Math.ceil(left[y] - 0.5)), to = Math.min(width - 1, Math.floor(right[y] - 0.5));
      let z = points[2] + across * (from + 0.5 - points[0]) + down * (y + 0.5 - points[1]);
      for (let k = y * width + from, end = y * width + to; k <= end; k++, z += across) {
        if (z <= depth[k] + slack) continue;
        if (solid) { depth[k] = z; pixels[k] = solid; } else this.paint(k, color, opacity);
      }
    }
  }
  // draws a line where nothing lies before it; hidden is how dark it is elsewhere
  line(points, color, size, hidden = 0, dash = []) {
    const period = dash.reduce((a, b) => a + b, 0), { width, height } = this;
    let run = 0;
    for (let n = 0; n + 5 < points.length; n += 3) {
      const [x0, y0, z0, x1, y1, z1] = points.slice(n, n + 6), count = Math.floor(Math.max(Math.abs(x1 - x0), Math.abs(y1 - y0))) + 1, length = Math.hypot(x1 - x0, y1 - y0);
      for (let i = 0; i <= count; i++) {
        const share = i / count, along = run + share * length, x = Math.floor(x0 + share * (x1 - x0)), y = Math.floor(y0 + share * (y1 - y0));
        if (x < 0 || y < 0 || x >= width - size || y >= height - size || (period && along % period >= dash[0])) continue;
        const dark = z0 + share * (z1 - z0) + BEHIND >= this.depth[y * width + x] ? 1 : along % 14 < 8 ? hidden : 0;
        if (!dark) continue;
        const square = dark < 1 ? 1 : size; // painted over itself a faint line would not stay faint
        for (let right = 0; right < square; right++) for (let below = 0; below < square; below++) this.paint((y + below) * width + x + right, color, dark);
      }
      run += length;
    }
  }
}

// One prism of a body: its faces toward the eye and the edges that show. seen takes x, y, z to right, down, toward the eye.
function drawPrism(pixels, body, [low, high, count, shown], ring, move, rows, seen, size) {
  const [turn, dy, dz] = move, c = Math.cos(turn), s = Math.sin(turn);
  const place = (x, y, z) => { if (body.upright) [x, y, z] = [z, x, y]; return [x, y * c - z * s, y * s + z * c]; };
  const at = (x, n) => { const [u, v, w] = place(x, ring[2 * n], ring[2 * n + 1]); return seen(u, v + dy, w + dz); };
  const toEye = (x, y, z) => { const normal = place(x, y, z), [right, up, toward] = rows.map((row) => dot(row, normal)); return [right, -up, toward]; };
  const ends = [low, high].map((x) => { const flat = []; for (let n = 0; n < count; n++) flat.push(...at(x, n)); return flat; });
  const fill = (points, normal) => {
    if (normal[2] <= 1e-6) return;
    const bright = 0.45 + 0.6 * Math.max(0, normal[0] * LIGHT[0] - normal[1] * LIGHT[1] + normal[2] * LIGHT[2]);
    pixels.face(points, normal, body.rgb.map((part) => Math.min(255, Math.round(part * bright))), body.opacity);
  };
  fill(ends[0], toEye(-1, 0, 0)); fill(ends[1], toEye(1, 0, 0));
  const edges = [];
  let before = null, first = null;
  for (let n = 0; n <= count; n++) {
    const here = n % count, next = (n + 1) % count, dy_ = ring[2 * next] - ring[2 * here], dz_ = ring[2 * next + 1] - ring[2 * here + 1], long = Math.hypot(dy_, dz_);
    const out = n < count ? [dz_ / long, -dy_ / long] : first;
    if (before && before[0] * out[0] + before[1] * out[1] < SHARP_EDGE) edges.push([...ends[0].slice(3 * here, 3 * here + 3), ...ends[1].slice(3 * here, 3 * here + 3)]);
    before = out; first ||= out;
    if (n < count) fill([...ends[0].slice(3 * here, 3 * here + 3), ...ends[0].slice(3 * next, 3 * next + 3), ...ends[1].slice(3 * next, 3 * next + 3), ...ends[1].slice(3 * here, 3 * here + 3)], toEye(0, out[0], out[1]));
  }
  if (body.opacity < 1) return;
  for (const end of [0, 1]) if (shown & (1 << end)) edges.push([...ends[end], ...ends[end].slice(0, 3)]);
  for (const edge of edges) pixels.line(edge, [41, 41, 41], size);
}

// The canvas in a picture. show(item, box, shareOf) draws an item into a box of the picture; words go to a layer of the picture's own drawing.
function spaceView(picture, wordLayer) {
  const holder = make("div", { className: "crank-spaces" }), canvas = make("canvas", { className: "crank-space", tabIndex: 0 });
  canvas.setAttribute("role", "application");
  canvas.setAttribute("aria-roledescription", _("view in space"));
  holder.append(canvas);
  let item = null, box = null, sizes = null, shareOf = () => 0, turned = null, begun = "", asked = 0, rested = 0, drawn = 0, cost = 0;
  const coarse = {}, sharp = {}; // pixels while it moves and while it rests
  function draw(moving = true) {
    asked = 0;
    clearTimeout(rested);
    if (!item) return;
    if (moving) rested = setTimeout(() => draw(false), REST);
    const begins = performance.now();
    const fine = Math.min(moving ? 1 : FINE, Math.sqrt(MOST_PIXELS / (box.width * box.height))), width = Math.round(box.width * fine), height = Math.round(box.height * fine);
    const context = canvas.getContext("2d"), kept = moving ? coarse : sharp;
    if (kept.pixels?.width !== width || kept.pixels.height !== height) kept.pixels = new DepthPixels(context, width, height);
    if (canvas.width !== width || canvas.height !== height) { canvas.width = width; canvas.height = height; }
    const { pixels } = kept;
    pixels.clear();
    const rows = sight(turned), scale = 0.95 * fine * Math.min(fitted(item, item.turned, box.width, box.height), fitted(item, turned, box.width, box.height));
    const { middle } = item;
    const seen = (x, y, z) => {
      const [u, v, w] = [x - middle[0], y - middle[1], z - middle[2]];
      return [width / 2 + scale * (rows[0][0] * u + rows[0][1] * v + rows[0][2] * w), height / 2 - scale * (rows[1][0] * u + rows[1][1] * v + rows[1][2] * w), scale * (rows[2][0] * u + rows[2][1] * v + rows[2][2] * w)];
    };
    const share = shareOf(item), dark = document.body.dataset.jpThemeLight === "false";
    for (const clear of [false, true]) {
      let row = 0, ring = 0;
      for (const body of item.bodies) {
        const move = moveAt(body.moves, share);
        for (let n = 0; n < body.prisms; n++, row++) {
          const sized = item.rows.subarray(4 * row, 4 * row + 4);
          if (body.opacity < 1 === clear) drawPrism(pixels, body, sized, item.rings.subarray(ring, ring + 2 * sized[2]), move, rows, seen, Math.round(fine));
          ring += 2 * sized[2];
        }
      }
    }
    for (const { points, color, width: wide, dash } of item.traces) {
      const flat = [];
      for (let n = 0; n < points.length; n += 3) flat.push(...seen(points[n], points[n + 1], points[n + 2]));
      const light = dark ? rgb(color).map((part) => Math.round(part + 0.45 * (255 - part))) : rgb(color);
      pixels.line(flat, light, Math.max(1, Math.round(wide * fine)), 0.35, dash ? dash.split(" ").map((part) => Number(part) * fine) : []);
    }
    context.putImageData(pixels.image, 0, 0);
    replaceChanged(wordLayer, item.words.map(({ point, text, color, anchor }, place) => {
      const [right, down] = seen(...point);
      return drawItem({ kind: "text", x: box.x + right / fine, y: box.y + down / fine, text, color, anchor, size: sizes.letters }, "", wordLayer.childNodes[place]);
    }));
    if (!moving) cost = performance.now() - begins;
    canvas.dispatchEvent(new CustomEvent("crank-space-drawn", { bubbles: true }));
  }
  function soon() { asked ||= requestAnimationFrame(() => draw()); }
  function turn(around, up) {
    turned = [turned[0] + around, Math.max(-STEEPEST, Math.min(STEEPEST, turned[1] + up))];
    soon();
  }
  let hand = null;
  canvas.addEventListener("pointerdown", (event) => { hand = [event.clientX, event.clientY]; canvas.setPointerCapture(event.pointerId); });
  canvas.addEventListener("pointermove", (event) => {
    if (!hand) return;
    turn((hand[0] - event.clientX) * -0.5, (event.clientY - hand[1]) * 0.5);
    hand = [event.clientX, event.clientY];
  });
  for (const kind of ["pointerup", "pointercancel"]) canvas.addEventListener(kind, () => { hand = null; });
  canvas.addEventListener("dblclick", () => { turned = [...item.turned]; soon(); });
  canvas.addEventListener("keydown", (event) => {
    const way = { ArrowLeft: [-TURNED, 0], ArrowRight: [TURNED, 0], ArrowUp: [0, TURNED], ArrowDown: [0, -TURNED] }[event.key];
    if (event.ctrlKey || event.metaKey || event.altKey || (!way && event.key !== "Home")) return;
    if (way) turn(...way); else { turned = [...item.turned]; soon(); }
    event.preventDefault(); event.stopPropagation();
  });
  new MutationObserver(soon).observe(document.body, { attributeFilter: ["data-jp-theme-light"] });
  return {
    holder, soon,
    show(shown, { width, height, inside }, letters, share) {
      holder.hidden = !shown;
      if (!shown) { item = null; wordLayer.replaceChildren(); return; }
      item = { ...shown, rings: numbers(shown.rings, Float32Array), rows: numbers(shown.rows, Float32Array), bodies: shown.bodies.map((body) => ({ ...body, rgb: rgb(body.color) })) };
      box = inside[item.axes]; sizes = { letters }; shareOf = share;
      if (begun !== item.turned.join()) { begun = item.turned.join(); turned = [...item.turned]; }
      holder.style.aspectRatio = `${width} / ${height}`;
      for (const [side, part] of Object.entries({ left: box.x / width, top: box.y / height, width: box.width / width, height: box.height / height })) canvas.style[side] = `${100 * part}%`;
      canvas.setAttribute("aria-label", `${item.said} Arrow keys turn the view, Home turns it back.`);
      draw(Boolean(asked) || cost > COSTLY || performance.now() - drawn < REST);
      drawn = performance.now();
    },
  };
}
