"""Moving items as the browser draws them: in the coordinates of a panel's picture."""

from dataclasses import astuple

import numpy as np

from . import space


class Places:
    """Where a figure's axes stand on the page; ``letters`` and ``grown`` are the sizes there."""

    def __init__(self, figure, letters, grown):
        self.letters, self.grown = letters, grown
        self.dots, self.height = figure.dpi / 100, float(figure.get_figheight() * 100)
        self.across = [axes.transData.frozen().transform for axes in figure.axes]

    def at(self, axes, points):
        """Points of axes on the page, right and down."""
        found = self.across[axes](points) / self.dots
        found[:, 1] = self.height - found[:, 1]
        return found

    def lens(self, item):
        """Axes of a shading's lens, how much it enlarges the picture and its shift there."""
        if not item.lens:
            return None
        number, left, foot, side = item.lens
        seen = self.at(item.axes, [(left, foot + side), (left + side, foot)])
        shown = self.at(number, [(0, 1), (1, 0)])
        scale = (shown[1] - shown[0]) / (seen[1] - seen[0])
        shift = shown[0] - scale * seen[0]
        return {"axes": number, "scale": scale.tolist(), "shift": shift.tolist()}

    def drawn(self, item):
        """A Curve, Point, Note or Shading in picture coordinates; a Space as it is."""
        if item.kind == "space":
            return space.on_page(item)
        if item.kind == "tone":
            return {"kind": "tone", "hertz": item.hertz}
        points = self.at(item.axes, item.points())
        drawn = {"kind": item.kind, "axes": item.axes}
        if item.kind == "shading":
            return {
                **drawn,
                "points": points.astype(np.float32).tobytes(),
                "value": item.value.astype(np.float32).tobytes(),
                "triangles": item.triangles.astype(np.uint16).tobytes(),
                "low": item.low,
                "high": item.high,
                "fringe": item.fringe,
                "mirror": float(self.at(item.axes, [(0, item.mirror)])[0, 1]),
                "lens": self.lens(item),
            }
        points = points.round(1)
        drawn["color"] = item.color
        if item.kind == "line":
            flat = " ".join(f"{x},{y}" for x, y in points.tolist())
            return {
                **drawn,
                "points": flat,
                "width": item.width * self.grown,
                "dash": item.dash,
                "fill": item.fill,
                **({"sample": True} if item.sample else {}),
            }
        x, y = points[0].tolist()
        if item.kind == "marker":
            grips = {"grips": [list(astuple(one)) for one in item.grips]} if item.grips else {}
            return {**drawn, "x": x, "y": y, "size": 6 * self.grown, **grips}
        words = {"text": item.text, "size": self.letters, "anchor": item.anchor}
        return {**drawn, "x": x, "y": y - 8, **words}
