"""What a job asks: its questions, how each answer is read, checked, shown in mm or inch, and stored without loss."""

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from ..blank import bar, layout
from ..cutting.operations import MILLINGS
from ..forces import kienzle
from ..heat import cooling
from ..lathe import load_lathe
from ..service import bearings, fatigue
from ..typed import read_quantity
from ..units import Quantity, as_text, magnitude, number, ureg
from ..workpiece.placing import OUTLINES

LENGTH, FINE, FORCE, SPEED = (
    ("mm", "in", "cm", "thousandth", "um"),
    ("um", "thousandth", "mm", "in"),
    ("N", "lbf", "kN"),
    ("rpm",),
)
PRESSURE = ("MPa", "psi", "bar", "kPa", "kpsi")
STRESS, STIFFNESS = ("MPa", "kpsi", "psi", "N/mm**2", "GPa"), ("N/um", "lbf/in", "N/mm", "kN/mm")
LONGEST_TEXT, MOST_STEPS = 60, 40
DECIMALS = 6  # significant digits an answer is shown with: what a reader types comes back as typed


@dataclass(frozen=True)
class Field:
    """One question of a job.

    ``kind`` is "quantity", "number", "choice", "words" or "speeds". ``units`` are those it takes, the metric one first, then the
    inch one where there is one. A field that ``may_be_blank`` then means what ``basis`` of its default says. One ``used_with``
    another field's key and words counts only where that has one of those words.
    """

    key: str
    group: str
    label: str
    kind: str = "quantity"
    units: tuple = ()
    options: tuple = ()
    above: float | None = None
    least: float | None = None
    most: float | None = None
    may_be_blank: bool = False
    used_with: tuple = ()

    def read(self, text):
        """Answer that a person typed.

        Parameters
        ----------
        text : str

        Returns
        -------
        Quantity, float, str, tuple of float, or None for a blank

        Raises
        ------
        TypeError, ValueError, pint.DimensionalityError
            The sentence names the field and says what to write.

        Notes
        -----
        Basis: derived; quantities by ``units.read_quantity``.
        """
        shown = str(text).strip()
        if self.may_be_blank and not shown:
            return None
        if self.kind == "choice":
            return self.checked(shown)
        if self.kind == "words":
            return self.checked(" ".join(shown.split()))
        if self.kind == "speeds":
            return self.checked(_typed_speeds(shown, self.label))
        if self.kind == "number":
            return self.checked(_typed_number(shown, self.label))
        return self.checked(read_quantity(shown, self.units, self.label))

    def checked(self, value):
        """The answer in its stored form, or an error that names the field; a quantity keeps its number and its unit."""
        if value is None and self.may_be_blank:
            return None
        if self.kind == "choice":
            if value not in self.options:
                raise ValueError(
                    f"{self.label} must be one of {', '.join(self.options)}, not “{str(value)[:60]}”"
                )
            return value
        if self.kind == "words":
            if (
                not isinstance(value, str)
                or not 0 < len(value) <= LONGEST_TEXT
                or not value.isprintable()
            ):
                raise ValueError(
                    f"{self.label} takes 1 to {LONGEST_TEXT} letters, not {str(value)[:70]!r}"
                )
            return value
        if self.kind == "speeds":
            return _checked_speeds(value, self.label)
        if self.kind == "number":
            return float(
                number(value, self.label, above=self.above, least=self.least, most=self.most)
            )
        size = magnitude(
            value, self.units[0], self.label, above=self.above, least=self.least, one=True
        )
        if self.most is not None and size > self.most:
            most = Quantity(self.most, self.units[0])
            raise ValueError(
                f"{self.label} must be at most {as_text(most)}, not {as_text(value)}: is the unit right?"
            )
        unit = next((unit for unit in self.units if ureg.Unit(unit) == value.units), None)
        return Quantity(float(value.magnitude), unit) if unit else Quantity(size, self.units[0])

    def shown(self, value, units):
        """Text of an answer in mm or inch units, as it stands in the field: converted, never relabeled.

        Parameters
        ----------
        value : answer
        units : "mm" or "in"

        Returns
        -------
        str

        Notes
        -----
        Basis: derived. An answer in a unit of the wanted system stays as typed.
        """
        if value is None:
            return ""
        if self.kind == "speeds":
            return " ".join(f"{step:g}" for step in value) + " rpm"
        if self.kind == "number":
            return f"{value:g}"
        if self.kind != "quantity":
            return value
        unit = value.units
        if (
            inch(unit) != (units == "in")
            and len(self.units) > 1
            and any(inch(ureg.Unit(one)) for one in self.units)
        ):
            unit = next(one for one in self.units if inch(ureg.Unit(one)) == (units == "in"))
        return as_text(value, unit, DECIMALS)

    def to_json(self, value):
        """The answer as JSON holds it: a quantity as its number and unit."""
        if isinstance(value, Quantity):
            unit = next(unit for unit in self.units if ureg.Unit(unit) == value.units)
            return [value.magnitude, unit]
        return list(value) if isinstance(value, tuple) else value

    def from_json(self, stored):
        """The answer that :meth:`to_json` wrote, checked."""
        if self.kind == "quantity" and stored is not None:
            good = (
                isinstance(stored, list)
                and len(stored) == 2
                and _is_number(stored[0])
                and stored[1] in self.units
            )
            if not good:
                raise ValueError(
                    f"{self.key} has to be a number and one of {', '.join(self.units)} in a list, not {str(stored)[:60]}"
                )
            return self.checked(Quantity(float(stored[0]), stored[1]))
        if self.kind == "number" and not _is_number(stored):
            raise ValueError(f"{self.key} has to be a number, not {str(stored)[:60]}")
        if self.kind == "speeds":
            if not isinstance(stored, list) or not all(map(_is_number, stored)):
                raise ValueError(f"{self.key} has to be a list of numbers, not {str(stored)[:60]}")
            stored = tuple(float(step) for step in stored)
        return self.checked(stored)


def inch(unit):
    """Whether a unit belongs to the inch system."""
    return any(
        name
        in (
            "inch",
            "foot",
            "thousandth",
            "force_pound",
            "pound",
            "pound_force_per_square_inch",
            "kpsi",
            "horsepower",
            "ounce",
            "surface_foot_per_minute",
            "delta_degree_Fahrenheit",
        )
        for name, _ in Quantity(1, unit).unit_items()
    )


def _is_number(value):
    """Whether a stored value is a number, and not a whole one too long for any quantity."""
    return (
        isinstance(value, float)
        or isinstance(value, int)
        and not isinstance(value, bool)
        and abs(value) < 1e300
    )


def _typed_number(shown, label):
    """A share or count: 0.75, 0,75, 3/4 or 75 %."""
    percent = shown.endswith("%")
    typed = shown.rstrip("%").strip()
    if not re.fullmatch(r"[-+−]?[\d.,/ ]+", typed) or not re.search(r"\d", typed):
        raise ValueError(
            f"{label}: no plain number found in “{shown[:40]}”; write for example 0.75 or 75 %"
        )
    return read_quantity(f"{typed} deg", ("deg",), label).magnitude / (100 if percent else 1)


def _typed_speeds(shown, label):
    """Steps of a gear table, apart by spaces; one rpm at the end may stand."""
    typed = re.sub(r"\s*rpm\s*$", "", shown, flags=re.IGNORECASE)
    parts = re.sub(r",\s+|;", " ", typed).split()
    if not parts:
        raise ValueError(
            f"{label} is empty: write the steps apart by spaces, for example 70 110 160 230 rpm"
        )
    for part in parts:
        if not re.fullmatch(r"\d+(\.\d+)?", part):
            raise ValueError(
                f"{label}: “{part[:20]}” is no speed; write the steps apart by spaces, for example 70 110 160 230 rpm"
            )
    return tuple(float(part) for part in parts)


def _checked_speeds(steps, label):
    if not isinstance(steps, tuple | list) or not 1 <= len(steps) <= MOST_STEPS:
        raise ValueError(f"{label} takes 1 to {MOST_STEPS} steps in rpm")
    found = sorted({float(number(step, label, above=0)) for step in steps})
    if found[-1] > 20_000:
        raise ValueError(
            f"{label}: {found[-1]:g} rpm is no lathe's speed; write the steps in rpm, apart by spaces"
        )
    return tuple(found)


SPACER_CHOICES = ("none", "in the first throw only", "in every throw")
CENTER_CHOICES = ("turns with the work", "stands still")
MACHINES = ("not known", "liquid pump", "air compressor", "steady force")
SUPPORTS = ("between centers", "pair of vee blocks")
SLOT_METHODS = ("milled", "chain drilled and sawn")
MOUNTINGS = ("bolted down", "on springs")
BEARING_SERIES, PLAY_GROUPS = ("light", "medium"), ("CN", "C2", "C3")
COUNTERWEIGHTS = ("none", "on every throw")
BANKS = ("in line", "throws by turns in two banks", "two rods on every pin, a bank each")
FITTED, BALL = ("spacers", SPACER_CHOICES[1:]), ("main_bearing", ("ball bearing",))
CYLINDER = ("machine", ("liquid pump", "air compressor"))
INDICATORS = ("dial indicator 0.01 mm", "lever indicator 0.002 mm", "lever indicator 0.0005 in")


def _length(key, group, label, most=1e4, **more):
    return Field(key, group, label, units=LENGTH, most=most, **({"above": 0} | more))


def _choice(key, group, label, options, used_with=()):
    return Field(key, group, label, "choice", options=options, used_with=used_with)


FIELDS = (
    Field("lathe_name", "Lathe", "Name of the lathe", "words"),
    _length("center_height", "Lathe", "Center height over the bed"),
    _length("between_centers", "Lathe", "Most between centers"),
    _length("swing_over_carriage", "Lathe", "Diameter that passes over the carriage"),
    Field("power", "Lathe", "Motor's power", units=("W", "horsepower", "kW"), above=0, most=1e5),
    Field("efficiency", "Lathe", "Share of it that reaches the tool", "number", above=0, most=1),
    Field("gear_table", "Lathe", "Speeds of the gear table", "speeds"),
    Field(
        "unbalance_force",
        "Lathe",
        "Out-of-balance force the stand bears",
        units=FORCE,
        above=0,
        most=1e5,
    ),
    Field(
        "center_stiffness",
        "Lathe",
        "Sideways stiffness of each center",
        units=STIFFNESS,
        above=0,
        most=1e5,
    ),
    Field(
        "tool_stiffness",
        "Lathe",
        "Stiffness of tool post and slides",
        units=STIFFNESS,
        above=0,
        most=1e5,
    ),
    Field("damping_ratio", "Lathe", "Damping ratio of the work", "number", above=0, most=0.5),
    _length("counterweight_radius", "Lathe", "Radius of a weight on the driving plate"),
    _length("dog_width", "Lathe", "Dog: its width along the bar", 200),
    _length("dog_wall", "Lathe", "Dog: wall of its ring around the bar", 200),
    _length("dog_screw", "Lathe", "Dog: its screw stands out from the bar", 300),
    _choice("bar_shape", "Bar and centers", "Bar", bar.SHAPES),
    _length("bar_size", "Bar and centers", "Its diameter, side or width", may_be_blank=True),
    _length(
        "bar_height",
        "Bar and centers",
        "Height of a flat bar",
        may_be_blank=True,
        used_with=("bar_shape", ("flat",)),
    ),
    _length(
        "bar_allowance", "Bar and centers", "Metal to machine away all around", least=0, above=None
    ),
    _length("center_end", "Bar and centers", "Full bar left at each end", least=0, above=None),
    _length("handwheel_lead", "Bar and centers", "Mill's travel for a turn of its handwheel", 50),
    _length("backlash", "Bar and centers", "Lost motion of its handwheel", 10, least=0, above=None),
    Field("thrust", "Bar and centers", "Thrust of the tailstock", units=FORCE, least=0, most=1e5),
    _choice("center", "Bar and centers", "The tailstock's center", CENTER_CHOICES),
    _choice("center_standard", "Bar and centers", "Center drills by", ("ISO", "ASME")),
    _choice("spacers", "Spacers", "Spacers", SPACER_CHOICES),
    _length(
        "spacer_diameter", "Spacers", "Diameter of a spacer", may_be_blank=True, used_with=FITTED
    ),
    Field(
        "spacer_doubt",
        "Spacers",
        "How far its length may be off",
        units=FINE,
        above=0,
        most=1e3,
        used_with=FITTED,
    ),
    Field(
        "allowed_runout", "Spacers", "Runout allowed on the mains", units=FINE, above=0, most=1e3
    ),
    _choice("milled", "Cuts", "Milled away before turning", tuple(MILLINGS)),
    _choice("slot_method", "Cuts", "Slots are", SLOT_METHODS),
    _length(
        "chain_drill",
        "Cuts",
        "Drill of the chain of holes",
        50,
        used_with=("slot_method", SLOT_METHODS[1:]),
    ),
    _choice("web_outline", "Cuts", "Outlines of the webs", OUTLINES),
    _length("rough_depth", "Cuts", "Deepest roughing pass, on the radius", 25),
    _length("rough_feed", "Cuts", "Roughing feed for a turn", 2),
    _length("finish_allowance", "Cuts", "Left for finishing, on the radius", 5),
    _length("last_cut", "Cuts", "Last cut, on the radius", 5),
    _length("finish_feed", "Cuts", "Finishing feed for a turn", 1),
    _length("nose_radius", "Cuts", "Nose radius of the tool", 10, least=0, above=None),
    _length("edge_width", "Cuts", "Width of the pin tool's edge", 50),
    _length("blade_thickness", "Cuts", "Thickness of its blade", 50),
    _length("blade_height", "Cuts", "Height of its blade", 100),
    _length("blade_reach", "Cuts", "Blade standing out of the holder", 500, may_be_blank=True),
    _choice("wear", "Cuts", "Edge of the tools", kienzle.WEAR),
    _choice("cooling", "Cuts", "Cooling", cooling.COOLANTS),
    _choice("machine", "What it drives", "Machine", MACHINES),
    _length("bore", "What it drives", "Bore of the cylinder", used_with=CYLINDER),
    Field(
        "pressure",
        "What it drives",
        "Delivery pressure, above the air's",
        units=PRESSURE,
        above=0,
        most=100,
        used_with=CYLINDER,
    ),
    Field(
        "push",
        "What it drives",
        "Steady force on the piston",
        units=FORCE,
        above=0,
        most=1e6,
        used_with=("machine", ("steady force",)),
    ),
    Field(
        "clearance_share",
        "What it drives",
        "Compressor's dead volume, of the swept",
        "number",
        above=0,
        most=2,
        used_with=("machine", ("air compressor",)),
    ),
    _length(
        "rod_length", "What it drives", "Connecting rod between its bearings", may_be_blank=True
    ),
    Field(
        "rotating_mass",
        "What it drives",
        "Mass of each rod that turns with its pin",
        units=("kg", "lb", "g", "oz"),
        least=0,
        most=1e3,
    ),
    Field("crank_speed", "What it drives", "Speed of the crank", units=SPEED, above=0, most=2e4),
    Field(
        "moving_mass",
        "What it drives",
        "Mass that goes to and fro, each throw",
        units=("kg", "lb", "g", "oz"),
        least=0,
        most=1e3,
    ),
    _choice("finish", "What it drives", "Finish of the fillets", fatigue.FINISHES),
    Field(
        "reliability",
        "What it drives",
        "Share of cranks that shall last",
        "number",
        least=0.5,
        most=0.999999,
    ),
    Field(
        "tensile_strength",
        "What it drives",
        "Tensile strength by the bar's paper",
        units=STRESS,
        above=0,
        most=5e3,
        may_be_blank=True,
    ),
    Field(
        "yield_strength",
        "What it drives",
        "Yield strength by the bar's paper",
        units=STRESS,
        above=0,
        most=5e3,
        may_be_blank=True,
    ),
    _choice("main_bearing", "Bearings", "End mains run in", ("bushing", "ball bearing")),
    _choice(
        "bushing_material", "Bearings", "Bushings, mains and pins, of", bearings.BUSHING_MATERIALS
    ),
    _length("bushing_length", "Bearings", "Length of a main's bushing", may_be_blank=True),
    Field("main_class", "Bearings", "Tolerance class of the mains", "words"),
    Field("pin_class", "Bearings", "Tolerance class of the pins", "words"),
    _choice("bearing_series", "Bearings", "Ball bearings of the series", BEARING_SERIES, BALL),
    _choice("bearing_play", "Bearings", "Their play, by its group", PLAY_GROUPS, BALL),
    _length(
        "bearing_corner",
        "Bearings",
        "Ball bearing's least corner",
        10,
        may_be_blank=True,
        used_with=BALL,
    ),
    Field(
        "dynamic_rating",
        "Bearings",
        "Ball bearing's dynamic rating C",
        units=FORCE,
        above=0,
        most=1e7,
        may_be_blank=True,
        used_with=BALL,
    ),
    _choice("indicator", "Measuring", "Indicator", INDICATORS),
    _choice("supports", "Measuring", "The crank is measured", SUPPORTS),
    _choice(
        "height_gauge",
        "Measuring",
        "Heights are measured with",
        ("height gauge 0.02 mm", *INDICATORS),
    ),
    Field(
        "micrometer_doubt", "Measuring", "Micrometer may be off by", units=FINE, above=0, most=1e3
    ),
    _length("throw_tolerance", "Measuring", "Throw may be off, either way", 10),
    Field(
        "phase_tolerance",
        "Measuring",
        "Angle between throws may be off",
        units=("deg",),
        above=0,
        most=45,
    ),
    _choice("mounting", "Balance", "The machine stands", MOUNTINGS),
    Field(
        "balance_share", "Balance", "Share of the moving mass to balance", "number", least=0, most=1
    ),
    _choice("counterweights", "Balance", "Counterweights", COUNTERWEIGHTS),
    _choice("banks", "Balance", "Cylinders stand", BANKS),
    Field(
        "bank_angle",
        "Balance",
        "Angle between the banks",
        units=("deg",),
        above=0,
        most=180,
        used_with=("banks", BANKS[1:]),
    ),
)
BY_KEY = {field.key: field for field in FIELDS}
GROUPS = tuple(dict.fromkeys(field.group for field in FIELDS))


@cache
def starting_texts(name="all", units="mm"):
    """What each answer starts from: (text, where it comes from) by key.

    Parameters
    ----------
    name : str
        An example crank; any other name gets the answers that hold for all.
    units : "mm" or "in"
        Round sizes of the one or the other.

    Returns
    -------
    dict

    Notes
    -----
    Basis: assumed values of our example machines, each marked; the lathe is ``load_lathe()``.
    """
    data = files("crankmath") / "data"
    stored = tomllib.loads((data / "job_defaults.toml").read_text(encoding="utf-8"))
    shop = tomllib.loads((data / "workshop.toml").read_text(encoding="utf-8"))
    lathe, assumed = load_lathe(), "night school's lathe, assumed"
    texts = {
        "lathe_name": (lathe.name, assumed),
        "center_height": (as_text(lathe.center_height), assumed),
        "between_centers": (as_text(lathe.between_centers), assumed),
        "power": (as_text(lathe.power), assumed),
        "swing_over_carriage": (as_text(2 * lathe.center_height_over_carriage), assumed),
        "handwheel_lead": (as_text(layout.handwheel_lead(units)), "night school's mill, assumed"),
        "backlash": (f"{shop['backlash_mm']:g} mm", "night school's mill, assumed"),
        "gear_table": (" ".join(f"{step:g}" for step in lathe.gear_table.m_as("rpm")), assumed),
        "unbalance_force": (
            as_text(lathe.unbalance_force),
            f"{assumed}: go up one step at a time to find your own",
        ),
    }
    for group in ("all", *(("inch",) if units == "in" else ()), name):
        texts |= {key: tuple(pair) for key, pair in stored.get(group, {}).items()}
    return {field.key: texts[field.key] for field in FIELDS}


def starting_answers(name="all", units="mm"):
    """Answers read from :func:`starting_texts`."""
    return {key: BY_KEY[key].read(text) for key, (text, _) in starting_texts(name, units).items()}
