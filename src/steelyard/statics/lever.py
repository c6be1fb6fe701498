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


def axle_loads(weight: Any, moment: Any, wheelbase: Any) -> tuple[Any, Any]:
    """Front and rear load of a beam on two supports at 0 and `wheelbase`."""
    rear = moment / wheelbase
    return weight - rear, rear
