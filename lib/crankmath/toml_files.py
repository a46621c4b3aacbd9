"""TOML that a reader wrote: its tables, or a sentence with the wrong line and a right one."""

import re
import tomllib
from fractions import Fraction

_LINE = re.compile(r"\s*([\w-]+)\s*=\s*([^#]*?)\s*(#.*)?$")


def read_toml(text, source):
    """Tables of a TOML text; ``source`` names it in the error.

    Raises ValueError; for a common slip the message shows the line as it should be.
    Basis: TOML 1.0, by the standard library.
    """
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ValueError(f"{source} is not a TOML file: {_said(str(error), text)}") from None
    except (ValueError, RecursionError):
        raise ValueError(
            f"{source} is not a TOML file: "
            "it holds a number of thousands of digits, or brackets in brackets without end"
        ) from None


def _said(error, text):
    """The parser's words, with the line and how it is written, where that is plain."""
    place = re.search(r"at line (\d+)", error)
    lines = text.splitlines()
    if not place or int(place[1]) > len(lines):
        return error
    line = lines[int(place[1]) - 1].strip()
    found = _LINE.match(line)
    if not found or len(line) > 80:
        return error
    better = f"{found[1]} = {_written(_bare(found[2], found[1], text))}"
    try:
        tomllib.loads(better)
    except tomllib.TOMLDecodeError:
        number = "; write one plain number, such as 0.625" if found[2][:1].isdigit() else ""
        return f"line {place[1]} reads “{line}”{number or f': {error}'}"
    return f"line {place[1]} reads “{line}”; write {better}"


def _written(value):
    """A value as TOML has it: decimal point, no fraction, no unit, no zero before; words in quotes.

    Unchanged where what it means is not plain.
    """
    if value[:1].isdigit() and re.search("[A-Za-z]", value):
        return value
    sizes = re.fullmatch(
        r"([+-]?)(?:(\d+)[ -])?(\d+)\s*/\s*(\d+)|([+-]?)0*(\d*)(?:[.,](\d*))?", value
    )
    if not sizes or not re.search(r"\d", value):
        plain = value.strip("\"'“”„‚‘’ ")
        return f'"{plain}"' if plain and plain.isprintable() and '"' not in plain else value
    if sizes[3]:
        if not int(sizes[4]):
            return value
        size = int(sizes[2] or 0) + Fraction(int(sizes[3]), int(sizes[4]))
        return f"{sizes[1]}{float(size):.6g}"
    return f"{sizes[5]}{sizes[6] or '0'}" + (f".{sizes[7]}" if sizes[7] else "")


def _bare(value, key, text):
    """A size without the unit behind it, where that is the unit of this key or of all sizes."""
    typed = re.search(r"[\d/.]\s*(mm|in|inch|\"|″|W|rpm|N)$", value)
    if not typed:
        return value
    unit = {"inch": "in", '"': "in", "″": "in"}.get(typed[1], typed[1])
    own = re.search(r"^units\s*=\s*\"(\w+)\"", text, re.MULTILINE)
    if key.endswith(f"_{unit.lower()}") or (own and own[1] == unit):
        return value[: typed.start(1)].rstrip()
    return value
