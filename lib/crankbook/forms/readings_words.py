"""What fitted readings say in sentences, and their picture."""

import numpy as np

from crankmath.inspection import uncertainty, vee_blocks
from crankmath.language import _
from crankmath.units import Quantity, as_text

from ..pictures import scene
from ..pictures.proving import runout_picture


def on_centers(fit, unit, unread=None):
    """Sentences on the offset, what to do about it, what to read next, and the form by the lobes
    that stand out.

    - ``unread``: Mains of the same crank not read yet; None where the place names no crank.

    At about equal steps the height of lobes is as uncertain as the offset.
    """
    lobes = {n: size for n, (size, _unused) in fit.harmonics.items() if n > 1}
    seen = {n: size for n, size in lobes.items() if size > fit.eccentricity_expanded}
    if seen or not lobes:
        return f"{move(fit, unit, unread)} {_lobes(seen, unit)}"
    least = as_text(2 * fit.eccentricity_expanded, unit, 2)
    return _("{move} No form stands out: lobes of less than {least} would not.").format(
        move=move(fit, unit, unread), least=least
    )


def move(fit, unit, unread=None):
    """Sentences on an offset between centers: which way to move, and what to read before metal is
    taken off.

    One place never finds a cause: a bow and a tilt may look alike on one main, and scraping cures
    a tilt alone.

    Basis: derived. The high mark shows where the main's own axis lies from the line of centers:
    the centers follow it, or the part moves away from it.
    """
    if not fit.found:
        return _("No offset stands out from the scatter: leave the centers where they are.")
    offset = uncertainty.with_uncertainty(fit.eccentricity, fit.eccentricity_expanded, unit)
    high, low = (f"{mark.m_as('deg'):.0f}°" for mark in (fit.direction, fit.correction))
    return _(
        "Offset {offset}, high at the {high} mark (± {direction_expanded:.0f}°): this place alone "
        "would say, move the centers that far toward the {high} mark, which is the part toward the "
        "{low} mark. Take no metal off for it: {unread}"
    ).format(
        offset=offset,
        high=high,
        direction_expanded=fit.direction_expanded.m_as("deg"),
        low=low,
        unread=_next(unread),
    )


def _next(unread):
    """What to read and where to look before anything is scraped or cut."""
    others = _("the other mains") if unread is None else _(" and ").join(unread)
    read = _("read {others} too, then let lesson 16 look at all mains together.").format(
        others=others
    )
    if unread == ():
        read = _("lesson 16 looks at all mains together and says what cures them.")
    return _("one place never finds a cause; {read}").format(read=read)


def drift_sentences(fit, found, unit):
    """What the closing reading says of the dial's drift, or that there is none; a list of 0 or
    1."""
    if fit.drift is None:
        if found.closing_likely:
            return [
                _(
                    "is the last reading taken at the first mark again? Choose it under “Each line "
                    "holds”."
                )
            ]
        return [
            _("the first mark was not read again at the end, so the dial's drift is not known.")
        ]
    if fit.drift_expanded is None or abs(fit.drift) <= fit.drift_expanded:
        return []
    drift = uncertainty.with_uncertainty(fit.drift, fit.drift_expanded, unit)
    return [
        _(
            "the dial drifted by {drift} from first to last reading; the fit has taken that off."
        ).format(drift=drift)
    ]


def in_a_vee(fit, vee_angle, unit):
    """Sentences on what a vee shows of a part, and what it cannot."""
    swing = (
        as_text(fit.swing, unit, 3)
        if fit.swing_expanded is None
        else uncertainty.with_uncertainty(fit.swing, fit.swing_expanded, unit)
    )
    form = vee_blocks.form_from_vee(fit, vee_angle)
    return _(
        "In this vee the dial swings {swing}. A vee shows no offset, so it proves no runout: "
        "measure on centers for the verdict. {form}"
    ).format(swing=swing, form=_lobes(form, unit))


def _lobes(sizes, unit):
    """Heights by number of lobes, valley to top."""
    digits, label = (1, "µm") if unit == "um" else (2, "thou")
    seen = ", ".join(
        _("{number} lobes {size:.{digits}f} {label}").format(
            number=n, size=2 * size.m_as(unit), digits=digits, label=label
        )
        for n, size in sizes.items()
        if size is not None
    )
    blind = ", ".join(str(n) for n, size in sizes.items() if size is None)
    told = (
        _("Form, valley to top: {seen}.").format(seen=seen)
        if seen
        else _("Too few readings to tell form from scatter.")
    )
    return told + (_(" This vee is blind to {blind} lobes.").format(blind=blind) if blind else "")


def form_picture(fit, found, vee, unit):
    """Readings, section and bars of a fit.

    - ``vee`` [deg]
    """
    around = runout_picture.AROUND
    curve = {
        n: size.m_as(unit) * np.cos(n * np.radians(around - top.m_as("deg")))
        for n, (size, top) in fit.harmonics.items()
    }
    taken = np.isfinite(found.reading.magnitude)
    angle = found.angle.m_as("deg")[taken] % 360
    dial = found.reading.m_as(unit)[taken] - fit.mean.m_as(unit)
    offset, toward = fit.eccentricity.m_as(unit), fit.direction.m_as("deg")
    heights = {n: 2 * size.m_as(unit) for n, (size, _unused) in fit.harmonics.items()}
    outline, moving = sum(curve.values()), offset if fit.found else 0.0
    if vee is not None:
        angle_of_vee, moving = Quantity(vee, "deg"), 0.0
        form = vee_blocks.form_from_vee(fit, angle_of_vee)
        seen = [
            curve[n] / vee_blocks.vee_factor(n, angle_of_vee, signed=True)
            for n, size in form.items()
            if size is not None
        ]
        outline = vee_blocks.outline_at_rest(
            Quantity(sum(seen, np.zeros_like(around)), unit), angle_of_vee
        ).magnitude
        heights = {
            1: None,
            **{n: None if size is None else 2 * size.m_as(unit) for n, size in form.items()},
        }
    reach = max(abs(dial).max(), abs(sum(curve.values())).max(), 1e-6)
    step = 10 ** np.floor(np.log10(reach * 1.1))
    most = float(
        next(
            size for size in step * np.array([1, 1.5, 2, 3, 4, 5, 6, 8, 10]) if size >= reach * 1.1
        )
    )
    figure = runout_picture.runout_paper("µm" if unit == "um" else "thou", most)
    items = runout_picture.reading_items(sum(curve.values()), angle, dial, (0.0, offset, toward))
    items += runout_picture.section_items(outline, moving, toward, most)
    items += [] if vee is None else runout_picture.vee_items(vee, most)
    return scene.add(figure, items + runout_picture.lobe_bars(heights))
