"""How the length of a run is told."""

import pytest

from electrical.adapters.routes import Run
from electrical.core.geometry import Way
from electrical.working import length_steps

pytestmark = pytest.mark.pure


def way(along_m: float, tail_m: float, *segments: str) -> Way:
    return Way(
        length_m=along_m + tail_m + 0.3,
        along_m=along_m,
        first_tail_m=tail_m,
        last_tail_m=0.0,
        slack_m=0.3,
        segment_ids=segments,
        node_ids=(),
        zone_ids=(),
    )


def told(*ways: Way) -> dict[str, str]:
    run = Run(circuit_id=1, ways=ways, length_m=sum(one.length_m for one in ways))
    return {step.name: step.value.replace("\xa0", " ") for step in length_steps(run)}


def test_a_run_in_a_cableway_tells_both_parts() -> None:
    found = told(way(2.0, 0.5, "7"))
    assert found["Along cableways"] == "2.00 m"
    assert found["To and from the cableways"] == "0.50 m"
    assert "Beside the cableways" not in found
    assert found["Length one way"] == "2.80 m"


def test_a_run_that_goes_straight_there_uses_no_cableway() -> None:
    found = told(way(0.75, 0.0))
    assert found["Beside the cableways"] == "0.75 m"
    assert "Along cableways" not in found
    assert "To and from the cableways" not in found
