"""The coupling chain between vehicle and trailer, part by part."""

from typing import Annotated

from pydantic import Field

from steelyard.quantity import (
    Height,
    Length,
    Mass,
    Moment,
    N,
    PresetAngle,
    Rate,
    Rating,
    Share,
    Station,
    Value,
)
from steelyard.quantity.fields import Of
from steelyard.rig.base import Fact, Name, Named, Title
from steelyard.rig.kinds import HitchKind, SwayControlKind

Size = Annotated[Value[N], Of("length", low=0.0, high=0.2, strict=True)]
DValue = Annotated[Value[N], Of("force", low=0.0, strict=True, exact=True)]
Drop = Annotated[Value[N], Of("length", low=-0.5, high=0.5)]
ReceiverHeight = Annotated[Value[N], Of("length", low=0.1, high=1.5)]


class HitchPart(Fact[N]):
    """One part of the chain with its own weight, place and ratings."""

    title: Title | None = None
    weight: Mass[N] | None = None
    station: Station[N] | None = Field(default=None, description="aft of the front axle")
    rating_trailer: Rating[N] | None = Field(
        default=None, description="trailer weight, weight-carrying"
    )
    rating_tongue: Rating[N] | None = Field(
        default=None, description="tongue weight, weight-carrying"
    )
    distributing_trailer: Rating[N] | None = Field(
        default=None, description="trailer weight with weight distribution"
    )
    distributing_tongue: Rating[N] | None = Field(
        default=None, description="tongue weight with weight distribution"
    )
    d_value: DValue[N] | None = Field(default=None, description="D of UNECE R55, on its plate")
    s_value: Rating[N] | None = Field(default=None, description="S, noseweight limit")
    size: Length[N] | None = Field(
        default=None,
        description="ball or socket diameter: stamped on top of the ball, cast into the coupler",
    )
    height: ReceiverHeight[N] | None = Field(
        default=None,
        description="receiver only: ground to the top inside edge of its opening, no trailer on",
    )
    opening: Size[N] | None = Field(
        default=None,
        description="receiver or reducer: inside of its square tube, by tape across the mouth",
    )
    shank: Size[N] | None = Field(
        default=None,
        description="reducer or ball mount: outside of its square bar, by tape across the end",
    )
    pin: Size[N] | None = Field(
        default=None,
        description="receiver, reducer or ball mount: diameter of the hole for the hitch pin",
    )
    drop: Drop[N] | None = Field(
        default=None,
        description="reducer or ball mount: top of its bar down to what it carries (the ball's"
        " platform, the next bar's top); a rise is written below zero",
    )
    rise: Size[N] | None = Field(
        default=None, description="ball only: its platform up to the top of the ball"
    )


class SpringBars(Fact[N]):
    """Weight distribution by two spring bars; left out when none are fitted."""

    weight: Mass[N] | None = Field(default=None, description="head and bars together")
    rating: Rating[N] | None = Field(
        default=None, description="tongue weight plus cargo behind the rear axle, on the bars"
    )
    arm: Length[N] | None = Field(
        default=None, description="ball to chain or bracket along the bar"
    )
    tip_rate: Rate[N] | None = Field(default=None, description="both bars together, at the chain")
    preset: PresetAngle[N] | None = Field(
        default=None, description="chain take-up over arm plus head tilt, as hooked up"
    )
    restoration: Share[N] | None = Field(
        default=None, description="share of the lost front load the bars were set to give back"
    )
    set_at: Name | None = Field(default=None, description="stage in which they were set")


class SwayControl(Fact[N]):
    """What works against the coupling's turning: it takes energy out of small swings."""

    kind: SwayControlKind = Field(
        description="bar: a sliding friction bar beside the ball; coupling: friction pads in the"
        " coupler, on the ball; cam: spring bars seated in cams"
    )
    title: Title | None = None
    moment: Moment[N] | None = Field(
        default=None,
        description="friction about the coupling, all of them together, as set; without it nothing"
        " is reckoned with",
    )


class Chains(Fact[N]):
    """Safety chains."""

    count: Annotated[int, Field(strict=True, ge=1, le=4)] = 2
    rating_each: Rating[N] | None = Field(default=None, description="breaking force of one")


class Jack(Fact[N]):
    """Tongue jack."""

    rating: Rating[N] | None = None
    station: Station[N] | None = Field(default=None, description="aft of the ball")
    flange: Height[N] | None = Field(
        default=None,
        description="its mounting flange or bracket above ground, by tape, trailer level",
    )
    retracted: Length[N] | None = Field(
        default=None, description="flange down to the foot, run all the way in, drop leg up"
    )
    travel: Length[N] | None = Field(
        default=None, description="how far it runs out; on its label or data sheet"
    )
    drop_leg: Length[N] | None = Field(
        default=None, description="how far the pinned inner leg lets the foot down beyond that"
    )
    blocks: Length[N] | None = Field(
        default=None, description="height of the blocks that go under its foot"
    )


class Hitch(Fact[N]):
    """The coupling chain, vehicle end first."""

    kind: HitchKind | None = None
    ball_height: Height[N] | None = Field(
        default=None, description="ball, pin plate or jaw above ground, no trailer on it"
    )
    clearance: Height[N] | None = Field(
        default=None,
        description="lowest point of receiver, ball mount or bar head above ground, no trailer on",
    )
    receiver: HitchPart[N] | None = None
    reducers: Named[Name, HitchPart[N]] = Field(default_factory=dict)
    ball_mount: HitchPart[N] | None = Field(
        default=None, description="shank and ball mount or head"
    )
    ball: HitchPart[N] | None = Field(default=None, description="ball, pin, pintle hook or jaw")
    coupler: HitchPart[N] | None = Field(default=None, description="the trailer's end")
    bars: SpringBars[N] | None = None
    sway_control: SwayControl[N] | None = Field(
        default=None, description="what is fitted at the coupling against sway, if anything"
    )
    chains: Chains[N] | None = None
    jack: Jack[N] | None = None
