"""Pictures of the work at a step, as SVG for paper: the side, and a section where it is cut.

What the step takes away is dashed, what stays is gray; places are read from the datum.
"""

from functools import lru_cache
from math import cos, hypot, pi, sin

from markupsafe import Markup, escape

from crankmath.language import _
from crankmath.units import Quantity
from crankmath.wording import shown

SIDE, SECTION, HIGH = 62.0, 20.0, 20.0  # mm on paper
AROUND = 120
GAP = 2.4  # mm on paper between two numbers of the line of places


@lru_cache(maxsize=256)
def _outline(section):
    """Corners of a section's outline, from its middle outward; every section is convex."""
    y, z = section.centroid
    found = []
    for number in range(AROUND):
        turn = 2 * pi * number / AROUND
        ray, far = (cos(turn), sin(turn)), float("inf")
        for ny, nz, d in section.lines:
            if (along := ray[0] * ny + ray[1] * nz) > 0:
                far = min(far, (d - ny * y - nz * z) / along)
        for dy, dz, radius in section.discs:
            toward = ray[0] * (y - dy) + ray[1] * (z - dz)
            away = (y - dy) ** 2 + (z - dz) ** 2
            far = min(far, (toward**2 + radius**2 - away) ** 0.5 - toward)
        found.append((y + far * ray[0], z + far * ray[1]))
    return tuple(found)


def _spans(work):
    """(x0, x1, lowest y, highest y) of every piece."""
    for piece in work.pieces:
        ys = [y for y, _unused in _outline(piece.at((piece.x0 + piece.x1) / 2))]
        yield piece.x0, piece.x1, min(ys), max(ys)


def _polygon(points, style):
    text = " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
    return f'<polygon points="{text}" {style}/>'


AWAY = 'fill="#fff" stroke="#000" stroke-width="0.2" stroke-dasharray="0.8 0.6"'
GRAY = 'fill="#c9c9c9" stroke="#000" stroke-width="0.2"'
TEXT = _('font-family="Arial, sans-serif" font-size="2.1"')


def side_view(plan, number, units):
    """Side of the work before and after a step, throw 1 up, with the places of its cuts."""
    before, after, step = plan.works[number], plan.works[number + 1], plan.steps[number]
    left, right = before.x0, before.x1
    spans = list(_spans(before))
    top, low = max(one[3] for one in spans), min(one[2] for one in spans)
    scale = min(SIDE / (right - left), HIGH / (top - low))

    def along(x):
        return 2 + (x - left) * scale

    def at(x, y):
        return along(x), 2 + (top - y) * scale

    def boxes(work, style):
        return [
            _polygon([at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1)], style)
            for x0, x1, y0, y1 in _spans(work)
        ]

    parts = boxes(before, AWAY if step.cuts else GRAY)
    parts += boxes(after, GRAY) if step.cuts else []
    for axis in {plan.placed.main, *plan.placed.pins} if step.axis is None else {step.axis}:
        (x0, y), (x1, _unused) = at(left, axis[0]), at(right, axis[0])
        dash = "0.4 0.8" if step.axis is None else "3 0.7 0.6 0.7"
        parts.append(
            f'<line x1="{x0 - 2:.2f}" y1="{y:.2f}" x2="{x1 + 2:.2f}" y2="{y:.2f}" stroke="#000" '
            f'stroke-width="0.18" stroke-dasharray="{dash}"/>'
        )
    for throw in step.fitted:
        x0, x1 = plan.placed.span("pin", throw)
        y = plan.placed.main[0]
        box = [at(x0, y - 3), at(x1, y - 3), at(x1, y + 3), at(x0, y + 3)]
        parts.append(_polygon(box, 'fill="#fff" stroke="#000" stroke-width="0.35"'))
    base = 2 + (top - low) * scale
    places = sorted({round(x, 4) for cut in step.cuts for x in _ends(cut)})
    datum = plan.placed.faced[0]
    if left <= datum:
        x = along(datum)
        parts.append(
            f'<path d="M{x:.2f} {base:.2f}v2.6l-1 -1.4h2l-1 1.4" fill="#000" stroke="#000" '
            'stroke-width="0.15"/>'
        )
    last, longest = float("-inf"), 0.0
    for place in places:
        x = along(place)
        parts.append(
            f'<line x1="{x:.2f}" y1="{base:.2f}" x2="{x:.2f}" y2="{base + 1.2:.2f}" '
            'stroke="#000" stroke-width="0.15"/>'
        )
        put = max(x, last + GAP)
        last = put
        text = shown(Quantity(place - datum, "mm"), "place", units).split()[0]
        longest = max(longest, 1.25 * len(text))
        parts.append(
            f'<line x1="{x:.2f}" y1="{base + 1.2:.2f}" x2="{put:.2f}" y2="{base + 2.2:.2f}" '
            f'stroke="#000" stroke-width="0.12"/><text transform="translate({put + 0.8:.2f} '
            f'{base + 2.9:.2f}) rotate(-90)" text-anchor="end" {TEXT}>{escape(text)}</text>'
        )
    wide = max(along(right), last) + 3
    return _svg(
        parts,
        wide,
        base + 3.4 + longest,
        _("side of the work, step {number}").format(number=number + 1),
    )


def _ends(cut):
    return (cut.x,) if hasattr(cut, "keep") else (cut.x0, cut.x1)


def section_view(plan, number):
    """Section where a step cuts first, seen from the tailstock: before and after, the circle that
    the work swings in, the centers.
    """
    step = plan.steps[number]
    cuts = [cut for cut in step.cuts if hasattr(cut, "x0")]
    before, after = plan.works[number], plan.works[number + 1]
    if not cuts:
        return Markup("")
    x = (cuts[0].x0 + cuts[0].x1) / 2
    old, new = before.at(x), after.at(x)
    axis = step.axis or plan.placed.main
    swing = before.swing(axis) if step.on == "centers" else 0.0
    bar = plan.placed.bar_section
    reach = max(swing + hypot(*axis), bar.reach((0.0, 0.0)))
    scale = (SECTION / 2 - 1) / reach

    def at(y, z):  # up is toward throw 1; from the right-hand end z goes to the left
        return SECTION / 2 - z * scale, SECTION / 2 - y * scale

    def drawn(section, style):
        return _polygon([at(*point) for point in _outline(section)], style)

    parts = [drawn(old, AWAY), drawn(new, GRAY)]
    if swing:
        x, y = at(*axis)
        parts.append(
            f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{swing * scale:.2f}" fill="none" stroke="#000" '
            'stroke-width="0.2" stroke-dasharray="1 0.8"/>'
        )
    names = {plan.placed.main: ["M"]}
    for n, (y, z) in enumerate(plan.placed.pins, 1):
        names.setdefault((round(y, 6), round(z, 6)), []).append(str(n))
    for place, alike in names.items():
        (x, y), name = at(*place), ", ".join(alike)
        parts.append(
            f'<path d="M{x - 1:.2f} {y:.2f}h2M{x:.2f} {y - 1:.2f}v2" stroke="#000" '
            f'stroke-width="0.25"/><text x="{x + 0.7:.2f}" y="{y - 0.6:.2f}" {TEXT}>{name}</text>'
        )
    return _svg(
        parts,
        SECTION,
        SECTION,
        _("section where step {number} cuts first").format(number=number + 1),
    )


def _svg(parts, wide, high, label):
    return Markup(
        f'<svg role="img" aria-label="{escape(label)}" width="{wide:.1f}mm" height="{high:.1f}mm" '
        f'viewBox="0 0 {wide:.1f} {high:.1f}">{"".join(parts)}</svg>'
    )
