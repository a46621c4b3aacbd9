"""Check of the heat that cuts leave in the work, and of the thrust that it adds."""

from ...heat import expansion
from ...language import _
from ...units import Quantity
from ..pressed import END
from ..verdicts import Found, Number, check, shown


@check("heat")
def check_heat(work):
    """The last pass of every turning step, with the spacers that then stand in the crank."""
    worse, *others = sorted(work.warmed, key=lambda one: -one.share)
    units, stage, (kind, index) = work.units, worse.stage, worse.piece
    risen, added, allowed, course = worse.risen, worse.added, stage.room, worse.course
    pin = kind == "pin"
    part = work.crank.throws[index].pin_diameter if pin else work.crank.journals[index].diameter
    warmest = Quantity(float(course.rise_of(kind, index).m_as("delta_degC")[END]), "delta_degC")
    large = expansion.hot_measuring_error(part, work.crank.steel, warmest)
    beside = 2 * index if pin else max(2 * index - 1, 0)
    web = Quantity(float(course.rise_of("web", beside).m_as("delta_degC")[END]), "delta_degC")
    numbers = [
        Number(_("operation"), worse.passes.name, "word"),
        Number(_("minutes of its last pass"), worse.minutes, "time"),
        Number(_("power of the cut"), worse.made.power, "power"),
        Number(_("heat into the work, rule"), worse.made.rule_heat, "power"),
        Number(_("heat into the work, formula"), worse.made.shear_heat, "power"),
        Number(_("thrust added by each degree"), worse.per_degree, "per degree"),
        Number(_("mean rise in one pass, rule"), risen[0], "rise"),
        Number(_("mean rise in one pass, formula"), risen[1], "rise"),
        Number(_("thrust added in one pass, rule"), added[0], "force"),
        Number(_("thrust added in one pass, formula"), added[1], "force"),
        Number(_("thrust that may be added"), allowed, "force"),
        Number(_("minutes until then, formula"), worse.until, "time"),
        Number(_("rise where it is cut, formula"), warmest, "rise"),
        Number(_("reads too large while that warm"), large, "fine"),
        Number(_("rise of the web beside it, formula"), web, "rise"),
    ]
    for one in others:
        numbers += [
            Number(
                _("{name}: thrust added by each degree").format(name=one.passes.name),
                one.per_degree,
                "per degree",
            ),
            Number(
                _("{name}: thrust added in one pass").format(name=one.passes.name),
                one.added[1],
                "force",
            ),
            Number(
                _("{name}: thrust that may be added").format(name=one.passes.name),
                one.stage.room,
                "force",
            ),
        ]
    packed = _("with its spacers in") if stage.step.fitted else _("with no spacer in")
    words = _(
        "The last pass of “{name}”, {packed}, {minutes} long, warms the crank by {risen} to "
        "{risen_most} and adds {added} to {added_most} of thrust between rigid centers"
    ).format(
        name=worse.passes.name,
        packed=packed,
        minutes=shown(worse.minutes, "time", units, 2),
        risen=shown(risen[0], "rise", units, 2),
        risen_most=shown(risen[1], "rise", units, 2),
        added=shown(added[0], "force", units, 2),
        added_most=shown(added[1], "force", units, 2),
    )
    kept = _("never below {ends}").format(ends=stage.ends(units)[0])
    cold = _("Measure cold: just cut it may read {large} too large.").format(
        large=shown(large, "fine", units, 2)
    )
    if added[1] <= allowed:
        return Found(
            "fine",
            _(
                "{words}; {allowed} may be added. Ease the tailstock between passes, {kept}. {cold}"
            ).format(words=words, allowed=shown(allowed, "force", units, 2), kept=kept, cold=cold),
            tuple(numbers),
        )
    more = [one for one in others if one.asks != "nothing"]
    if more:
        words += _(", and too much in {places} as well").format(
            places=", ".join(f"“{one.passes.name}”" for one in more)
        )
    if worse.asks == "all":
        return Found(
            "look",
            _(
                "{words}; {allowed} may be added, too little to stop for: ease the tailstock all "
                "the time, {kept}, or use a spring-loaded center. {cold}"
            ).format(words=words, allowed=shown(allowed, "force", units, 2), kept=kept, cold=cold),
            tuple(numbers),
        )
    return Found(
        "look",
        _(
            "{words}; {allowed} may be added, reached after {minutes} in the cut: stop the spindle "
            "and ease the tailstock by then, {kept}, or use a spring-loaded center. {cold}"
        ).format(
            words=words,
            allowed=shown(allowed, "force", units, 2),
            minutes=shown(worse.until, "time", units, 2),
            kept=kept,
            cold=cold,
        ),
        tuple(numbers),
    )
