"""Formulas for paper: the LaTeX of the lessons as drawn outlines, with nothing to fetch, and as
words for a screen reader.
"""

import html
import re
from functools import cache

from matplotlib import rc_context
from matplotlib.font_manager import FontProperties
from matplotlib.mathtext import MathTextParser
from matplotlib.textpath import TextPath

SIZE = 100.0  # units of the drawn outline for an em; the page scales it to its own type
SAME = {r"\lvert": "|", r"\rvert": "|", r"\le ": r"\leq ", r"\ge ": r"\geq "}
WORDS = {
    r"\cdot": "times",
    r"\times": "times",
    r"\approx": "about",
    r"\leq": "at most",
    r"\geq": "at least",
    r"\le": "at most",
    r"\ge": "at least",
    r"\ll": "much less than",
    r"\gg": "much more than",
    r"\pm": "plus or minus",
    r"\neq": "is not",
    r"\to": "to",
    r"\infty": "infinity",
    r"\partial": "partial",
    r"\sum": "sum",
    r"\int": "integral",
    r"\propto": "is proportional to",
    r"\circ": "degrees",
    r"\Rightarrow": "so",
    r"\rightarrow": "to",
    r"\,": " ",
    r"\;": " ",
    r"\:": " ",
    r"\!": "",
    r"\quad": " ",
    r"\qquad": " ",
    r"\ ": " ",
    r"\left": "",
    r"\right": "",
    r"\%": "%",
    r"\{": "{",
    r"\}": "}",
    r"\varphi": "phi",
    r"\varepsilon": "epsilon",
    r"\vartheta": "theta",
}
BRACED = r"\{((?:[^{}]|\{[^{}]*\})*)\}"  # a group, with one more inside it


def _tidy(latex):
    """LaTeX with the commands that the drawing knows, and each script in braces."""
    tidy = " ".join(latex.strip().split())
    for ours, known in SAME.items():
        tidy = tidy.replace(ours, known)
    tidy = re.sub(r"\\text(rm)?\{", r"\\mathrm{", tidy)
    tidy = re.sub(
        r"\\mathrm\{([^{}]*)\}",
        lambda match: r"\mathrm{" + match[1].strip().replace(" ", r"\ ") + "}",
        tidy,
    )
    tidy = re.sub(
        r"\\([dt]?)frac\s*([\w])\s*([\w])",
        lambda match: rf"\{'d' if match[1] == 'd' else ''}frac{{{match[2]}}}{{{match[3]}}}",
        tidy,
    )
    tidy = re.sub(r"\\sqrt\s*(\w)", r"\\sqrt{\1}", tidy.replace(r"\tfrac", r"\frac"))
    tidy = re.sub(
        r"(?<=[\w})])\s*\\(arccos|arcsin|arctan|cos|sin|tan|ln|log|exp)(?![a-zA-Z])",
        r"\\,\\\1",
        tidy,
    )
    tidy = re.sub(
        r"\\[bB]igg?[lr]?(?![a-zA-Z])", "", tidy
    )  # larger brackets: the drawing has one size
    return re.sub(r"([_^])(\\mathrm\{[^{}]*\})", r"\1{\2}", tidy)


@cache
def svg(latex, display=False):
    """A formula as an inline drawing in the size of the type around it.

    - ``latex``: Without its dollar signs.
    - ``display``: Set on a line of its own, a little larger.

    Returns an ``<svg>`` element with the formula in words as its label.
    Outlines and spacing are those of matplotlib's own math layout.
    ValueError: The formula uses something that cannot be drawn.
    """
    text = _tidy(latex)
    text = "$" + (text.replace(r"\frac", r"\dfrac") if display else text) + "$"
    try:
        with rc_context({"mathtext.fontset": "stix"}):
            drawn = TextPath((0, 0), text, size=SIZE)
            width, whole, depth, *_ = MathTextParser("path").parse(
                text, 72, FontProperties(size=SIZE)
            )
    except (ValueError, RuntimeError) as error:
        reason = str(error).strip().splitlines()[-1]
        raise ValueError(
            f"the formula ${latex}$ cannot be drawn for paper ({reason}): write it with simpler "
            "commands"
        ) from None
    em = (
        1.2 if display else 1.06
    )  # the drawn letters are a little smaller than the type around them
    scale = em / SIZE
    return (
        f'<svg class="formula" role="img" aria-label="{html.escape(words(latex))}" viewBox="0 '
        f'{depth - whole:.0f} {max(width, 1):.0f} {whole:.0f}" '
        f'style="width:{width * scale:.3f}em;height:{whole * scale:.3f}em;'
        f'vertical-align:{-depth * scale:.3f}em">'
        f'<path d="{_outline(drawn.vertices, drawn.codes)}"/></svg>'
    )


def _outline(points, codes):
    """Path data of an outline: move, line, quadratic, cubic, close."""
    letters, parts, step = {1: "M", 2: "L", 3: "Q", 4: "C"}, [], 0
    length = {1: 1, 2: 1, 3: 2, 4: 3}
    while step < len(codes):
        code = codes[step]
        if code == 79:
            parts.append("Z")
            step += 1
            continue
        several = points[step : step + length[code]]
        parts.append(letters[code] + " ".join(f"{x:.1f},{-y:.1f}" for x, y in several))
        step += length[code]
    return "".join(parts)


def words(latex):
    """A formula as it is read aloud."""
    said = _tidy(latex)
    for _ in range(6):  # from the inside out
        said = re.sub(rf"\\mathrm{BRACED}", r"\1", said)
        said = re.sub(rf"\\d?frac\s*{BRACED}\s*{BRACED}", r" (\1) over (\2) ", said)
        said = re.sub(rf"\\sqrt\[(\w+)\]{BRACED}", r" root \1 of (\2) ", said)
        said = re.sub(rf"\\sqrt\s*{BRACED}", r" square root of (\1) ", said)
    said = re.sub(
        rf"\^\s*{BRACED}|\^(-?\w)", lambda match: f" to the power {match[1] or match[2]} ", said
    )
    said = said.replace("to the power 2 ", "squared ").replace("to the power 3 ", "cubed ")
    said = re.sub(rf"_\s*{BRACED}|_(\w)", lambda match: f" {match[1] or match[2]} ", said)
    for command in sorted(WORDS, key=len, reverse=True):
        word = f" {WORDS[command]} " if WORDS[command].strip() else WORDS[command]
        said = re.sub(
            re.escape(command) + (r"(?![a-zA-Z])" if command[-1].isalpha() else ""), word, said
        )
    said = (
        re.sub(r"\\([a-zA-Z]+)", r" \1 ", said)
        .replace("{", "")
        .replace("}", "")
        .replace("/", " over ")
    )
    said = re.sub(r"\( ", "(", re.sub(r" \)", ")", " ".join(said.split())))
    return re.sub(r"\((\w+)\)(?= over|$| )", r"\1", re.sub(r"over \((\w+)\)", r"over \1", said))
