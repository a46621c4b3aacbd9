"""What a job asks: its questions, by group."""

from ..blank import bar
from ..cutting.operations import MILLINGS
from ..cutting.speeds import TOOLS
from ..forces import kienzle
from ..heat import cooling
from ..lathe import DRIVES
from ..service import bearings, fatigue
from ..workpiece.placing import OUTLINES
from .answers import Field

LENGTH, FINE, FORCE, SPEED = (
    ("mm", "in", "cm", "thousandth", "um"),
    ("um", "thousandth", "mm", "in"),
    ("N", "lbf", "kN"),
    ("rpm",),
)
PRESSURE = ("MPa", "psi", "bar", "kPa", "kpsi")
STRESS, STIFFNESS = ("MPa", "kpsi", "psi", "N/mm**2", "GPa"), ("N/um", "lbf/in", "N/mm", "kN/mm")
SPACER_CHOICES = ("none", "in the first throw only", "in every throw")
CENTER_CHOICES = ("turns with the work", "stands still")
PUMPS = ("liquid pump", "air compressor")
STROKES = {"four-stroke engine": 4, "two-stroke engine": 2}  # of a cycle
ENGINES = tuple(STROKES)
MACHINES = ("not known", *PUMPS, *ENGINES, "steady force")
SUPPORTS = ("between centers", "pair of vee blocks")
SLOT_METHODS = ("milled", "chain drilled and sawn")
MOUNTINGS = ("bolted down", "on springs")
BEARING_SERIES, PLAY_GROUPS = ("light", "medium"), ("CN", "C2", "C3")
FIXINGS = ("a clamp, the main stays whole", "a key", "a cross pin", "a tight hub or a taper")
COUNTERWEIGHTS = ("none", "on every throw")
BANKS = ("in line", "throws by turns in two banks", "two rods on every pin, a bank each")
FITTED, BALL = ("spacers", SPACER_CHOICES[1:]), ("main_bearing", ("ball bearing",))
PUMPING, FIRING, CYLINDER = (("machine", of) for of in (PUMPS, ENGINES, PUMPS + ENGINES))
INDICATORS = ("dial indicator 0.01 mm", "lever indicator 0.002 mm", "lever indicator 0.0005 in")


def _length(key, group, label, most=1e4, **more):
    return Field(key, group, label, units=LENGTH, most=most, **({"above": 0} | more))


def _choice(key, group, label, options, used_with=()):
    return Field(key, group, label, "choice", options=options, used_with=used_with)


def _stiffness(key, label):
    return Field(key, "Lathe", label, units=STIFFNESS, above=0, most=1e5)


FIELDS = (
    Field("lathe_name", "Lathe", "Name of the lathe", "words"),
    _length("center_height", "Lathe", "Center height over the bed"),
    _length("between_centers", "Lathe", "Most between centers"),
    _length("swing_over_carriage", "Lathe", "Diameter that passes over the carriage"),
    _length("slide_reach", "Lathe", "Cross slide beside the tool, along the bed"),
    Field("power", "Lathe", "Motor's power", units=("W", "horsepower", "kW"), above=0, most=1e5),
    _choice("drive", "Lathe", "Drive", DRIVES),
    Field(
        "base_speed",
        "Lathe",
        "Spindle speed below which its torque is constant",
        units=SPEED,
        above=0,
        most=2e4,
        used_with=("drive", ("electronic",)),
    ),
    Field(
        "efficiency", "Lathe", "Share of the power that reaches the tool", "number", above=0, most=1
    ),
    Field("gear_table", "Lathe", "Speeds of the gear table", "row", ("rpm",), most=2e4),
    Field("feeds", "Lathe", "Feeds of the feed table, a turn", "row", ("mm", "in"), most=10),
    Field(
        "unbalance_force",
        "Lathe",
        "Out-of-balance force the stand bears",
        units=FORCE,
        above=0,
        most=1e5,
    ),
    _stiffness("headstock_stiffness", "Headstock's center, sideways stiffness"),
    _stiffness("tailstock_stiffness", "Tailstock's center, sideways stiffness"),
    _stiffness("axial_stiffness", "Headstock and bed, stiffness along the axis"),
    _stiffness("tool_stiffness", "Tool, post and slides, stiffness away from the work"),
    _stiffness("tool_axial_stiffness", "Tool, post and slides, stiffness along the axis"),
    Field(
        "tool_frequency",
        "Lathe",
        "Tool and post ring after a tap, away from the work, at",
        units=("Hz",),
        above=0,
        most=1e5,
    ),
    Field(
        "tool_axial_frequency",
        "Lathe",
        "Tool and post ring after a tap, along the axis, at",
        units=("Hz",),
        above=0,
        most=1e5,
    ),
    Field("damping_ratio", "Lathe", "Damping ratio of work and tool", "number", above=0, most=0.5),
    Field(
        "process_damping",
        "Lathe",
        "Process damping, of the flank's rubbing",
        units=("N/m", "lbf/in", "N/mm"),
        above=0,
        most=1e9,
    ),
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
        "How far its length may be off that of its gap",
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
    _choice("tool", "Cuts", "Tools are of", TOOLS),
    _length("rough_nose", "Cuts", "Nose radius of the roughing tool", 10, least=0, above=None),
    _length("nose_radius", "Cuts", "Nose radius of the finishing tool", 10, least=0, above=None),
    Field(
        "approach_angle",
        "Cuts",
        "Angle between edge and feed",
        units=("deg",),
        least=10,
        most=100,
    ),
    Field(
        "hardness",
        "Cuts",
        "Brinell hardness of the bar",
        "number",
        above=0,
        most=800,
        may_be_blank=True,
    ),
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
        used_with=PUMPING,
    ),
    Field(
        "peak_pressure",
        "What it drives",
        "Peak pressure as the charge fires, above the air's",
        units=PRESSURE,
        above=0,
        most=100,
        used_with=FIRING,
    ),
    Field(
        "compression_ratio",
        "What it drives",
        "Compression ratio, largest over smallest volume",
        "number",
        above=1,
        most=30,
        used_with=FIRING,
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
        "Reciprocating mass on each rod",
        units=("kg", "lb", "g", "oz"),
        least=0,
        most=1e3,
    ),
    _choice("fixing", "What it drives", "Wheel on the right end is held by", FIXINGS),
    _length(
        "fixing_length",
        "What it drives",
        "Inner edge of keyseat, pin or hub from the right end",
        may_be_blank=True,
        used_with=("fixing", FIXINGS[1:]),
    ),
    _length(
        "fixing_hole",
        "What it drives",
        "Hole of the cross pin",
        100,
        used_with=("fixing", FIXINGS[2:3]),
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
    _choice(
        "bearing_play", "Bearings", "Their internal clearance, by its group", PLAY_GROUPS, BALL
    ),
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
        ("height gauge 0.02 mm", "height gauge 0.001 in", *INDICATORS),
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
