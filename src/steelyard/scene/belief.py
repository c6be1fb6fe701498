"""What a rig's file says of its parameters, and a belief once the file says something else."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from hashlib import sha256

from steelyard.estimate import Estimate, extended, to_scale
from steelyard.rig import Rig
from steelyard.typical import fill
from steelyard.typical.sheet import Parameter


def said_of(rig: Rig) -> dict[str, Parameter]:
    """Every parameter by name, stated or typical, before any sticker is read."""
    return dict(fill(rig).parameters)


def assumed_of(rig: Rig) -> frozenset[str]:
    """The parameters that nobody stated."""
    return frozenset(name for name, one in said_of(rig).items() if one.basis == "assumed")


def beyond(estimate: Estimate, rig: Rig) -> Iterator[Parameter]:
    """The rig's parameters of which nothing is believed yet."""
    have = {*estimate.names, *estimate.constants}
    return (one for name, one in said_of(rig).items() if name not in have)


def restated(estimate: Estimate, rig: Rig, names: Iterable[str]) -> Estimate:
    """The belief with some parameters as the rig now says them, of nothing else's company.

    Those that keep their names keep their draws' points.
    """
    anew = tuple(names)
    if not anew:
        return estimate
    said = said_of(rig)
    mean, cov = estimate.mean.copy(), estimate.cov.copy()
    constants, fresh = dict(estimate.constants), []
    for new in map(said.__getitem__, anew):
        place = estimate.index.get(new.name)
        if place is not None:
            mean[place], sd = to_scale(new.value, new.sd, estimate.scales[place])
            cov[place], cov[:, place] = 0.0, 0.0
            cov[place, place] = sd**2
        elif new.sd > 0:
            constants.pop(new.name, None)
            fresh.append((new.name, new.scale, new.value, new.sd))
        else:
            constants[new.name] = new.value
    kept = replace(estimate, mean=mean, cov=cov, constants=constants)
    return extended(kept, fresh) if fresh else kept


def fingerprint(rig: Rig) -> str:
    """Names a rig by its parameters, so that a posterior is not mistaken for another rig's.

    As shipped: it stays the same rig when its owner has learned.
    """
    rows = said_of(rig.owning({})).values()
    text = "\n".join(f"{row.name} {row.value!r} {row.sd!r}" for row in rows)
    return sha256(text.encode("utf-8")).hexdigest()[:16]
