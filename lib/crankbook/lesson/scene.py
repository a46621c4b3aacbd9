"""What the live panel of a lesson and its plain-cell twin have in common."""

from collections.abc import Callable
from dataclasses import dataclass, field

from crankmath.language import _

from ..pictures import scene
from .panel import Panel


@dataclass(frozen=True)
class Scene:
    """One sum with its picture: controls, what moves, what stays, presets, a vote for a class.

    ``items(units, **values)`` returns what moves and the finding, ``paper(units, projector)`` a
    figure of what stays. ``controls``, ``presets`` and ``vote`` may be functions, asked for each
    panel, where they offer the reader's own cranks or are said in the reader's language; presets
    may then depend on ``controls``.
    """

    controls: tuple | Callable
    items: Callable
    paper: Callable
    presets: dict | Callable = field(default_factory=dict)
    vote: tuple | Callable = ()

    def panel(self, stage=False):
        """The live panel; on a stage it fills a projector's screen."""
        return Panel(
            _made(self.controls),
            self.items,
            self.paper,
            _made(self.presets),
            stage,
            _made(self.vote),
        )

    def picture(self, *values, units="mm", **named):
        """The same picture without widgets: (figure, finding).

        Values stand in the order of the controls or by name; one left out is where its control
        begins, so the reader's own crank where a list of cranks begins with it.
        """
        controls = _made(self.controls)
        names = [control.name for control in controls]
        given = dict(zip(names, values, strict=False)) | named
        unknown = sorted(set(given) - set(names))
        if len(values) > len(names) or unknown:
            raise TypeError(
                _("a picture takes {names} and units, not {unknown}").format(
                    names=", ".join(names), unknown=unknown or values
                )
            )
        start = {control.name: control.offered(control.value, units) for control in controls}
        drawn, finding = self.items(units, **(start | given))
        return scene.add(self.paper(units), drawn), finding


def _made(what):
    return what() if callable(what) else what
