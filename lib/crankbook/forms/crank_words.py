"""A crank in words: the name of each size, what a reader types for it, and edits, which keep the
old crank where the new one is impossible.
"""

import re
from dataclasses import fields, replace

import pint

from crankmath.crank import Journal, Throw, steels
from crankmath.language import _, marked, spoken
from crankmath.typed import read_quantity
from crankmath.units import Quantity, as_text

from ..lesson.own import LONGEST_NAME

PARTS = {"journals": ("main", Journal), "throws": ("throw", Throw)}
HEAD = (marked("name"), marked("units"), marked("steel"))
SIZES = (  # as their fields are called
    *(marked("length"), marked("diameter"), marked("fillet"), marked("radius"), marked("angle")),
    *(marked("pin diameter"), marked("pin length"), marked("web thickness")),
    *(marked("web width"), marked("web reach")),
)
MOST_THROWS = 12  # a form of a hundred fields is enough; a crank file may hold more
_PLACE = re.compile(r"(journals|throws)\[(\d+)\](?:\.(\w+))?")
_LINE = re.compile(r"\s*(?P<words>[^:=]+?)\s*[:=]\s*(?P<text>.*?)\s*$", re.DOTALL)


def keys(crank):
    """Places of all sizes: (group, index, field), journals and throws in turn from left to
    right."""
    found = []
    for index in range(len(crank.journals)):
        for group in ("journals", "throws"):
            if index < len(getattr(crank, group)):
                found += [(group, index, field.name) for field in fields(PARTS[group][1])]
    return found


def words(key):
    """Name of a place as a reader says it: “throw 1 pin diameter”."""
    if key in HEAD:
        return key
    group, index, field = key
    return f"{PARTS[group][0]} {index + 1} {field.replace('_', ' ')}"


def spoken_words(key):
    """Name of a place in the reader's language."""
    if key in HEAD:
        return _(key)
    group, index, field = key
    return f"{spoken(f'{PARTS[group][0]} {index + 1}')} {_(field.replace('_', ' '))}"


def find(crank, said):
    """Places that words name; “mains diameter” and “throws radius” name every one of them.

    A main may be called a journal, as in a crank's file.

    ValueError: This crank has no such place.
    """
    plain = " ".join(said.lower().replace("_", " ").split()).replace("journal", "main")
    if plain in HEAD:
        return [plain]
    found = [
        key
        for key in keys(crank)
        if plain in (words(key), f"{PARTS[key[0]][0]}s {key[2].replace('_', ' ')}")
    ]
    if not found:
        throws = len(crank.throws)
        raise ValueError(
            _(
                "“{said}” is not a size of this crank with {throws} throw{words}; write for "
                "example throw 1 radius: 18 mm, mains diameter: 20 mm, steel: C45"
            ).format(said=said.strip(), throws=throws, words="s" if throws > 1 else "")
        )
    return found


def text_of(crank, key):
    """What stands at a place, as it is shown in a field: a word, or a size in the crank's units."""
    if key in HEAD:
        return getattr(crank, key)
    value = getattr(getattr(crank, key[0])[key[1]], key[2])
    return _degrees(value) if key[2] == "angle" else as_text(value, crank.units, 6)


def _degrees(angle):
    return as_text(angle, "deg", 6).split()[0] + "°"


def read(key, text, units):
    """Value that was typed for a place; a number without a unit is taken in the crank's own units.

    - ``key``: Of :func:`keys`, or one of ``HEAD``.
    - ``units``: "mm" or "in".

    TypeError, ValueError, pint.DimensionalityError: The sentence names the place and says what to
    write.
    """
    shown = str(text).strip()
    if key == "name":
        shown = " ".join(shown.split())
        if not 0 < len(shown) <= LONGEST_NAME:
            raise ValueError(
                _(
                    "name takes 1 to {longest_name} characters, not {count}; write for example "
                    "garden pump"
                ).format(longest_name=LONGEST_NAME, count=len(shown))
            )
        if not shown.isprintable():
            raise ValueError(
                _(
                    "name holds a character that cannot be shown, {shown!r}; write for example "
                    "garden pump"
                ).format(shown=shown)
            )
        return shown
    if key == "steel":
        return steels.find(shown).name
    if key == "units":
        if shown not in ("mm", "in"):
            raise ValueError(_("units must be mm or in, not “{shown}”").format(shown=shown))
        return shown
    place, allowed = (
        spoken_words(key),
        ("deg",)
        if key[2] == "angle"
        else (units, "in" if units == "mm" else "mm", "cm", "thousandth"),
    )
    try:
        return read_quantity(shown, allowed, place)
    except pint.DimensionalityError:  # a TypeError, too
        raise
    except TypeError:  # no unit typed
        return read_quantity(f"{shown} {allowed[0]}", allowed, place)


def changed(crank, values):
    """The crank with other values at some places.

    - ``values``: What :func:`read` returned, by key.

    ValueError: Such a crank cannot exist.
    """
    parts = {group: [{} for _unused in getattr(crank, group)] for group in PARTS}
    for key, value in values.items():
        if key not in HEAD:
            parts[key[0]][key[1]][key[2]] = value
    groups = {
        group: tuple(
            replace(part, **new)
            for part, new in zip(getattr(crank, group), parts[group], strict=True)
        )
        for group in PARTS
    }
    return replace(crank, **{key: values[key] for key in HEAD if key in values}, **groups)


def in_words(error, units="mm"):
    """Sentence of a refused crank with its places in words and its sizes in its units, and the key
    of the place at fault or None.
    """
    sentence, first = str(error), _PLACE.search(str(error))
    fault = None
    if first and first[3]:
        fault = first[1], int(first[2]) - 1, first[3].replace("angle_deg", "angle")
    said = _PLACE.sub(
        lambda m: (
            f"{PARTS[m[1]][0]} {m[2]}"
            + (f" {m[3].replace('angle_deg', 'angle').replace('_', ' ')}" if m[3] else "")
        ),
        sentence,
    )
    if units == "in":
        said = re.sub(
            r"([−-]?[\d.]+) mm\b",
            lambda m: as_text(Quantity(float(m[1].replace("−", "-")), "mm"), "in", 4),
            said,
        ).replace("larger value in mm", "larger value")
    return said, fault


def take(crank, typed):
    """Take all edits that can be taken together; the others are refused with a sentence each.

    - ``typed``: Text by key, in the order of typing.

    Returns the crank as far as it can exist, and a sentence for each key refused.
    An impossible combination costs the edit that the crank's own check names, or the last one
    typed.
    """
    wanted, refused = {}, {}
    units = typed.get("units", crank.units)
    for key, text in typed.items():
        try:
            wanted[key] = read(key, text, units if units in ("mm", "in") else crank.units)
        except (TypeError, ValueError, pint.DimensionalityError) as error:
            refused[key] = str(error)
    while True:
        try:
            return changed(crank, wanted), refused
        except ValueError as error:
            sentence, fault = in_words(error, units)
            key = fault if fault in wanted else next(reversed(wanted))
            refused[key] = sentence
            del wanted[key]


def edited(crank, lines):
    """A crank edited by lines of text; prints what was understood, and keeps the old size where a
    line cannot be taken.

    - ``lines``: One edit a line, for example ``throw 1 radius: 20 mm``, ``mains diameter: 3/4 in``,
      ``name: garden pump``; ``add a throw`` and ``remove throw 2`` change their number first.
    """
    typed = {}
    for line in filter(str.strip, lines.splitlines()):
        plain = " ".join(line.lower().split())
        try:
            if plain == "add a throw":
                crank = with_throw_added(crank)
                print(
                    _(
                        "throw {count} added at the right, a copy of throw {copied} turned by 180°"
                    ).format(count=len(crank.throws), copied=len(crank.throws) - 1)
                )
            elif removal := re.fullmatch(r"remove throw (\d{1,3})", plain):
                crank = with_throw_removed(crank, int(removal[1]) - 1)
                print(_("throw {removal} removed").format(removal=removal[1]))
            elif match := _LINE.match(line):
                typed |= dict.fromkeys(find(crank, match["words"]), match["text"])
            else:
                raise ValueError(
                    _("“{line}” has no colon; write for example throw 1 radius: 18 mm").format(
                        line=line.strip()
                    )
                )
        except ValueError as error:
            print(_("Not taken: {error}").format(error=error))
    typed = {key: text for key, text in typed.items() if key in HEAD or key in keys(crank)}
    new, refused = take(crank, typed)
    for key in typed:
        print(
            _("Not taken: {refused}").format(refused=refused[key])
            if key in refused
            else f"{words(key)}: {text_of(new, key)}"
        )
    return new


def with_throw_added(crank):
    """The crank with one more throw at its right end: a copy of the last one turned by half a turn.

    ValueError: The crank has as many throws as the form takes.
    The journal between is a copy of the last inner one; without one, of the end journal, as long
    as thick.
    """
    if len(crank.throws) >= MOST_THROWS:
        raise ValueError(
            _(
                "throws are at most {most_throws} here; write a longer crank into its file by hand"
            ).format(most_throws=MOST_THROWS)
        )
    last, end = crank.throws[-1], crank.journals[-1]
    inner = (
        crank.journals[-2]
        if len(crank.throws) > 1
        else replace(end, length=max(end.diameter, 2 * end.fillet))
    )
    turned = Quantity((last.angle.m_as("deg") + 180) % 360, "deg")
    return replace(
        crank,
        journals=(*crank.journals[:-1], inner, end),
        throws=(*crank.throws, replace(last, angle=turned)),
    )


def with_throw_removed(crank, index):
    """The crank without one throw and without one of the journals beside it; the end journals stay.

    - ``index``: Counts throws from zero.

    ValueError: There is no such throw, or it is the only one, or what is left cannot exist.
    """
    if index not in range(len(crank.throws)):
        raise ValueError(
            _("throw {index} is not there: this crank has {count}").format(
                index=index + 1, count=len(crank.throws)
            )
        )
    if len(crank.throws) == 1:
        raise ValueError(_("throw 1 is the only one; a crank needs at least one"))
    journal = min(index + 1, len(crank.throws) - 1)
    return replace(
        crank,
        journals=crank.journals[:journal] + crank.journals[journal + 1 :],
        throws=crank.throws[:index] + crank.throws[index + 1 :],
    )


def described(crank, unit=None):
    """One sentence with the sizes that matter, for whoever cannot see the drawing.

    - ``unit``: "mm" or "in"; default the crank's own.
    """
    unit = unit or crank.units
    mains = ", ".join(
        f"Ø{as_text(one.diameter, unit)} × {as_text(one.length, unit)}" for one in crank.journals
    )
    throws = "; ".join(
        _(
            "throw {number} of {radius} at {angle}, pin Ø{pin_diameter} × {pin_length}, webs "
            "{web_thickness} thick and {web_width} wide"
        ).format(
            number=number,
            radius=as_text(one.radius, unit),
            angle=_degrees(one.angle),
            pin_diameter=as_text(one.pin_diameter, unit),
            pin_length=as_text(one.pin_length, unit),
            web_thickness=as_text(one.web_thickness, unit),
            web_width=as_text(one.web_width, unit),
        )
        for number, one in enumerate(crank.throws, 1)
    )
    return _("{name}, {steel}, {length} long, side and end view; mains {mains}; {throws}.").format(
        name=crank.name,
        steel=crank.steel,
        length=as_text(crank.length, unit),
        mains=mains,
        throws=throws,
    )


def start_from(crank):
    """An example under a name of the reader's own."""
    return replace(crank, name=f"my {crank.name}"[:LONGEST_NAME])
