"""Heat, growth and the thrust it adds."""

from .cooling import (
    COOLANTS,
    coolant,
    film_in_air,
    lumped_rise,
)
from .expansion import (
    growth,
    hot_measuring_error,
    minutes_until_loose,
    minutes_until_soft,
    minutes_until_thrust,
    misfit_lost_per_degree,
    series_stiffness,
    thrust_per_degree,
    waiting_time,
)
from .heat_input import (
    CuttingHeat,
    cutting_heat,
    primary_share,
)
from .warming import (
    Warming,
    warm,
)

__all__ = [
    "COOLANTS",
    "CuttingHeat",
    "Warming",
    "coolant",
    "cutting_heat",
    "film_in_air",
    "growth",
    "hot_measuring_error",
    "lumped_rise",
    "minutes_until_loose",
    "minutes_until_soft",
    "minutes_until_thrust",
    "misfit_lost_per_degree",
    "primary_share",
    "series_stiffness",
    "thrust_per_degree",
    "waiting_time",
    "warm",
]
