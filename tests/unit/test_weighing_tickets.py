"""Reading tickets: TOML and CSV, and one sentence for each way to get them wrong."""

from typing import Any

import pytest
import tomlkit
from tests import weighings
from tests.weighings import hitch_scale, platform, ticket

from steelyard.files import FileFaultError
from steelyard.files.tickets import parse_ticket, read_ticket
from steelyard.weighing.laid_ticket import lay
from steelyard.weighing.reconcile import reconcile
from steelyard.weighing.ticket import ARRANGEMENTS, Ticket, TicketError

CSV = """pass,arrangement,stage,front,rear,trailer,hitch
off,bars off,leave,3300 lb,4120 lb,5600 lb,720 lb
on,bars on,leave,3480 lb,3800 lb,5740 lb,
alone,vehicle alone,,3560 lb,2900 lb,,
"""


def toml(passes: dict[str, Any], **more: Any) -> str:
    """A ticket as TOML text."""
    return tomlkit.dumps({"ticket": 1, **more, "passes": passes})


def fault(text: str, name: str = "t.toml") -> str:
    """The one sentence that a bad ticket is answered with."""
    with pytest.raises(FileFaultError) as caught:
        parse_ticket(text, name)
    (sentence,) = caught.value.sentences
    assert sentence.startswith(name)
    assert "\n" not in sentence
    return sentence


def misfit(passes: dict[str, Any], rig: str = "camper") -> str:
    """The sentence that a ticket is answered with that does not fit its rig."""
    with pytest.raises(TicketError) as caught:
        lay(weighings.rig(rig), ticket(passes))
    return str(caught.value)


class TestCsv:
    """A line a pass, a column a reading."""

    def test_same_as_toml(self) -> None:
        """The three-pass ticket in CSV is the ticket in TOML."""
        pads = [("front", "3300 lb"), ("rear", "4120 lb"), ("trailer", "5600 lb")]
        off = [*(platform(axle, weight=w) for axle, w in pads), hitch_scale(weight="720 lb")]
        pads = [("front", "3480 lb"), ("rear", "3800 lb"), ("trailer", "5740 lb")]
        on = [platform(axle, weight=w) for axle, w in pads]
        alone = [platform("front", weight="3560 lb"), platform("rear", weight="2900 lb")]
        passes = {
            "off": {"bars": "off", "stage": "leave", "readings": off},
            "on": {"bars": "on", "stage": "leave", "readings": on},
            "alone": {"arrangement": "vehicle-alone", "readings": alone},
        }
        assert parse_ticket(CSV, "t.csv") == parse_ticket(toml(passes), "t.toml")

    @pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
    def test_line_ends(self, end: str) -> None:
        """Line ends of any system, and a byte-order mark as spreadsheets write it, are read."""
        found = parse_ticket("\ufeff" + CSV.replace("\n", end), "t.csv")
        assert found == parse_ticket(CSV, "t.csv")

    def test_every_column(self) -> None:
        """Heights, a scale under the tongue, single axles and the whole rig have columns too."""
        text = (
            "arrangement,front fender,rear fender,ball height,all,trailer-1,hitch at ball\n"
            "bars on,35 in,36 in,21 in,13000 lb,2800 lb,1500 lb\n"
        )
        assert len(parse_ticket(text, "t.csv").passes["pass 1"].readings) == 6
        found = parse_ticket("arrangement,tongue\ntrailer alone,700 lb\n", "t.csv")
        assert found.passes["pass 1"].readings[0].kind == "tongue-scale"

    def test_a_unit_in_a_cell_goes_before_its_headings(self) -> None:
        """Under a column in kilograms a bare number is of kilograms, and what says lb of pounds."""
        found = parse_ticket("arrangement,front (kg),rear (kg)\nbars off,1400,3000 lb\n", "t.csv")
        front, rear = found.passes["pass 1"].readings
        assert front.weight.value == 1400  # type: ignore[union-attr]
        assert rear.weight.value == pytest.approx(3000 * 0.45359237)  # type: ignore[union-attr]

    @pytest.mark.parametrize("words", ARRANGEMENTS)
    def test_every_arrangement(self, words: str) -> None:
        """Each of the words for an arrangement is read, in the full form too."""
        column = "trailer" if words == "trailer alone" else "front"
        text = f"arrangement,{column}\n{words},3000 lb\n"
        expected = {"vehicle alone": "vehicle-alone", "trailer alone": "trailer-alone"}
        found = parse_ticket(text, "t.csv").passes["pass 1"]
        assert found.arrangement == expected.get(words, "coupled")
        readings = [platform(column, weight="3000 lb")]
        whole = toml({"pass 1": {"arrangement": words, "readings": readings}})
        assert parse_ticket(whole, "t.toml").passes["pass 1"] == found

    def test_a_graduation_of_the_pads(self) -> None:
        """A column says it, in any row, with its unit or its heading's."""
        for head, cell in (("graduation", "20 lb"), ("graduation (lb)", "20")):
            text = f"arrangement,front,{head}\nbars off,3000 lb,\nbars off,3050 lb,{cell}\n"
            step = parse_ticket(text, "t.csv").scales["platform"].graduation
            assert step is not None
            assert step.value == pytest.approx(20 * 0.45359237)

    @pytest.mark.parametrize(
        ("text", "words"),
        [
            ("arrangement,weight\nbars off,1 lb\n", "row 1: expected columns among pass, arr"),
            ("front\n3000 lb\n", "row 1: expected a column arrangement, found none"),
            ("arrangement,front,front\nbars off,1 lb,2 lb\n", 'column once, found "front" twice'),
            ("arrangement,front\nbars up,3000 lb\n", "row 2, arrangement: expected an arrang"),
            ("arrangement,front\nbars off,3000 lb,5 lb\n", "row 2: expected 2 cells, found 3"),
            (
                "pass,arrangement,front\na,coupled,1 lb\na,coupled,2 lb\n",
                "row 3, pass: expected each pa",
            ),
            ("arrangement,front\nbars off,3000\n", "with its unit"),
            (
                "arrangement,front,graduation\nbars off,3 t,20\n",
                "row 2, graduation: expected a weight",
            ),
            ("arrangement,front\nbars off,\n", "expected at least one reading, found none"),
            ("", "row 1: expected a column arrangement, found none"),
            ("arrangement,front\n", "expected at least one pass, found none"),
            ('arrangement,front\n"bars off,' + "x" * 140_000, "expected CSV, found a fault"),
            ("arrangement,trailer\nvehicle alone,3000 lb\n", "found trailer with no trailer"),
        ],
        ids=lambda x: str(x)[-12:].strip() or "empty",
    )
    def test_faults(self, text: str, words: str) -> None:
        """A wrong column, arrangement, cell or line is told in one sentence with its line."""
        assert words in fault(text, "t.csv")


class TestToml:
    """What a ticket may not say."""

    def test_newer_version(self) -> None:
        """A ticket of a later form asks for a newer program."""
        text = toml({"a": {"readings": [platform("front")]}}).replace("ticket = 1", "ticket = 2")
        assert "a newer Steelyard is due" in fault(text)

    @pytest.mark.parametrize("first", ["", 'date = "2026-05-03"\n'])
    def test_version_first(self, first: str) -> None:
        """The form's version is the first key."""
        assert "expected `ticket = 1` as first key" in fault(first + "[passes.a]\nreadings = []\n")

    @pytest.mark.parametrize(
        ("one", "words"),
        [
            ({"readings": [platform()]}, "expected at least one axle on the pad, found none"),
            ({"readings": []}, "expected at least one reading, found none"),
            ({"readings": [platform("front", weight="-5 kg")]}, "above zero, found '-5 kg'"),
            ({"readings": [hitch_scale(weight="0 kg")]}, "above zero"),
            ({"readings": [platform("front", weight="3000")]}, "with its unit"),
            ({"readings": [platform("front"), platform("front")]}, "each reading once"),
            ({"readings": [platform("front", "front")]}, "each axle once on the pad"),
            ({"readings": [platform("trailer", "trailer-1")]}, "each axle once on the pad"),
            ({"readings": [platform("all", "front")]}, "each axle once on the pad"),
            ({"readings": [platform("middle")]}, "found 'middle'"),
            (
                {"arrangement": "vehicle-alone", "readings": [platform("trailer-1")]},
                "found trailer-1 with no trailer",
            ),
            (
                {"arrangement": "vehicle-alone", "readings": [hitch_scale()]},
                "expected a hitch-scale in a pass coupled, found vehicle-alone",
            ),
            (
                {"arrangement": "trailer-alone", "readings": [platform("rear")]},
                "found rear with no vehicle",
            ),
            (
                {"arrangement": "trailer-alone", "bars": "on", "readings": [platform("trailer")]},
                "expected bars on in a coupled pass only",
            ),
            (
                {"readings": [{**platform("front"), "scale": "mine"}]},
                'expected one of the ticket\'s scales (none), found "mine"',
            ),
            ({"redings": [platform("front")]}, 'did you mean "readings"'),
        ],
        ids=lambda x: x[:24] if isinstance(x, str) else "",
    )
    def test_faults(self, one: dict[str, Any], words: str) -> None:
        """Each is told with file, line and key."""
        with pytest.raises(FileFaultError) as caught:
            parse_ticket(toml({"a": one}), "t.toml")
        told = caught.value.sentences
        assert any(words in sentence for sentence in told), told
        assert all(sentence.startswith("t.toml") and "passes" in sentence for sentence in told)

    def test_no_such_file(self, tmp_path: Any) -> None:
        """A missing file is a sentence."""
        with pytest.raises(FileFaultError, match="expected a ticket, found none"):
            read_ticket(tmp_path / "none.toml")


class TestFitsItsRig:
    """A ticket that speaks of what the rig has not."""

    @pytest.mark.parametrize(
        ("one", "words"),
        [
            ({"stage": "leav"}, 'stages (leave, home), found "leav" (did you mean "leave"?)'),
            ({"people": ["ana"]}, 'people (anna, ben), found "ana" (did you mean "anna"?)'),
            ({"items": ["bike"]}, 'items (bikes, tools), found "bike" (did you mean "bikes"?)'),
            ({"without": ["tool"]}, 'did you mean "tools"?'),
            (
                {"tanks": {"frsh": "full"}},
                'tanks (fresh, grey), found "frsh" (did you mean "fresh"?)',
            ),
            (
                {"vehicle_tanks": {"fule": "full"}},
                'tanks (fuel), found "fule" (did you mean "fuel"?)',
            ),
            ({"off_parts": ["ball mout"]}, 'did you mean "ball mount"?'),
            ({"readings": [platform("trailer-3")]}, "expected a trailer axle up to 2"),
            (
                {"readings": [{"kind": "tank-gauge", "tank": "gray", "level": "50 %"}]},
                'found "gray" (did you mean "grey"?)',
            ),
        ],
        ids=lambda x: next(iter(x)) if isinstance(x, dict) else "",
    )
    def test_unknown_names(self, one: dict[str, Any], words: str) -> None:
        """An unknown stage, person, item, tank, part or axle is told, with what is known."""
        told = misfit({"a": {"readings": [platform("front")], **one}})
        assert told.startswith("passes.a")
        assert words in told

    def test_bars_of_a_rig_without(self) -> None:
        """Bars on in a rig that has none are told."""
        plain = {name: part for name, part in weighings.CAMPER.items() if name != "hitch"}
        rig = type(weighings.rig("camper")).model_validate(plain)
        asked = ticket({"a": {"bars": "on", "readings": [platform("front")]}})
        with pytest.raises(TicketError, match="expected a rig with spring bars, found none"):
            reconcile(rig, asked)

    def test_bars_unsaid(self) -> None:
        """A coupled pass of a rig with bars says whether they were on."""
        asked = Ticket.model_validate({"passes": {"a": {"readings": [platform("front")]}}})
        with pytest.raises(TicketError, match='expected "on" or "off", as this rig has spring'):
            lay(weighings.rig("camper"), asked)

    @pytest.mark.parametrize("station", ["15 ft", "8 m"])
    def test_jack_at_the_axles(self, station: str) -> None:
        """A scale so near the axles, or behind them, that the tongue would rise is told."""
        scale = {"kind": "tongue-scale", "station": station, "weight": "300 kg"}
        told = misfit({"a": {"arrangement": "trailer-alone", "readings": [scale]}})
        assert "well ahead of the trailer's axles" in told
        assert f"found one at {station}" in told

    def test_parts_off(self) -> None:
        """A vehicle weighed alone without its ball mount weighs that much less."""
        alone = {"arrangement": "vehicle-alone", "readings": [platform("all")]}
        passes = {"with": alone, "without": {**alone, "off_parts": ["ball mount"]}}
        laid = lay(weighings.rig("camper"), ticket(passes))
        v = laid.prior.at_mean()
        on, off = weighings.shown(laid, v)[:, 0]
        assert on - off == pytest.approx(float(v["hitch.ball_mount.weight"]))


def test_an_unknown_key_of_a_reading_names_those_of_its_kind() -> None:
    """A plank's `tongue` is answered with the plank's own keys, not with an empty list."""
    text = """ticket = 1
[passes.plank]
arrangement = "trailer-alone"
readings = [
    { kind = "lever", weight = "9 kg", station = "0 m", support_to_tongue = "1 m", tongue = "2 m" },
]
"""
    with pytest.raises(FileFaultError) as caught:
        parse_ticket(text, "plank.toml")
    assert any('did you mean "tongue_to_scale"?' in line for line in caught.value.sentences)


def test_the_second_of_a_list_of_tables_is_told_by_its_own_line() -> None:
    """What is wrong in it is not looked for in the first."""
    one = '[[passes.on.readings]]\nkind = "platform"\naxles = ["front"]\nweight = "{}"\n'
    text = f"ticket = 1\n{one.format('3200 lb')}{one.format('3200 psi')}"
    with pytest.raises(
        FileFaultError, match=r"^t\.toml, line 9, passes\.on\.readings\[1\]\.weight"
    ):
        parse_ticket(text, "t.toml")


def test_a_fault_of_a_reading_is_told_by_the_key_as_written() -> None:
    """`readings[0].station`, with no kind in between that stands nowhere in the file."""
    text = (
        "ticket = 1\n[passes.one]\narrangement = 'trailer-alone'\n"
        "readings = [{ kind = 'tongue-scale', weight = '92 kg' }]\n"
    )
    assert "passes.one.readings[0].station: expected a length" in fault(text)
