"""The hull plan as SVG: to scale, escaped, without styles, with its own colours in print."""

import re
from dataclasses import replace
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from fitout.jobs.hullplan.drawing import deck_plan, profile
from fitout.jobs.hullplan.labels import Rect, place_label
from fitout.jobs.hullplan.plan import (
    Box,
    HullPlan,
    Marker,
    MarkerShape,
    PlanNode,
    PlanSegment,
    PlanZone,
)
from fitout.jobs.hullplan.road_shapes import OUTLINES
from fitout.jobs.hullplan.scale import Scale
from fitout.jobs.hullplan.templates import TEMPLATES

SVG = "{http://www.w3.org/2000/svg}"
NASTY = "<script>alert('x')</script>\"&"


def zone(code: str, x: tuple[float, float], y: tuple[float, float], name: str = "") -> PlanZone:
    return PlanZone(1, code, name or code, Box(*x, *y, 0.5, 1.2))


PLAN = HullPlan(
    name="Dulse",
    template="workboat",
    scale=Scale(8.6, 2.8, 1.5, 3.7, 0.5),
    zones=(zone("FD", (7.2, 8.6), (-1.4, 1.4)), zone("HM", (2.6, 4.1), (-0.9, 0.9))),
    nodes=(PlanNode("N1", 3, 0, 1), PlanNode("N2", 7.3, 0, 1)),
    segments=(PlanSegment(1, "W1", PlanNode("N1", 3, 0, 1), PlanNode("N2", 7.3, 0, 1), 4.3),),
    markers=(
        Marker("HM-01", "Display", "HM", MarkerShape.CIRCLE, 3.9, -0.3, 2),
        Marker("FD-01", "Bow motor", "FD", MarkerShape.TRIANGLE, 7.4, 0, 0.4),
    ),
)


def parsed(svg: str) -> ET.Element:
    return ET.fromstring(svg)  # noqa: S314  made by the code under test


@pytest.mark.parametrize("template", sorted(TEMPLATES))
@pytest.mark.parametrize("draw", [profile, deck_plan])
@pytest.mark.parametrize("for_print", [False, True])
def test_every_template_draws_well_formed_svg_without_styles(
    template: str, draw: Any, for_print: bool
) -> None:
    svg = draw(replace(PLAN, template=template), for_print=for_print)
    root = parsed(svg)
    assert root.tag == f"{SVG}svg"
    assert not [e for e in root.iter() if "style" in e.attrib or e.tag == f"{SVG}style"]
    assert len(root.findall(f".//{SVG}path")) > 5


def test_every_template_has_an_outline_of_its_own() -> None:
    assert set(OUTLINES) == set(TEMPLATES)


def test_names_are_escaped_wherever_they_stand() -> None:
    nasty = replace(
        PLAN,
        name=NASTY,
        zones=(zone("HM", (2, 4), (-1, 1), NASTY),),
        nodes=(PlanNode(NASTY, 1, 0, 0),),
        segments=(PlanSegment(1, NASTY, PlanNode("A", 1, 0, 1), PlanNode("B", 8, 0, 1), 7),),
        markers=(Marker(NASTY, NASTY, NASTY, MarkerShape.SQUARE, 3, 0, 1),),
    )
    for svg in (
        profile(nasty, zone_link=lambda code: f"?zone={NASTY}"),
        deck_plan(nasty, nodes=True, zone_link=lambda code: f"?zone={NASTY}"),
        deck_plan(nasty, for_print=True),
    ):
        assert "<script" not in svg
        assert "alert('x')" not in svg
        titles = [title.text for title in parsed(svg).iter(f"{SVG}title")]
        assert f"HM {NASTY}" in titles
        assert f"{NASTY} {NASTY}" in titles


def test_zones_are_links_that_a_keyboard_reaches() -> None:
    root = parsed(deck_plan(PLAN, zone_link=lambda code: f"?zone={code}", chosen="HM"))
    links = {link.get("data-zone"): link for link in root.iter(f"{SVG}a")}
    assert set(links) == {"FD", "HM"}
    assert links["HM"].get("href") == "?zone=HM"
    assert links["HM"].get("aria-label") == "HM: show only this zone"
    assert links["HM"].get("class") == "zone on"


def test_markers_of_other_zones_fade() -> None:
    root = parsed(deck_plan(PLAN, chosen="HM"))
    classes = {e.get("data-marker"): e.get("class") for e in root.iter() if e.get("data-marker")}
    assert classes == {"HM-01": "marker", "FD-01": "marker faded"}


def test_print_carries_literal_colours_and_no_class_on_lines() -> None:
    svg = deck_plan(PLAN, for_print=True)
    cableway = next(e for e in parsed(svg).iter() if e.get("stroke-dasharray") == "11 6")
    assert cableway.get("stroke") == "#94187A"
    assert "var(" not in svg
    assert not [e for e in parsed(svg).iter() if e.tag != f"{SVG}svg" and "class" in e.attrib]


def test_drawing_is_to_scale_in_both_directions() -> None:
    root = parsed(deck_plan(PLAN))
    boxes = [e for e in root.iter(f"{SVG}rect") if e.get("class") == "zone-box"]
    width, height = float(boxes[0].get("width", 0)), float(boxes[0].get("height", 0))
    # the foredeck is 1.4 m by 2.8 m, and 860 units stand for 8.6 m
    assert (width, height) == pytest.approx((140, 280))


def test_port_is_up_in_the_deck_plan_and_up_is_up_in_the_profile() -> None:
    port = replace(PLAN, markers=(Marker("A", "", "HM", MarkerShape.CIRCLE, 3, 1, 2),))
    starts = []
    for svg in (deck_plan(port), profile(port)):
        path = next(e.get("d", "") for e in parsed(svg).iter() if e.get("data-marker"))
        starts.append(float(re.match(r"M[-\d.]+,([-\d.]+)", path)[1]))  # type: ignore[index]
    assert starts == pytest.approx([-100, -200])


def test_metre_bar_ends_at_the_length_of_the_vessel() -> None:
    words = [e.text for e in parsed(deck_plan(PLAN)).iter(f"{SVG}text")]
    assert "8.6\N{NO-BREAK SPACE}m" in words
    assert {"0", "1", "7", "8"} <= set(words)


def test_label_goes_where_nothing_covers_the_zone() -> None:
    own = Rect(0, 0, 200, 100)
    point = place_label(own, [Rect(0, 0, 120, 100)], [], 15)
    assert point is not None
    assert point[0] > 120
    assert place_label(own, [Rect(-1, -1, 201, 101)], [], 15) is None
