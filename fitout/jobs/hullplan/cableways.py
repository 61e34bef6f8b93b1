"""Lengths of cableways, and what keeps a cable from getting through."""

from __future__ import annotations

from dataclasses import dataclass

from fitout.jobs.models.hull import OUTSIDE_M

from .plan import HullPlan, PlanNode, PlanSegment


@dataclass(frozen=True)
class Cableway:
    code: str
    length_m: float
    measured: bool
    segments: tuple[PlanSegment, ...]


def cableways_of(plan: HullPlan) -> list[Cableway]:
    by_code: dict[str, list[PlanSegment]] = {}
    for segment in plan.segments:
        by_code.setdefault(segment.cableway, []).append(segment)
    return [
        Cableway(
            code=code,
            length_m=sum(segment.length_m for segment in segments),
            measured=any(segment.measured for segment in segments),
            segments=tuple(segments),
        )
        for code, segments in sorted(by_code.items())
    ]


def connected_groups(plan: HullPlan) -> list[list[PlanNode]]:
    """Nodes that reach each other along cableways; the largest group first."""
    root: dict[str, str] = {node.code: node.code for node in plan.nodes}

    def find(code: str) -> str:
        while root[code] != code:
            root[code] = root[root[code]]
            code = root[code]
        return code

    for segment in plan.segments:
        root[find(segment.start.code)] = find(segment.end.code)
    groups: dict[str, list[PlanNode]] = {}
    for node in plan.nodes:
        groups.setdefault(find(node.code), []).append(node)
    return sorted(groups.values(), key=len, reverse=True)


def gaps(plan: HullPlan) -> list[str]:
    """Sentences about cableways that do not reach; empty when every node is reached."""
    if not plan.nodes:
        return ["There are no cableways yet, so no cable length can be computed."]
    groups = connected_groups(plan)
    found = []
    for group in groups[1:]:
        codes = ", ".join(sorted(node.code for node in group))
        if len(group) == 1:
            found.append(f"Node {codes} has no cableway to the others.")
        else:
            found.append(f"Nodes {codes} are not joined to the other cableways.")
    return found + _far_nodes(plan)


def _far_nodes(plan: HullPlan) -> list[str]:
    scale, outside_m = plan.scale, float(OUTSIDE_M)
    return [
        f"Node {node.code} lies outside the vessel."
        for node in plan.nodes
        if not (
            -outside_m <= node.x_m <= scale.length_m + outside_m
            and abs(node.y_m) <= scale.beam_m / 2 + outside_m
            and -outside_m <= node.z_m <= scale.height_m + outside_m
        )
    ]
