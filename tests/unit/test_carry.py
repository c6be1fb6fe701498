"""A posterior on a rig that has changed since it was weighed, and weighings from the logbook."""

from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from steelyard.cli import main
from steelyard.files import parse_rig
from steelyard.files.demo import demo_rigs
from steelyard.files.tickets import parse_ticket
from steelyard.statics.prior import prior
from steelyard.weighing.carry import carried
from steelyard.weighing.reconcile import reconcile
from steelyard.weighing.weighed_state import as_weighed

CAMPER = demo_rigs()["perihelion-camper.toml"]
TICKET = """pass,arrangement,stage,front,rear,trailer
1,bars on,leaving-home,3200 lb,3540 lb,5360 lb
2,bars off,leaving-home,3060 lb,3780 lb,5260 lb
3,vehicle alone,leaving-home,3340 lb,2820 lb,
"""


def test_unchanged_rig_keeps_the_posterior() -> None:
    """On the same rig nothing is gone, nothing is new, and the belief is the posterior."""
    rig = parse_rig(CAMPER)
    posterior = reconcile(rig, parse_ticket(TICKET, "t.csv")).posterior
    found = carried(rig, posterior, rig)
    assert (found.gone, found.new, found.contradicted) == ((), (), ())
    order = [posterior.index[name] for name in found.estimate.names]
    assert found.estimate.mean == pytest.approx(posterior.mean[order], abs=1e-12)
    assert found.estimate.cov == pytest.approx(posterior.cov[np.ix_(order, order)], abs=1e-12)


def test_changed_rig_marginalises_adds_and_reports() -> None:
    """A thing taken out is marginalised, one put in has its prior, a restated one that contradicts
    the weighing is named and takes the new statement; the rest keeps what was weighed."""
    rig = parse_rig(CAMPER)
    posterior = reconcile(rig, parse_ticket(TICKET, "t.csv")).posterior
    text = CAMPER.replace('[items.chairs]\nweight = "55 lb"', '[items.awning]\nweight = "70 lb"')
    text = text.replace('weight = "96 lb"', 'weight = "400 lb +- 10 lb"')
    changed = parse_rig(text)
    found = carried(rig, posterior, changed)
    assert "items.chairs.weight" in found.gone
    assert "items.awning.weight" in found.new
    assert found.contradicted == ("items.bikes.weight",)
    now = prior(changed).estimate
    for name in ("items.bikes.weight", "items.awning.weight"):
        assert found.estimate.mean[found.estimate.index[name]] == now.mean[now.index[name]]
    kept = "trailer.empty.cg"
    assert found.estimate.sd[found.estimate.index[kept]] == pytest.approx(
        posterior.sd[posterior.index[kept]], rel=1e-12
    )


@pytest.mark.parametrize(("sds", "told"), [(1.9, ()), (2.1, ("items.bikes.weight",))])
def test_what_is_restated_two_sd_away_contradicts(sds: float, told: tuple[str, ...]) -> None:
    """Twice the spread of what was weighed, on its scale of logarithms: further off is told."""
    rig = parse_rig(CAMPER)
    posterior = reconcile(rig, parse_ticket(TICKET, "t.csv")).posterior
    at = posterior.index["items.bikes.weight"]
    for way in (-1.0, 1.0):
        kg = np.exp(posterior.mean[at] + way * sds * posterior.sd[at])
        text = CAMPER.replace('weight = "96 lb"', f'weight = "{kg:.4f} kg +- 0.1 kg"')
        found = carried(rig, posterior, parse_rig(text))
        assert found.restated == ("items.bikes.weight",)
        assert found.contradicted == told


def test_as_weighed_is_the_tickets_own_difference() -> None:
    """Trailer weight as weighed is the trailer's axles and the tongue by subtraction, bars off:
    5,260 + (3,060 + 3,780 - 3,340 - 2,820) = 5,940 lb, within the spread it states."""
    state = as_weighed(reconcile(parse_rig(CAMPER), parse_ticket(TICKET, "t.csv")))
    trailer, tongue = state.trailer_kg / 0.45359237, state.tongue_kg / 0.45359237
    assert trailer == pytest.approx(5940, abs=2 * state.trailer_sd_kg / 0.45359237 + 10)
    assert tongue == pytest.approx(680, abs=2 * state.tongue_sd_kg / 0.45359237 + 10)
    assert state.share == pytest.approx(tongue / trailer)


def test_a_kept_weighing_sharpens_a_later_check(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`weigh --log` keeps it; `check --with log:1` is as sharp as with the ticket itself."""
    monkeypatch.setenv("STEELYARD_LOGBOOK", str(tmp_path / "log.sqlite"))
    rig, ticket = tmp_path / "rig.toml", tmp_path / "t.csv"
    rig.write_text(CAMPER, encoding="utf-8")
    ticket.write_text(TICKET, encoding="utf-8")
    runner = CliRunner()
    assert runner.invoke(main, ["weigh", str(rig), str(ticket), "--log"]).exit_code == 0
    by_ticket = runner.invoke(main, ["check", str(rig), "--with", str(ticket)])
    by_log = runner.invoke(main, ["check", str(rig), "--with", "log:1"])
    assert by_log.stdout == by_ticket.stdout
    missing = runner.invoke(main, ["check", str(rig), "--with", "log:7"])
    assert missing.exit_code == 2
    assert "found 7" in missing.output
