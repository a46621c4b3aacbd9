"""The printed picture of a view in space: flat shading into pixels, the nearest face wins."""

import numpy as np
from matplotlib.artist import Artist
from matplotlib.colors import to_rgb

from .space import SHARP, move_at, moved, scale_of, sight

LIGHT = np.array([0.3, 0.6, 0.74])
LIGHT /= np.linalg.norm(LIGHT)
INK = 0.16  # of an edge, 0 black
BIAS = 1.2  # pixels that an edge may lie behind its own face


def shaded(color, normal):
    """Color of a face by its normal toward the eye, as the page shades it."""
    bright = 0.45 + 0.6 * max(float(normal @ LIGHT), 0.0)
    return np.clip(np.array(to_rgb(color)) * bright, 0, 1)


class Pixels:
    """A picture with the depth of each pixel."""

    def __init__(self, width, height):
        self.color = np.zeros((height, width, 4), dtype=np.float32)
        self.depth = np.full((height, width), -1e9, dtype=np.float32)

    def face(self, points, normal, color, opacity):
        """Fill a convex face: points (n, 3) right, down, toward the eye; its normal likewise."""
        height, width = self.depth.shape
        x, y = points[:, 0], points[:, 1]
        first, last = max(int(np.ceil(y.min() - 0.5)), 0), min(int(y.max() - 0.5), height - 1)
        if last < first:
            return
        rows = np.arange(first, last + 1) + 0.5
        left, right = np.full(len(rows), np.inf), np.full(len(rows), -np.inf)
        for (x0, y0), (x1, y1) in zip(
            points[:, :2], np.roll(points[:, :2], -1, axis=0), strict=True
        ):
            if y0 == y1:
                continue
            low, high = min(y0, y1), max(y0, y1)
            here = (rows >= low) & (rows <= high)
            at = x0 + (rows[here] - y0) * (x1 - x0) / (y1 - y0)
            left[here], right[here] = np.minimum(left[here], at), np.maximum(right[here], at)
        low, high = max(int(x.min() - 0.5), 0), min(int(x.max() + 0.5), width - 1)
        across = np.arange(low, high + 1) + 0.5
        inside = (across >= left[:, None]) & (across <= right[:, None])
        slope = -normal[:2] / normal[2]
        deep = points[0, 2] + slope[0] * (across - x[0]) + slope[1] * (rows[:, None] - y[0])
        box = slice(first, last + 1), slice(low, high + 1)
        shown = inside & (deep > self.depth[box] + (0 if opacity == 1 else BIAS))
        under = self.color[box]
        under[shown] = opacity * np.append(color, 1) + (1 - opacity) * under[shown]
        if opacity == 1:
            self.depth[box][shown] = deep[shown]

    def line(self, points, color, size, hidden=0.0, dash=()):
        """Draw a line (n, 3) where nothing lies before it; ``hidden`` is how dark it is
        elsewhere."""
        height, width = self.depth.shape
        run, period = 0.0, sum(dash)
        for start, end in zip(points[:-1], points[1:], strict=True):
            count = int(np.abs(end - start)[:2].max()) + 1
            share = np.linspace(0, 1, count + 1)[:, None]
            at = start + share * (end - start)
            along = run + share[:, 0] * np.hypot(*(end - start)[:2])
            run = along[-1]
            x, y = np.floor(at[:, :2]).astype(int).T
            kept = (x >= 0) & (x < width - size) & (y >= 0) & (y < height - size)
            if period:
                kept &= along % period < dash[0]
            x, y, deep, along = x[kept], y[kept], at[kept, 2], along[kept]
            free = deep + BIAS >= self.depth[y, x]
            _paint(self.color, x[free], y[free], color, size)
            faint = ~free & (along % 9 < 5) & (hidden > 0)
            at = y[faint], x[faint]
            self.color[at] = hidden * np.append(color, 1) + (1 - hidden) * self.color[at]


def _paint(image, x, y, color, size):
    """Squares of a color, each with its upper left corner at a pixel."""
    for right in range(size):
        for down in range(size):
            image[y + down, x + right] = np.append(color, 1)


def picture(space, width, height, sharp=1.0):
    """The view at its beginning as an image (height, width, 4), colors 0 to 1."""
    pixels, view = Pixels(width, height), sight(space.turned)
    scale = scale_of(space, space.turned, width, height)
    middle, flip = space.middle, np.array([1.0, -1.0, 1.0])

    def seen(points):
        return (points - middle) @ view.T * scale * flip + (width / 2, height / 2, 0)

    for body in sorted(space.bodies, key=lambda one: -one.opacity):
        move = move_at(body, space.at)
        for prism in body.prisms:
            _prism(pixels, body, prism, move, view, seen, max(round(sharp), 1))
    for trace in space.traces:
        dash = tuple(float(part) * sharp for part in trace.dash.split())
        color = to_rgb(trace.color)
        pixels.line(seen(trace.points), color, max(round(trace.width * sharp), 1), 0.35, dash)
    return pixels.color


def _prism(pixels, body, prism, move, view, seen, size):
    """One prism of a body: its faces toward the eye and the edges that show."""
    count = len(prism.ring)
    along = np.roll(prism.ring, -1, axis=0) - prism.ring
    sides = np.column_stack([np.zeros(count), along[:, 1], -along[:, 0]])
    sides /= np.linalg.norm(sides, axis=1)[:, None]
    normals, vertices = np.vstack([[(-1, 0, 0), (1, 0, 0)], sides]), prism.vertices
    if body.upright:
        normals, vertices = normals[:, [2, 0, 1]], vertices[:, [2, 0, 1]]
    normals = moved(normals, (move[0], 0, 0)) @ view.T
    points = seen(moved(vertices, move))
    low, high = points[:count], points[count:]
    for at in np.flatnonzero(normals[:, 2] > 1e-6):
        normal, side = normals[at], at - 2
        if at < 2:
            face = (low[::-1], high)[at]
        else:
            beyond = (side + 1) % count
            face = np.array([low[side], low[beyond], high[beyond], high[side]])
        color = shaded(body.color, normal)
        pixels.face(face, normal * (1, -1, 1), color, body.opacity)
    bend = np.arccos(np.clip((sides * np.roll(sides, 1, axis=0)).sum(axis=1), -1, 1))
    ends = (np.vstack([part, part[:1]]) for part in (low, high))
    lines = [end for end, shown in zip(ends, prism.edges, strict=True) if shown]
    lines += [np.array([low[at], high[at]]) for at in np.flatnonzero(bend > SHARP)]
    for line in lines:
        if body.opacity == 1:
            pixels.line(line, np.full(3, INK), size)


class Still(Artist):
    """A view in space as an artist of matplotlib: drawn when the figure is, at its sharpness."""

    def __init__(self, space):
        super().__init__()
        self.space = space

    def draw(self, renderer):
        box = self.axes.bbox
        grown = renderer.get_image_magnification()
        width, height = (max(int(side * grown), 1) for side in (box.width, box.height))
        sharp = grown * self.figure.dpi / 100
        shown = (picture(self.space, width, height, sharp) * 255).round()
        image = np.ascontiguousarray(shown[::-1].astype(np.uint8))
        context = renderer.new_gc()
        renderer.draw_image(context, box.x0, box.y0, image)
        context.restore()


def add(axes, space):
    """Draw a view in space into axes, its words over it."""
    axes.add_artist(Still(space))
    width, height = axes.bbox.width, axes.bbox.height
    scale = scale_of(space, space.turned, width, height)
    for one in space.words:
        right, up, _ = sight(space.turned) @ (np.array(one.point) - space.middle) * scale
        axes.annotate(
            one.text,
            (0.5 + right / width, 0.5 + up / height),
            xycoords="axes fraction",
            ha={"start": "left", "middle": "center", "end": "right"}[one.anchor],
            color=one.color,
            fontsize=axes.xaxis.label.get_size() * 0.9,
            parse_math=False,
        )
