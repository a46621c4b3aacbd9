"""How sure a measured value is: sources, their sum by the law of propagation and by drawing, and
the verdict against a tolerance.
"""

import inspect
from dataclasses import dataclass, field

import numpy as np

from ..checks import one_of, several
from ..tables import rows
from ..units import Quantity, as_text, magnitude, number, ureg

CONFIDENCE = 0.95
# variance is half width squared over this; GUM 4.3, F.2.3
SHAPES = {"rectangular": 3.0, "triangular": 6.0, "arcsine": 2.0}


@dataclass(frozen=True)
class Source:
    """One source of uncertainty: estimate, standard uncertainty, shape, degrees of freedom."""

    name: str
    value: Quantity
    standard: Quantity
    shape: str = "normal"
    degrees_of_freedom: float = np.inf


@dataclass(frozen=True)
class Budget:
    """A combined result: value, standard and expanded uncertainty, shares of the variance."""

    value: Quantity
    standard: Quantity
    expanded: Quantity
    coverage_factor: float
    degrees_of_freedom: float
    shares: dict
    components: dict = field(repr=False)


@dataclass(frozen=True)
class Draws:
    """A Monte Carlo result: mean, standard deviation, ends of the interval that holds the share."""

    value: Quantity
    standard: Quantity
    low: Quantity
    high: Quantity


@dataclass(frozen=True)
class Verdict:
    """A word, "in", "out" or "cannot tell", and the sentence that goes with it."""

    word: str
    sentence: str

    def __str__(self):
        return f"{self.word}: {self.sentence}"


def student_factor(confidence, freedom):
    """Coverage factor of Student's distribution, two-sided; plain numbers."""
    from scipy.special import ndtri, stdtrit

    return float(
        ndtri(0.5 + confidence / 2) if np.isinf(freedom) else stdtrit(freedom, 0.5 + confidence / 2)
    )


def source(name, value, half_width=None, standard=None, shape=None, degrees_of_freedom=np.inf):
    """A source of uncertainty, from a half width (as a maker states it) or a standard uncertainty.

    ``name`` is the argument of the sum it belongs to, ``value`` the best estimate, ``half_width``
    or ``standard`` [kind of the value] its uncertainty. ``shape`` is "rectangular" by default with
    a half width, or "triangular" or "arcsine"; "normal" with a standard uncertainty.
    ``degrees_of_freedom``: readings less one behind a standard uncertainty; inf where it was not
    measured. Basis: standard. GUM (JCGM 100) 4.2 and 4.3.
    """
    if (half_width is None) == (standard is None):
        raise ValueError(f"{name}: write either half_width or standard")
    shape = shape or ("rectangular" if standard is None else "normal")
    if shape not in (*SHAPES, "normal") or (standard is None) != (shape in SHAPES):
        raise ValueError(
            f"{name}: shape must be {', '.join(SHAPES)} with a half width, normal with a standard "
            f"uncertainty; not {shape!r}"
        )
    if not isinstance(value, ureg.Quantity):
        magnitude(value, "mm", f"{name}.value")
    magnitude(value, _written(value.units), f"{name}.value", one=True)
    spread = ureg.Unit(_difference_unit(value.units))
    given, width = ("half_width", half_width) if standard is None else ("standard", standard)
    size = magnitude(
        width, _written(spread), f"{name}.{given}, of the kind of its value,", least=0, one=True
    )
    freedom = (
        number(degrees_of_freedom, "degrees_of_freedom", above=0)
        if np.isfinite(degrees_of_freedom)
        else np.inf
    )
    return Source(
        name, value, Quantity(size / np.sqrt(SHAPES.get(shape, 1.0)), spread), shape, freedom
    )


def tool_source(tool, name):
    """A usual source of the shop: indicator, height gauge, vees, temperature; estimate zero.

    ``tool`` is for example "height gauge 0.02 mm" (the error message lists all), degrees of freedom
    are inf, ``name`` the argument of the sum it belongs to. Basis: rule of thumb. Common practice,
    no source (``data/measuring_sources.csv``): the paper of your own instrument is better.
    """
    row = _tool_row(tool)
    return source(
        name,
        Quantity(0.0, row["unit"]),
        half_width=Quantity(float(row["half_width"]), row["unit"]),
        shape=row["shape"],
    )


def tool_half_width(tool):
    """Largest error of a usual instrument of the shop, either way [unit of its table].

    ``tool`` as for ``tool_source``. Basis: common practice, no source, as there.
    """
    row = _tool_row(tool)
    return Quantity(float(row["half_width"]), row["unit"])


def _tool_row(tool):
    known = {row["name"]: row for row in rows("measuring_sources")}
    return known[one_of(tool, known, "tool")]


def tool_division(tool):
    """Division of a usual instrument of the shop, to which it is read; ``tool`` as ``tool_source``.

    In the unit that it shows. Basis: its name says it (``data/measuring_sources.csv``).
    """
    row = _tool_row(tool)
    if not row["division"]:
        raise ValueError(f"tool: a {tool} is read to no division; write an indicator or a gauge")
    return Quantity(float(row["division"]), row["unit"]).to(tool.split()[-1])


def combine(model, sources, confidence=CONFIDENCE):
    """Uncertainty of a sum by the law of propagation.

    ``model`` takes quantities by the sources' names and returns a quantity; ``sources`` are
    independent of each other; ``confidence`` is the share of cases that the expanded uncertainty
    has to hold. Degrees of freedom are inf where no source has few. u^2 = sum (c u)^2 over the
    sources, U = t(nu) u, nu = u^4 / sum (c u)^4 / nu_i.
    Basis: standard. GUM (JCGM 100) 5.1, G.4 (degrees of freedom cut to a whole number); first
    order, so a source that the result does not feel at its estimate counts nothing: compare
    ``monte_carlo``. Slopes by a step of one standard uncertainty (GUM 5.1.3).
    """
    share, sources = _checked_model(model, sources, confidence)
    unit = model(**{part.name: part.value for part in sources}).units
    steps = [part.standard.magnitude for part in sources]

    def plain(*values):
        return model(
            **{
                part.name: Quantity(value, part.value.units)
                for part, value in zip(sources, values, strict=True)
            }
        ).m_as(unit)

    if not any(steps):
        raise ValueError("sources: at least one needs an uncertainty above zero")
    at = np.array([float(part.value.magnitude) for part in sources])
    moves = np.diag(steps)
    components = {
        part.name: float(abs(plain(*(at + move)) - plain(*(at - move))) / 2)
        for part, move in zip(sources, moves, strict=True)
        if move.any()
    }
    standard = float(np.sqrt(sum(size**2 for size in components.values())))
    weight = sum(components.get(part.name, 0.0) ** 4 / part.degrees_of_freedom for part in sources)
    freedom = standard**4 / weight if weight else np.inf
    factor = student_factor(share, max(1.0, np.floor(freedom)))
    spread = _difference_unit(unit)
    return Budget(
        Quantity(plain(*at), unit),
        Quantity(standard, spread),
        Quantity(factor * standard, spread),
        factor,
        float(freedom),
        {
            part.name: float(components.get(part.name, 0.0) ** 2 / standard**2) if standard else 0.0
            for part in sources
        },
        {name: Quantity(size, spread) for name, size in components.items()},
    )


def _written(units):
    """Text of a unit, short for lengths, so that errors about them read like all others."""
    return f"{units:~}" if Quantity(1.0, units).check("[length]") else f"{units:D}"


def _difference_unit(unit):
    return "delta_degC" if ureg.Unit(unit) == ureg.degC else unit


def _checked_model(model, sources, confidence):
    sources = several(sources, Source, "sources")
    names = [part.name for part in sources]
    if len(set(names)) < len(names) or not names:
        raise ValueError(f"sources need names that differ, not {', '.join(names) or 'none'}")
    try:
        inspect.signature(model).bind(**dict.fromkeys(names))
    except TypeError as error:
        raise ValueError(f"model does not take the sources {', '.join(names)}: {error}") from None
    share = number(confidence, "confidence", above=0)
    if share >= 1:
        raise ValueError(f"confidence must be below 1, not {share:g}")
    return share, sources


def monte_carlo(model, sources, confidence=CONFIDENCE, draws=100_000, seed=1):
    """Uncertainty of a sum by drawing every source many times; ``model`` has to take arrays.

    ``sources`` and ``confidence`` as for ``combine``; 1,000 to 10 million ``draws``; the same
    ``seed`` draws the same numbers. Basis: standard. JCGM 101: rectangular, triangular and arcsine
    shapes as named; a normal source with few degrees of freedom is drawn from Student's
    distribution of its scale, so its spread is larger than its standard uncertainty.
    """
    share, sources = _checked_model(model, sources, confidence)
    count = int(number(draws, "draws", least=1000, most=1e7))
    start = number(seed, "seed", least=0, most=2**53, one=True)
    if start != int(start):
        raise ValueError(f"seed must be a whole number, not {seed}")
    random = np.random.default_rng(int(start))
    drawn = {}
    for part in sources:
        size = part.standard.magnitude
        width = size * np.sqrt(SHAPES.get(part.shape, 1.0))
        raw = {
            "rectangular": lambda: width * random.uniform(-1, 1, count),
            "triangular": lambda: (
                width * (random.uniform(-0.5, 0.5, count) + random.uniform(-0.5, 0.5, count))
            ),
            "arcsine": lambda: width * np.sin(random.uniform(0, 2 * np.pi, count)),
            "normal": lambda: (
                size
                * (
                    random.standard_normal(count)
                    if np.isinf(part.degrees_of_freedom)
                    else random.standard_t(part.degrees_of_freedom, count)
                )
            ),
        }[part.shape]()
        drawn[part.name] = Quantity(part.value.magnitude + raw, part.value.units)
    result = model(**drawn)
    values = np.broadcast_to(result.magnitude, (count,))
    low, high = np.quantile(values, [(1 - share) / 2, (1 + share) / 2])
    return Draws(
        Quantity(float(values.mean()), result.units),
        Quantity(float(values.std(ddof=1)), _difference_unit(result.units)),
        Quantity(float(low), result.units),
        Quantity(float(high), result.units),
    )


def with_uncertainty(value, expanded, unit=None):
    """Text of a value and its uncertainty, as 10.2 ± 1.7 µm.

    Both are rounded where the uncertainty's second digit stands. ``value`` and ``expanded`` are [of
    one kind]; ``unit`` is the unit shown, by default the value's own. Basis: standard. GUM (JCGM
    100) 7.2.6: two digits of an uncertainty are enough.
    """
    if not isinstance(value, ureg.Quantity):
        magnitude(value, "mm", "value")
    try:
        shown = value.units if unit is None else ureg.Unit(unit)
    except (AttributeError, TypeError):  # pint's own for no unit is an AttributeError
        raise ValueError(f"unit {unit!r} is not known; write for example 'um'") from None
    size = magnitude(value, _written(shown), "value", one=True)
    width = magnitude(
        expanded,
        _difference_unit(_written(shown)),
        "expanded, of the kind of value,",
        least=0,
        one=True,
    )
    if width <= 1e-12 * abs(size):
        return f"{as_text(value, shown)} ± 0"
    decimals = 1 - int(np.floor(np.log10(width)))
    plain = [
        f"{round(part, decimals) + 0.0:.{max(decimals, 0)}f}".replace("-", "−")
        for part in (size, width)
    ]
    return f"{plain[0]} ± {plain[1]} {as_text(Quantity(1.0, shown)).split(' ', 1)[-1]}"


def verdict(value, expanded, lower=None, upper=None):
    """Whether a measured value is in tolerance, out of it, or cannot be told.

    In when lower + U <= value <= upper - U, out when value < lower - U or value > upper + U; U is
    ``expanded`` (95 %, or k = 2). At least one of ``lower`` and ``upper`` [kind of the value].
    Basis: standard. ISO 14253-1: uncertainty counts against whoever has to prove (descriptions
    seen, the standard not). Its 2017 edition lets 1.65 standard uncertainties do at one limit of a
    wide tolerance (from memory): write that as ``expanded``.
    """
    if not isinstance(value, ureg.Quantity):
        magnitude(value, "mm", "value")
    unit = _written(value.units)
    found, guard = (
        magnitude(value, unit, "value", one=True),
        magnitude(
            expanded, _difference_unit(unit), "expanded, of the kind of value,", least=0, one=True
        ),
    )
    low = -np.inf if lower is None else magnitude(lower, unit, "lower", one=True)
    high = np.inf if upper is None else magnitude(upper, unit, "upper", one=True)
    if np.isinf(low) and np.isinf(high):
        raise ValueError("verdict needs a limit: write lower, upper or both")
    if low > high:
        raise ValueError("lower must not be above upper")
    shown = with_uncertainty(value, expanded)
    limit = " and ".join(
        f"{word} {as_text(edge, value.units)}"
        for word, edge in (("not below", lower), ("not above", upper))
        if edge is not None
    )
    if low + guard <= found <= high - guard:
        return Verdict("in", f"{shown} lies wholly inside the tolerance ({limit})")
    if found < low - guard or found > high + guard:
        return Verdict("out", f"{shown} lies wholly outside the tolerance ({limit})")
    hint = (
        "no value could pass with this uncertainty, measure better"
        if high - low < 2 * guard
        else "measure better or move the part further in"
    )
    return Verdict("cannot tell", f"{shown} reaches over a limit ({limit}); {hint}")
