"""Two rigs, loadings or stages held against each other, by what each thing does to the ball."""

from typing import Any

from markupsafe import Markup

from steelyard.drawing.difference import difference_picture
from steelyard.matching.compare import Comparison
from steelyard.quantity import System, shown
from steelyard.words.assessed import share_spread, weight, weight_spread
from steelyard.words.matched import first_sentence


def difference(found: Comparison, system: System) -> dict[str, Any]:
    """What a template shows of two rigs held against each other, the picture for each width."""
    rows = [(row.name, row.difference_kg) for row in found.rows]
    names = (found.name_a, found.name_b)

    def drawn(*, wide: bool) -> Markup:
        return Markup(difference_picture(rows, system, names, wide=wide))

    return {
        "sentence": first_sentence(found, system),
        "pictures_by_width": {"desk": drawn(wide=True), "narrow": drawn(wide=False)},
        "names": names,
        "sides": [
            {
                "name": name,
                "stage": stage.title,
                "trailer": weight_spread(stage.trailer_kg, system),
                "ball": weight_spread(stage.tongue.weight_kg, system),
                "share": share_spread(stage.tongue.share),
            }
            for name, stage in zip(names, (found.stage_a, found.stage_b), strict=True)
        ],
        "rows": [
            {
                "name": row.name,
                "kind": row.kind,
                "a": "" if row.a_kg is None else weight(row.a_kg, system),
                "b": "" if row.b_kg is None else weight(row.b_kg, system),
                "difference": _signed(row.difference_kg, system),
                "assumed": row.assumed,
            }
            for row in found.rows
        ],
        "difference": _signed(found.difference_kg, system),
    }


def _signed(kg: float, system: System) -> str:
    sign = "+" if kg >= 0 else "−"
    return sign + shown(abs(kg), "mass", system, 1)
