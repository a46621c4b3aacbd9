"""What a job asks: its questions, by group."""

from ..blank import bar
from ..cutting.rough_out import MILLINGS
from ..cutting.speeds import TOOLS
from ..forces import kienzle
from ..heat import cooling
from ..language import _, marked
from ..lathe import DRIVES
from ..service import bearings, fatigue
from ..workpiece.placing import OUTLINES
from .answers import Field

LATHE, BAR, SPACERS, CUTS = (
    marked("Lathe"),
    marked("Bar and centers"),
    marked("Spacers"),
    marked("Cuts"),
)
DRIVEN, BEARINGS = marked("What it drives"), marked("Bearings")
MEASURING, BALANCE = marked("Measuring"), marked("Balance")
LENGTH, FINE, FORCE, SPEED = (
    ("mm", "in", "cm", "thousandth", "um"),
    ("um", "thousandth", "mm", "in"),
    ("N", "lbf", "kN"),
    ("rpm",),
)
PRESSURE = ("MPa", "psi", "bar", "kPa", "kpsi")
STRESS, STIFFNESS = ("MPa", "kpsi", "psi", "N/mm**2", "GPa"), ("N/um", "lbf/in", "N/mm", "kN/mm")
SPACER_CHOICES = (marked("none"), marked("in the first throw only"), marked("in every throw"))
CENTER_CHOICES = (marked("turns with the work"), marked("stands still"))
PUMPS = (marked("liquid pump"), marked("air compressor"))
STROKES = {marked("four-stroke engine"): 4, marked("two-stroke engine"): 2}  # of a cycle
ENGINES = tuple(STROKES)
MACHINES = (marked("not known"), *PUMPS, *ENGINES, marked("steady force"))
SUPPORTS = (marked("between centers"), marked("pair of vee blocks"))
SLOT_METHODS = (marked("milled"), marked("chain drilled and sawn"))
MOUNTINGS = (marked("bolted down"), marked("on springs"))
BEARING_SERIES, PLAY_GROUPS = (marked("light"), marked("medium")), ("CN", "C2", "C3")
FIXINGS = (
    marked("a clamp, the main stays whole"),
    marked("a key"),
    marked("a cross pin"),
    marked("a tight hub or a taper"),
)
COUNTERWEIGHTS = ("none", marked("on every throw"))
BANKS = (
    marked("in line"),
    marked("throws by turns in two banks"),
    marked("two rods on every pin, a bank each"),
)
FITTED, BALL = ("spacers", SPACER_CHOICES[1:]), ("main_bearing", (marked("ball bearing"),))
PUMPING, FIRING, CYLINDER = (("machine", of) for of in (PUMPS, ENGINES, PUMPS + ENGINES))
INDICATORS = (
    marked("dial indicator 0.01 mm"),
    marked("lever indicator 0.002 mm"),
    marked("lever indicator 0.0001 in"),
    marked("lever indicator 0.0005 in"),
)


def _length(key, group, label, most=1e4, **more):
    return Field(key, group, label, units=LENGTH, most=most, **({"above": 0} | more))


def _choice(key, group, label, options, used_with=()):
    return Field(key, group, label, "choice", options=options, used_with=used_with)


def _stiffness(key, label):
    return Field(key, LATHE, label, units=STIFFNESS, above=0, most=1e5)


FIELDS = (
    Field("lathe_name", LATHE, _("Name of the lathe"), "words"),
    _length("center_height", LATHE, _("Center height over the bed")),
    _length("between_centers", LATHE, _("Most between centers")),
    _length("swing_over_carriage", LATHE, _("Diameter that passes over the carriage")),
    _length("slide_reach", LATHE, _("Cross slide beside the tool, along the bed")),
    Field("power", LATHE, _("Motor's power"), units=("W", "horsepower", "kW"), above=0, most=1e5),
    _choice("drive", LATHE, _("Drive"), DRIVES),
    Field(
        "base_speed",
        LATHE,
        _("Spindle speed below which its torque is constant"),
        units=SPEED,
        above=0,
        most=2e4,
        used_with=("drive", ("electronic",)),
    ),
    Field(
        "efficiency",
        LATHE,
        _("Share of the power that reaches the tool"),
        "number",
        above=0,
        most=1,
    ),
    Field("gear_table", LATHE, _("Speeds of the gear table"), "row", ("rpm",), most=2e4),
    Field("feeds", LATHE, _("Feeds of the feed table, a turn"), "row", ("mm", "in"), most=10),
    Field(
        "unbalance_force",
        LATHE,
        _("Out-of-balance force the stand bears"),
        units=FORCE,
        above=0,
        most=1e5,
    ),
    _stiffness("headstock_stiffness", _("Headstock's center, sideways stiffness")),
    _stiffness("tailstock_stiffness", _("Tailstock's center, sideways stiffness")),
    _stiffness("axial_stiffness", _("Headstock and bed, stiffness along the axis")),
    _stiffness("tool_stiffness", _("Tool, post and slides, stiffness away from the work")),
    _stiffness("tool_axial_stiffness", _("Tool, post and slides, stiffness along the axis")),
    Field(
        "tool_frequency",
        LATHE,
        _("Tool and post ring after a tap, away from the work, at"),
        units=("Hz",),
        above=0,
        most=1e5,
    ),
    Field(
        "tool_axial_frequency",
        LATHE,
        _("Tool and post ring after a tap, along the axis, at"),
        units=("Hz",),
        above=0,
        most=1e5,
    ),
    Field("damping_ratio", LATHE, _("Damping ratio of work and tool"), "number", above=0, most=0.5),
    Field(
        "process_damping",
        LATHE,
        _("Process damping, of the flank's rubbing"),
        units=("N/m", "lbf/in", "N/mm"),
        above=0,
        most=1e9,
    ),
    _length("counterweight_radius", LATHE, _("Radius of a weight on the driving plate")),
    _length("dog_width", LATHE, _("Dog: its width along the bar"), 200),
    _length("dog_wall", LATHE, _("Dog: wall of its ring around the bar"), 200),
    _length("dog_screw", LATHE, _("Dog: its screw stands out from the bar"), 300),
    _choice("bar_shape", BAR, _("Bar"), bar.SHAPES),
    _length("bar_size", BAR, _("Its diameter, side or width"), may_be_blank=True),
    _length(
        "bar_height",
        BAR,
        _("Height of a flat bar"),
        may_be_blank=True,
        used_with=("bar_shape", ("flat",)),
    ),
    _length("bar_allowance", BAR, _("Metal to machine away all around"), least=0, above=None),
    _length("center_end", BAR, _("Full bar left at each end"), least=0, above=None),
    _length("handwheel_lead", BAR, _("Mill's travel for a turn of its handwheel"), 50),
    _length("backlash", BAR, _("Lost motion of its handwheel"), 10, least=0, above=None),
    Field("thrust", BAR, _("Thrust of the tailstock"), units=FORCE, least=0, most=1e5),
    _choice("center", BAR, _("The tailstock's center"), CENTER_CHOICES),
    _choice("center_standard", BAR, _("Standard of the center drills"), ("ISO", "ASME")),
    _choice("spacers", SPACERS, _("Spacers"), SPACER_CHOICES),
    _length(
        "spacer_diameter", SPACERS, _("Diameter of a spacer"), may_be_blank=True, used_with=FITTED
    ),
    Field(
        "spacer_doubt",
        SPACERS,
        _("Uncertainty of its length against its gap, either way"),
        units=FINE,
        above=0,
        most=1e3,
        used_with=FITTED,
    ),
    Field(
        "allowed_runout", SPACERS, _("Runout allowed on the mains"), units=FINE, above=0, most=1e3
    ),
    _choice("milled", CUTS, _("Milled away before turning"), tuple(MILLINGS)),
    _choice("slot_method", CUTS, _("Slots are"), SLOT_METHODS),
    _length(
        "chain_drill",
        CUTS,
        _("Drill of the chain of holes"),
        50,
        used_with=("slot_method", SLOT_METHODS[1:]),
    ),
    _choice("web_outline", CUTS, _("Outlines of the webs"), OUTLINES),
    _length("rough_depth", CUTS, _("Deepest roughing pass, on the radius"), 25),
    _length("rough_feed", CUTS, _("Roughing feed for a turn"), 2),
    _length("finish_allowance", CUTS, _("Left for finishing, on the radius"), 5),
    _length("last_cut", CUTS, _("Last cut, on the radius"), 5),
    _length("finish_feed", CUTS, _("Finishing feed for a turn"), 1),
    _choice("tool", CUTS, _("Tools are of"), TOOLS),
    _length("rough_nose", CUTS, _("Nose radius of the roughing tool"), 10, least=0, above=None),
    _length("nose_radius", CUTS, _("Nose radius of the finishing tool"), 10, least=0, above=None),
    Field(
        "approach_angle", CUTS, _("Angle between edge and feed"), units=("deg",), least=10, most=100
    ),
    Field(
        "hardness",
        CUTS,
        _("Brinell hardness of the bar"),
        "number",
        above=0,
        most=800,
        may_be_blank=True,
    ),
    _length("edge_width", CUTS, _("Width of the pin tool's edge"), 50),
    _length("blade_thickness", CUTS, _("Thickness of its blade"), 50),
    _length("blade_height", CUTS, _("Height of its blade"), 100),
    _length("blade_reach", CUTS, _("Blade standing out of the holder"), 500, may_be_blank=True),
    _choice("wear", CUTS, _("Edge of the tools"), kienzle.WEAR),
    _choice("cooling", CUTS, _("Cooling"), cooling.COOLANTS),
    _choice("machine", DRIVEN, _("Machine"), MACHINES),
    _length("bore", DRIVEN, _("Bore of the cylinder"), used_with=CYLINDER),
    Field(
        "pressure",
        DRIVEN,
        _("Delivery pressure, above the air's"),
        units=PRESSURE,
        above=0,
        most=100,
        used_with=PUMPING,
    ),
    Field(
        "peak_pressure",
        DRIVEN,
        _("Peak pressure as the charge fires, above the air's"),
        units=PRESSURE,
        above=0,
        most=100,
        used_with=FIRING,
    ),
    Field(
        "compression_ratio",
        DRIVEN,
        _("Compression ratio, largest over smallest volume"),
        "number",
        above=1,
        most=30,
        used_with=FIRING,
    ),
    Field(
        "push",
        DRIVEN,
        _("Steady force on the piston"),
        units=FORCE,
        above=0,
        most=1e6,
        used_with=("machine", ("steady force",)),
    ),
    Field(
        "clearance_share",
        DRIVEN,
        _("Compressor's dead volume, of the swept"),
        "number",
        above=0,
        most=2,
        used_with=("machine", ("air compressor",)),
    ),
    _length("rod_length", DRIVEN, _("Connecting rod between its bearings"), may_be_blank=True),
    Field(
        "rotating_mass",
        DRIVEN,
        _("Mass of each rod that turns with its pin"),
        units=("kg", "lb", "g", "oz"),
        least=0,
        most=1e3,
    ),
    Field("crank_speed", DRIVEN, _("Speed of the crank"), units=SPEED, above=0, most=2e4),
    Field(
        "moving_mass",
        DRIVEN,
        _("Reciprocating mass on each rod"),
        units=("kg", "lb", "g", "oz"),
        least=0,
        most=1e3,
    ),
    _choice("fixing", DRIVEN, _("Wheel on the right end is held by"), FIXINGS),
    _length(
        "fixing_length",
        DRIVEN,
        _("Inner edge of keyseat, pin or hub from the right end"),
        may_be_blank=True,
        used_with=("fixing", FIXINGS[1:]),
    ),
    _length(
        "fixing_hole", DRIVEN, _("Hole of the cross pin"), 100, used_with=("fixing", FIXINGS[2:3])
    ),
    _choice("finish", DRIVEN, _("Finish of the fillets"), fatigue.FINISHES),
    Field(
        "reliability",
        DRIVEN,
        _("Share of cranks that must last"),
        "number",
        least=0.5,
        most=0.999999,
    ),
    Field(
        "tensile_strength",
        DRIVEN,
        _("Tensile strength by the bar's certificate"),
        units=STRESS,
        above=0,
        most=5e3,
        may_be_blank=True,
    ),
    Field(
        "yield_strength",
        DRIVEN,
        _("Yield strength by the bar's certificate"),
        units=STRESS,
        above=0,
        most=5e3,
        may_be_blank=True,
    ),
    _choice(
        "main_bearing", BEARINGS, _("End mains run in"), (marked("bushing"), marked("ball bearing"))
    ),
    _choice(
        "bushing_material", BEARINGS, _("Bushings, mains and pins, of"), bearings.BUSHING_MATERIALS
    ),
    _length("bushing_length", BEARINGS, _("Length of a main's bushing"), may_be_blank=True),
    Field("main_class", BEARINGS, _("Tolerance class of the mains"), "words"),
    Field("pin_class", BEARINGS, _("Tolerance class of the pins"), "words"),
    _choice("bearing_series", BEARINGS, _("Ball bearings of the series"), BEARING_SERIES, BALL),
    _choice(
        "bearing_play", BEARINGS, _("Their internal clearance, by its group"), PLAY_GROUPS, BALL
    ),
    _length(
        "bearing_corner",
        BEARINGS,
        _("Ball bearing's least corner"),
        10,
        may_be_blank=True,
        used_with=BALL,
    ),
    Field(
        "dynamic_rating",
        BEARINGS,
        _("Ball bearing's dynamic rating C"),
        units=FORCE,
        above=0,
        most=1e7,
        may_be_blank=True,
        used_with=BALL,
    ),
    _choice("indicator", MEASURING, _("Indicator"), INDICATORS),
    _choice("supports", MEASURING, _("The crank is measured"), SUPPORTS),
    _choice(
        "height_gauge",
        MEASURING,
        _("Heights are measured with"),
        (marked("height gauge 0.02 mm"), marked("height gauge 0.001 in"), *INDICATORS),
    ),
    Field(
        "micrometer_doubt",
        MEASURING,
        _("Error of the micrometer, up to"),
        units=FINE,
        above=0,
        most=1e3,
    ),
    _length("throw_tolerance", MEASURING, _("Throw tolerance, either way"), 10),
    Field(
        "phase_tolerance",
        MEASURING,
        _("Tolerance of the angle between throws"),
        units=("deg",),
        above=0,
        most=45,
    ),
    _choice("mounting", BALANCE, _("The machine stands"), MOUNTINGS),
    Field(
        "balance_share",
        BALANCE,
        _("Share of the moving mass to balance"),
        "number",
        least=0,
        most=1,
    ),
    _choice("counterweights", BALANCE, _("Counterweights"), COUNTERWEIGHTS),
    _choice("banks", BALANCE, _("Cylinders stand"), BANKS),
    Field(
        "bank_angle",
        BALANCE,
        _("Angle between the banks"),
        units=("deg",),
        above=0,
        most=180,
        used_with=("banks", BANKS[1:]),
    ),
)
BY_KEY = {field.key: field for field in FIELDS}
GROUPS = tuple(dict.fromkeys(field.group for field in FIELDS))
