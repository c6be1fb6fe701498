"""The trailer as a lever and the vehicle as a beam: the rigid statics in closed form.

Forces in newtons, stations in metres, moments in newton metres; all arguments broadcast.
"""

from typing import Any


def tongue_weight(weight: Any, moment: Any, axle_station: Any) -> Any:
    """Vertical force of the trailer on the ball, bars off: T0 = W - (sum of w s)/s_a.

    Equals the sum of w (1 - s/s_a), the moment balance about the axle group.
    """
    return weight - moment / axle_station


def net_coupling_force(tongue: Any, bar_moment: Any, axle_station: Any) -> Any:
    """What the vehicle carries with bars on: T = T0 - B/s_a."""
    return tongue - bar_moment / axle_station


def ball_contact(net: Any, bar_moment: Any, arm: Any) -> Any:
    """Force between ball and coupler, bars on: N_b = T + B/p; the chains pull the tongue down."""
    return net + bar_moment / arm


def front_load(front: Any, net: Any, overhang: Any, wheelbase: Any, bar_moment: Any = 0.0) -> Any:
    """Front axle load: F0 - T h/L + B/L."""
    return front - net * overhang / wheelbase + bar_moment / wheelbase


def rear_load(rear: Any, net: Any, overhang: Any, wheelbase: Any, bar_moment: Any = 0.0) -> Any:
    """Rear axle load: R0 + T (1 + h/L) - B/L."""
    return rear + net * (1 + overhang / wheelbase) - bar_moment / wheelbase


def restoring_moment(share: Any, tongue: Any, overhang: Any, axle_station: Any) -> Any:
    """Bar moment that gives back `share` of the front load lost: B = p T0 h s_a/(s_a + h).

    WDH-5 of the published check values; rigid, one axle group.
    """
    return share * tongue * overhang * axle_station / (axle_station + overhang)


def axle_loads(weight: Any, moment: Any, wheelbase: Any) -> tuple[Any, Any]:
    """Front and rear load of a beam on two supports at 0 and `wheelbase`."""
    rear = moment / wheelbase
    return weight - rear, rear
