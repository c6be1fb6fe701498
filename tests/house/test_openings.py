"""A rig is opened in one place."""

import ast
from collections.abc import Iterator, Mapping
from typing import Final

ALLOWED: Final = {
    "travelled": ("scene/opening.py", "travel/"),
    "crewed": ("scene/opening.py", "travel/"),
    "fill": (
        "scene/",
        "typical/",
        "statics/prior.py",
        "weighing/laid_ticket.py",
        "sweeps/variants.py",
    ),
    "prior": ("scene/opening.py", "statics/", "weighing/laid_ticket.py"),
}
"""Who may let a trip flow, seat the crew, fill in what is unsaid or ask for a prior: the opening,
the part it belongs to, weighing, whose prior is wider by the loads that its passes were taken with,
and a sweep, whose rigs differ by numbers alone."""


def _names(tree: ast.Module) -> Iterator[tuple[str, int]]:
    """Every function called, by its own name, and every name taken from another module."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom):
            yield from ((one.name, node.lineno) for one in node.names)
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            yield node.func.id, node.lineno
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            if ast.unparse(node.func.value) == "textwrap":
                continue
            yield node.func.attr, node.lineno


def test_a_rig_is_opened_in_one_place(source_trees: Mapping[str, ast.Module]) -> None:
    """No door and no answer lets the trip flow, seats the crew or takes the prior by itself."""
    strays = [
        f"{path}:{line} {name}"
        for path, tree in source_trees.items()
        for name, line in _names(tree)
        if name in ALLOWED
        and not path.startswith(tuple(f"src/steelyard/{x}" for x in ALLOWED[name]))
    ]
    assert strays == []


def _searched(node: ast.AST) -> bool:
    """Whether stages are looked through here for one of a certain key."""
    loops = node.generators if isinstance(node, ast.GeneratorExp | ast.ListComp) else [node]
    sources = [one.iter for one in loops if isinstance(one, ast.For | ast.comprehension)]
    return any(
        isinstance(found, ast.Call) and ast.unparse(found.func).endswith("plan_stages")
        for found in sources
    ) and any(
        isinstance(part, ast.Attribute) and part.attr == "key"
        for one in ast.walk(node)
        if isinstance(one, ast.Compare)
        for part in ast.walk(one)
    )


def test_a_stage_is_chosen_in_one_place(source_trees: Mapping[str, ast.Module]) -> None:
    """Outside trip and scene nobody looks through a rig's stages for one by its key."""
    strays = [
        f"{path}:{node.lineno}"
        for path, tree in source_trees.items()
        if not path.startswith(("src/steelyard/travel/", "src/steelyard/scene/"))
        for node in ast.walk(tree)
        if isinstance(node, ast.For | ast.GeneratorExp | ast.ListComp) and _searched(node)
    ]
    assert strays == []
