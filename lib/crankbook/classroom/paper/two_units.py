"""Two columns of units for paper: a lesson's unit tables, and the sizes of the example cranks."""

import re

from crankmath.crank import EXAMPLES, Crank
from crankmath.units import as_text

from ...pages import table

# what a metric unit of a table is called in the other column; a unit that is not here is the same
# in both
INCH = {
    "mm": "in",
    "µm": "thou",
    "m/min": "ft/min",
    "kg": "lb",
    "g": "oz",
    "N": "lbf",
    "kN": "lbf",
    "MPa": "kpsi",
    "GPa": "Mpsi",
    "N·m": "lbf·ft",
    "N m": "lbf ft",
    "W": "hp",
    "kW": "hp",
    "°C": "°F",
    "K": "°F",
    "mm²": "in²",
    "mm³": "in³",
    "mm⁴": "in⁴",
    "cm³/min": "in³/min",
    "mm³/min": "in³/min",
    "mm/rev": "in/rev",
    "mm/turn": "in/turn",
    "mm/min": "in/min",
    "µm/m": "µin/in",
    "N/mm": "lbf/in",
    "N/µm": "lbf/thou",
    "N/°C": "lbf/°F",
    "µm/N": "thou/lbf",
    "µm/kN": "thou/lbf",
    "g mm": "oz in",
    "g·mm": "oz·in",
    "kg/m³": "lb/in³",
    "mm per m": "thou per in",
    "1/mm": "1/in",
    "N/mm²": "kpsi",
    "N/m": "lbf/in",
    "1/°C": "1/°F",
    "mm/s": "in/s",
    "µm per m and °C": "µin per in and °F",
    "W/(m²·K)": "Btu/(h·ft²·°F)",
}
OTHER = {
    *INCH.values(),
    "thou",
    "µin",
    "psi",
    "inch",
    "lb",
    "oz",
    "ft",
    "in lbf",
    "lbf in",
    "ft lbf",
    "kpsi",
    "sfm",
    "°F",
}


def split_units(markdown):
    """Markdown tables with a column “unit” get two: metric and inch.

    The inch unit is the one that the cell names, else that of ``INCH``; rpm, degrees and the like
    stand in both columns.
    """
    lines, column = [], None
    for line in markdown.split("\n"):
        if not line.lstrip().startswith("|"):
            column = None
            lines.append(line)
            continue
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if column is None:
            heads = [cell.casefold() for cell in cells]
            column = heads.index("unit") if "unit" in heads else -1
            two = "metric", "inch"
        elif set("".join(cells)) <= set("-:"):
            two = "---", "---"
        else:
            two = metric_and_inch(cells[column]) if 0 <= column < len(cells) else None
        lines.append(
            line
            if column < 0 or two is None
            else "| " + " | ".join([*cells[:column], *two, *cells[column + 1 :]]) + " |"
        )
    return "\n".join(lines)


def metric_and_inch(text):
    """A table's unit cell as (metric, inch), two texts.

    - ``text``: For example "mm, in", "N" or "rpm".
    """
    text, each = re.fullmatch(r"(.*?)( a turn)?", text, re.DOTALL).groups()
    parts = [part.strip() for part in re.split(r"[,;]| or ", text) if part.strip()]
    inch = [part for part in parts if part in OTHER]
    metric = [part for part in parts if part not in OTHER]
    if not inch:
        inch = list(dict.fromkeys(INCH.get(part, part) for part in metric))
    return ", ".join(metric or inch) + (each or ""), ", ".join(inch) + (each or "")


def sizes(notebook):
    """HTML tables of the example cranks that a lesson names, in millimeters and inches; empty where
    it names none.
    """
    text = "\n".join(cell.source for cell in notebook.cells)
    tables = [crank_table(name) for name in EXAMPLES if re.search(rf"[`\"']{name}[`\"',]", text)]
    return "<h2>Sizes in this lesson</h2>\n" + "\n".join(tables) if tables else ""


def _which(numbers, count):
    """What follows a part's name: the numbers of some, an s for all of several, nothing for the
    only one.
    """
    if len(numbers) < count:
        return f" {', '.join(numbers)}"
    return "s" if count > 1 else ""


def crank_table(name):
    """One example crank's sizes, metric and inch side by side; equal parts share a line."""
    crank = Crank.load(name)
    lines = {}
    parts = [
        ("main", crank.journals, {"diameter": "diameter", "length": "length", "fillet": "fillet"}),
        ("throw", crank.throws, {"radius": "radius"}),
        (
            "pin",
            crank.throws,
            {"pin_diameter": "diameter", "pin_length": "length", "fillet": "fillet"},
        ),
        (
            "web",
            crank.throws,
            {
                "web_thickness": "thickness",
                "web_width": "width",
                "web_reach": "reach beyond each axis",
            },
        ),
    ]
    for part, every, named in parts:
        for attribute, word in named.items():
            for number, one in enumerate(every, 1):
                size = getattr(one, attribute)
                lines.setdefault(
                    (part, word, as_text(size, "mm", 4), as_text(size, "in", 4)), []
                ).append(str(number))
    rows = [
        (
            f"{part}{_which(numbers, len(every))}, {word}",
            metric,
            inch,
        )
        for part, every, _ in parts
        for (which, word, metric, inch), numbers in lines.items()
        if which == part
    ]
    angles = ", ".join(
        as_text(throw.angle, "deg", 3).replace(" deg", "°") for throw in crank.throws
    )
    return table(
        ("size", "metric", "inch"),
        rows,
        f"Crank “{name}”, {crank.steel}, throw{'s' if len(crank.throws) > 1 else ''} at {angles}",
    )
