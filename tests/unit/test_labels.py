"""Labels read from pasted text: nothing checked is wrong, no kind mistaken, a poem is a sentence.

The wordings are those of the rules named in labels/kinds.toml; makers, numbers and VINs are
invented, with check digits by 49 CFR 565.15.
"""

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import pytest

from steelyard.labels import KINDS, read_label
from steelyard.labels.numbers import Number, agreed, right
from steelyard.quantity import POUND

STOPS = ("door", "hitch", "coupler", "trailer", "ticket")
VIN = "1G4AH59H45G118341"
"""The worked example of 49 CFR 565.15."""


@dataclass(frozen=True, kw_only=True)
class Label:
    """A text as a phone reads it, its kinds, where it is due, and what it truly says."""

    text: str
    kinds: tuple[str, ...]
    stop: str
    truth: dict[str, str]


LABELS = {
    "vehicle-us": Label(
        text=f"""MFD BY PERIHELION MOTORS   DATE 05/22
GVWR: 7200 LB (3266 KG)
GAWR FRT: 3900 LB (1769 KG) WITH 275/65R18 TIRES
GAWR RR: 4150 LB (1882 KG)
THIS VEHICLE CONFORMS TO ALL APPLICABLE FEDERAL MOTOR VEHICLE SAFETY STANDARDS
VIN {VIN}
TYPE: TRUCK""",
        kinds=("vehicle certification",),
        stop="door",
        truth={
            "vehicle.gvwr": "7200 lb",
            "vehicle.front.gawr": "3900 lb",
            "vehicle.rear.gawr": "4150 lb",
        },
    ),
    "vehicle-canada": Label(
        text="""MFD BY / FABRIQUE PAR APHELION 03/19
GVWR/PNBV: 2950 KG (6504 LB)
GAWR FRONT 1500 KG (3307 LB)
GAWR REAR 1700 KG (3748 LB)
TYPE: MPV""",
        kinds=("vehicle certification",),
        stop="door",
        truth={
            "vehicle.gvwr": "2950 kg",
            "vehicle.front.gawr": "1500 kg",
            "vehicle.rear.gawr": "1700 kg",
        },
    ),
    "placard": Label(
        text="""TIRE AND LOADING INFORMATION
SEATING CAPACITY TOTAL 5 FRONT 2 REAR 3
The combined weight of occupants and cargo should never exceed 812 kg or 1790 lbs.
TIRE SIZE COLD TIRE PRESSURE
FRONT 275/65R18 240 kPa, 35 psi
REAR 275/65R18 260 kPa, 38 psi
SEE OWNER'S MANUAL FOR ADDITIONAL INFORMATION""",
        kinds=("tyre placard",),
        stop="door",
        truth={
            "vehicle.payload": "1790 lb",
            "vehicle.front.tyres.placard_pressure": "35 psi",
            "vehicle.rear.tyres.placard_pressure": "38 psi",
        },
    ),
    "placard-unround": Label(
        text="""TIRE AND LOADING INFORMATION
The combined weight of occupants and cargo should never exceed 659 kg or 1453 lbs""",
        kinds=("tyre placard",),
        stop="door",
        truth={"vehicle.payload": "659 kg"},
    ),
    "altered": Label(
        text="""THIS VEHICLE WAS ALTERED BY PERIHELION OUTFITTERS IN 06/22
GVWR 7400 LB (3357 KG)
GAWR FRT 4000 LB (1814 KG)
TYPE: TRUCK""",
        kinds=("altered vehicle",),
        stop="",
        truth={},
    ),
    "incomplete": Label(
        text="CHASSIS-CAB MFD BY PERIHELION 02/20\nGVWR 14000 LB (6350 KG)\nINCOMPLETE VEHICLE",
        kinds=("incomplete vehicle",),
        stop="",
        truth={},
    ),
    "trailer": Label(
        text=f"""MANUFACTURED BY APHELION TRAILERS DATE 11/21
GVWR 7000 LB (3175 KG)
GAWR EACH AXLE 3500 LB (1588 KG)
UVW 5240 LB (2377 KG)
TIRES ST225/75R15 RIMS 15X6 COLD INFLATION 450 KPA (65 PSI)
VIN {VIN}
TYPE: TRAILER""",
        kinds=("trailer certification",),
        stop="trailer",
        truth={
            "trailer.gvwr": "7000 lb",
            "trailer.axles.gawr": "3500 lb",
            "trailer.empty.weight": "5240 lb",
        },
    ),
    "trailer-axles": Label(
        text="""MFD BY APHELION
GVWR: 3175 KG (7000 LBS)
GAWR FRONT: 1588 KG (3500 LBS)
GAWR REAR: 1588 KG (3500 LBS)
TYPE: TRAVEL TRAILER""",
        kinds=("trailer certification",),
        stop="trailer",
        truth={"trailer.gvwr": "7000 lb", "trailer.axles.gawr": "3500 lb"},
    ),
    "trailer-placard": Label(
        text="""TIRE AND LOADING INFORMATION
The weight of cargo should never exceed 700 kg or 1543 lbs
COLD TIRE PRESSURE 450 kPa, 65 psi
SEE OWNER'S MANUAL FOR ADDITIONAL INFORMATION""",
        kinds=("trailer placard",),
        stop="trailer",
        truth={"trailer.axles.tyres.placard_pressure": "65 psi"},
    ),
    "trailer-cargo": Label(
        text=f"""RECREATIONAL VEHICLE TRAILER CARGO CARRYING CAPACITY
VIN {VIN}
THE WEIGHT OF CARGO SHOULD NEVER EXCEED
798 kg or 1760 lbs""",
        kinds=("trailer cargo",),
        stop="trailer",
        truth={"cargo": "1760 lb"},
    ),
    "motor-home": Label(
        text="""MOTOR HOME OCCUPANT AND CARGO CARRYING CAPACITY
THE COMBINED WEIGHT OF OCCUPANTS AND CARGO SHOULD NEVER EXCEED 900 kg or 1984 lbs
RECREATIONAL VEHICLE""",
        kinds=("motor home cargo",),
        stop="",
        truth={},
    ),
    "plate-eu-vehicle": Label(
        text="""APHELION AUTO
e4*2007/46*1234*00
WVWZZZ1KZAW000001
2045 kg
3545 kg
1 - 1020 kg
2 - 1080 kg""",
        kinds=("European vehicle plate",),
        stop="door",
        truth={"vehicle.front.gawr": "1020 kg", "vehicle.rear.gawr": "1080 kg"},
    ),
    "plate-eu-trailer": Label(
        text="""PERIHELION CARAVAN
e1*2007/46*0456*01
1500 kg
0 - 100 kg
1 - 1500 kg""",
        kinds=("European trailer plate",),
        stop="trailer",
        truth={"trailer.axles.gawr": "1500 kg"},
    ),
    "plate-au": Label(
        text="MANUFACTURER PERIHELION CARAVANS\nATM 2800 KG\nGTM 2600 KG\nTARE 2150 KG",
        kinds=("Australian trailer plate",),
        stop="trailer",
        truth={
            "trailer.gvwr": "2800 kg",
            "trailer.gtm": "2600 kg",
            "trailer.empty.weight": "2150 kg",
        },
    ),
    "receiver": Label(
        text="""CLASS IV RECEIVER
WEIGHT CARRYING MAX TONGUE WT 750 LB (340 KG)
WEIGHT CARRYING MAX TRAILER WT 7500 LB (3402 KG)
WEIGHT DISTRIBUTING MAX TONGUE WT 1200 LB (544 KG)
WEIGHT DISTRIBUTING MAX TRAILER WT 12000 LB (5443 KG)""",
        kinds=("receiver",),
        stop="hitch",
        truth={
            "hitch.receiver.rating_tongue": "750 lb",
            "hitch.receiver.rating_trailer": "7500 lb",
            "hitch.receiver.distributing_tongue": "1200 lb",
            "hitch.receiver.distributing_trailer": "12000 lb",
        },
    ),
    "coupler": Label(
        text="APHELION COUPLER 2-5/16\nMAX GROSS TRAILER WT 8000 LB (3629 KG)\n"
        "MAX TONGUE WT 1000 LB (454 KG)",
        kinds=("coupler",),
        stop="coupler",
        truth={
            "hitch.coupler.rating_trailer": "8000 lb",
            "hitch.coupler.rating_tongue": "1000 lb",
        },
    ),
    "ball": Label(
        text="BALL 2-5/16\nMAX GROSS TRAILER WT 10000 LB (4536 KG)",
        kinds=("ball",),
        stop="hitch",
        truth={"hitch.ball.rating_trailer": "10000 lb"},
    ),
    "coupling-plate": Label(
        text="PERIHELION TOW BARS\nE13 55R-012345\nCLASS A50-X\nD = 10.5 KN S = 90 KG",
        kinds=("coupling plate",),
        stop="",
        truth={},
    ),
    "sidewall": Label(
        text="ST225/75R15 LOAD RANGE D\n"
        "MAX LOAD SINGLE 1150 KG (2540 LB) AT 450 KPA (65 PSI) COLD\nDOT 1AB2 CDEF 2320",
        kinds=("sidewall",),
        stop="",
        truth={},
    ),
    "ticket": Label(
        text="""PERIHELION WEIGH STATION
STEER AXLE 3080 LB
DRIVE AXLE 3540 LB
TRAILER AXLE 5360 LB
GROSS WEIGHT 11980 LB""",
        kinds=("scale ticket",),
        stop="ticket",
        truth={"front": "3080 lb", "rear": "3540 lb", "trailer": "5360 lb"},
    ),
    "ticket-alone": Label(
        text="STEER AXLE 1540 KG\nDRIVE AXLE 1280 KG\nGROSS WEIGHT 2820 KG",
        kinds=("scale ticket",),
        stop="ticket",
        truth={"front": "1540 kg", "rear": "1280 kg"},
    ),
}
BOTH = Label(
    text=LABELS["vehicle-us"].text + "\n" + LABELS["placard"].text,
    kinds=("vehicle certification", "tyre placard"),
    stop="door",
    truth=LABELS["vehicle-us"].truth | LABELS["placard"].truth,
)
ALL = {**LABELS, "door": BOTH}
NOT_TWICE = {"placard-unround", "plate-eu-vehicle", "plate-eu-trailer", "plate-au"}
"""Labels that say nothing twice, or nothing round: all of theirs is typed again."""
LOOKALIKES = dict(
    [
        *zip("0O1lI5S8B6G2Z7T4A9g3", "O0lI1S5B8G6Z2T7A4g93", strict=True),
        *zip("VYCEFKPRDN", "YVGFEXFPOM", strict=True),
    ]
)
DIGITS = "0123456789"


def misread(text: str, chance: random.Random) -> str:
    """One to six signs taken for others: by their looks, or any digit for any."""
    signs = list(text)
    for _ in range(chance.randint(1, 6)):
        at = chance.randrange(len(signs))
        if signs[at] in DIGITS and chance.random() < 0.6:
            signs[at] = chance.choice(DIGITS)
        elif signs[at] in LOOKALIKES:
            signs[at] = LOOKALIKES[signs[at]]
        elif chance.random() < 0.2:
            signs[at] = chance.choice(["", " ", ".", "\n"])
    return "".join(signs)


def cut(text: str, chance: random.Random) -> str:
    """A part of it only: of its length, of its lines, or of each line's width."""
    way, lines = chance.randrange(3), text.splitlines()
    if way == 0:
        start = chance.randrange(len(text))
        return text[start : start + chance.randint(5, len(text))]
    if way == 1:
        return "\n".join(line for line in lines if chance.random() < 0.7)
    left, right_ = chance.randint(0, 12), chance.randint(12, 60)
    return "\n".join(line[left:right_] for line in lines)


def reordered(text: str, chance: random.Random) -> str:
    """Lines in another order, broken anywhere, or run together as columns are."""
    lines = text.splitlines()
    way = chance.randrange(4)
    if way == 0:
        chance.shuffle(lines)
        return "\n".join(lines)
    if way == 1:
        return " ".join(lines)
    if way == 2:
        broken = text.replace(" ", "\n") if chance.random() < 0.3 else _broken(text, chance)
        parts = broken.splitlines()
        chance.shuffle(parts)
        return "\n".join(parts)
    names = [line.rstrip("0123456789LBKGSPIA(), .") for line in lines]
    rest = [line[len(name) :] for line, name in zip(lines, names, strict=True)]
    return "\n".join([*names, *rest]) if chance.random() < 0.5 else " ".join([*names, *rest])


def _broken(text: str, chance: random.Random) -> str:
    return "".join("\n" if one == " " and chance.random() < 0.25 else one for one in text)


WAYS: tuple[Callable[[str, random.Random], str], ...] = (misread, cut, reordered)


def spoilt(seed: int, count: int) -> Iterator[tuple[str, Label, str]]:
    """Labels misread, cut and reordered, one way or several."""
    chance = random.Random(seed)
    names = list(ALL)
    for number in range(count):
        name = names[number % len(names)]
        text = ALL[name].text
        for way in chance.sample(WAYS, chance.choice((1, 1, 2, 3))):
            text = way(text, chance) or "x"
        yield name, ALL[name], text


@pytest.mark.parametrize("name", ALL)
def test_a_clean_label_is_read_where_it_is_due_and_nowhere_else(name: str) -> None:
    """Its kind, its numbers, each checked if it says them twice; at any other stop it is refused in
    one sentence."""
    label = ALL[name]
    for stop in STOPS:
        found = read_label(label.text, stop)
        assert tuple(kind.name for kind in found.kinds) == label.kinds
        if stop != label.stop:
            assert not found.proposals
            assert "nothing is taken from it" in found.said
            continue
        assert {one.at: one.text for one in found.proposals} == label.truth
        assert all(one.words for one in found.proposals)
        status = "single" if name in NOT_TWICE else "checked"
        assert {one.status for one in found.proposals} == {status}


def test_at_least_twelve_kinds_are_known_by_their_words() -> None:
    """Each has a label here."""
    assert {kind.name for kind in KINDS} == {kind for one in LABELS.values() for kind in one.kinds}
    assert len(KINDS) >= 12


def test_nothing_checked_is_wrong_and_no_kind_is_mistaken() -> None:
    """Of 2,100 texts misread, cut and reordered none gives a checked number that its label does not
    say, none is taken for another kind; and many a number is still had."""
    had = 0
    for name, label, text in spoilt(20261130, 2100):
        for stop in STOPS:
            found = read_label(text, stop)
            assert {kind.name for kind in found.kinds} <= set(label.kinds), (name, text)
            for one in found.checked:
                assert stop == label.stop, (name, text)
                assert one.text == label.truth.get(one.at), (name, one, text)
                had += 1
    assert had > 600


def test_two_labels_in_one_text_are_both_refused() -> None:
    """The trailer's beside the vehicle's: nobody can tell which number is whose."""
    text = LABELS["vehicle-us"].text + "\n" + LABELS["trailer"].text
    for stop in STOPS:
        assert not read_label(text, stop).proposals


POEM = """The night walks over the hill with a lantern,
and 7200 stars hang from the rafters of air;
a trailer of silence rolls after, unladen,
and whoever would weigh it has nothing to spare."""


@pytest.mark.parametrize("text", [POEM, "", " \n\t", "7200", "GVWR", "\x00\x1b[2J", "GVWR " * 9000])
def test_whatever_is_pasted_is_one_sentence(text: str) -> None:
    """A poem, nothing, signs that steer a terminal, a megabyte: no proposal, one sentence."""
    for stop in STOPS:
        found = read_label(text, stop)
        assert not found.proposals
        assert found.said.count(".") == 1


@pytest.mark.parametrize(
    ("one", "other", "held"),
    [
        ((7200, "lb"), (3266, "kg"), "7200 lb"),
        ((2950, "kg"), (6504, "lb"), "2950 kg"),
        ((7200, "lb"), (3265, "kg"), None),
        ((7201, "lb"), (3266, "kg"), None),
        ((1453, "lb"), (659, "kg"), None),
        ((35, "psi"), (240, "kPa"), "35 psi"),
        ((36, "psi"), (240, "kPa"), None),
        ((44, "psi"), (300, "kPa"), "44 psi"),
    ],
)
def test_two_units_agree_only_where_one_follows_from_the_other(
    one: tuple[int, str], other: tuple[int, str], held: str | None
) -> None:
    """1 lb is 0.45359237 kg, exactly (international yard and pound agreement, 1959); 1 psi is
    6.894757 kPa (NIST SP 811): the round one, turned, is the other."""
    assert round(7200 * POUND) == 3266
    pair = [Number(size=size, unit=unit, start=0, end=0) for size, unit in (one, other)]
    for first, second in (pair, pair[::-1]):
        found = agreed(first, second)
        assert (found.text if found else None) == held


def test_a_check_digit_is_the_rules() -> None:
    """49 CFR 565.15's worked example is right, with any other ninth sign it is wrong."""
    assert right(VIN)
    assert sum(right(VIN[:8] + sign + VIN[9:]) for sign in "0123456789X") == 1


def test_a_misread_vin_is_said() -> None:
    """The numbers stand on their own two units; the person is told that something was misread."""
    text = LABELS["vehicle-us"].text.replace(VIN, VIN[:-1] + "2")
    found = read_label(text, "door")
    assert len(found.checked) == 3
    assert found.said.endswith("Its VIN was misread: look at it twice.")


@pytest.mark.parametrize(
    ("name", "old", "new", "at"),
    [
        ("vehicle-us", "3900 LB (1769 KG)", "9300 LB (4218 KG)", "vehicle.front.gawr"),
        ("coupler", "1000 LB (454 KG)", "9000 LB (4082 KG)", "hitch.coupler.rating_tongue"),
        ("placard", "812 kg or 1790 lbs", "812 kg or 1970 lbs", "vehicle.payload"),
        ("ticket", "3080", "3088", "front"),
    ],
)
def test_a_relation_vetoes_and_the_reason_is_said(name: str, old: str, new: str, at: str) -> None:
    """A number that cannot stand beside the others, or says two things, is not taken."""
    found = read_label(LABELS[name].text.replace(old, new), LABELS[name].stop)
    one = next(one for one in found.proposals if one.at == at)
    assert one.status == "refused"
    assert one.text is None
    assert one.why
