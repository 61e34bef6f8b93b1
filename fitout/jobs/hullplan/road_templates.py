"""Hull plan templates for what is fitted out on wheels."""

from fitout.jobs.models.hull import VesselKind

from .templates import DAMP, DRY, ENGINE, WET, Template, ZonePlan, add

add(
    Template(
        slug="van",
        name="Panel van",
        kind=VesselKind.VAN,
        typical_m=("5.4", "2.05", "1.0", "1.95", "0"),
        zones=(
            ZonePlan("CB", "Cab", (0.66, 0.84), (-1, 1), (0, 1.85), DRY),
            ZonePlan("KT", "Kitchen", (0.36, 0.66), (0.3, 1), (0, 1.9), DRY),
            ZonePlan("LV", "Living space", (0.36, 0.66), (-1, 0.3), (0, 1.9), DRY),
            ZonePlan("BD", "Bed", (0.02, 0.36), (-1, 1), (0.75, 1.9), DRY),
            ZonePlan("GR", "Locker under the bed", (0.02, 0.36), (-1, 1), (0, 0.75), DRY),
            ZonePlan("RF", "Roof", (0.05, 0.62), (-0.9, 0.9), (1.9, 2), WET),
            ZonePlan("EN", "Engine bay", (0.84, 0.98), (-0.85, 0.85), (0.1, 1), ENGINE, hot=True),
            ZonePlan("WV", "Whole van", (0, 1), (-1, 1), (0, 2), DRY),
        ),
        nodes={
            "N1": ("GR", (0.12, -0.8, 0.4)),
            "N2": ("GR", (0.12, -0.92, 0.72)),
            "N3": ("LV", (0.4, -0.94, 0.5)),
            "N4": ("CB", (0.68, -0.9, 0.2)),
            "N5": ("EN", (0.86, -0.6, 0.5)),
            "N6": ("BD", (0.12, -0.94, 1.86)),
            "N7": ("RF", (0.15, -0.6, 1.92)),
            "N8": ("LV", (0.4, -0.94, 1.86)),
            "N9": ("LV", (0.6, -0.5, 1.88)),
            "N10": ("KT", (0.4, 0.94, 1.86)),
            "N11": ("GR", (0.12, 0.9, 0.4)),
            "N12": ("KT", (0.4, 0.94, 0.5)),
            "N13": ("KT", (0.6, 0.94, 0.5)),
        },
        cableways={
            "W1": ("N1", "N3", "N4", "N5"),
            "W2": ("N1", "N2", "N6", "N8", "N9"),
            "W3": ("N6", "N7"),
            "W4": ("N1", "N11", "N12", "N13"),
            "W5": ("N8", "N10", "N12"),
        },
    )
)

add(
    Template(
        slug="caravan",
        name="Touring caravan",
        kind=VesselKind.CARAVAN,
        typical_m=("6.6", "2.25", "1.0", "2.1", "0"),
        zones=(
            ZonePlan("DB", "Drawbar and gas locker", (0.8, 1), (-0.8, 0.8), (0, 0.9), WET),
            ZonePlan("FR", "Front lounge", (0.55, 0.8), (-1, 1), (0, 1.9), DRY),
            ZonePlan("KT", "Kitchen", (0.3, 0.55), (-1, 1), (0, 1.9), DRY),
            ZonePlan("WR", "Washroom", (0.02, 0.3), (0, 1), (0, 1.9), DAMP),
            ZonePlan("BD", "Bed", (0.02, 0.3), (-1, 0), (0, 1.9), DRY),
            ZonePlan("BL", "Battery locker", (0.4, 0.5), (0.7, 1), (0, 0.45), DRY),
            ZonePlan("RF", "Roof", (0.05, 0.78), (-0.9, 0.9), (1.9, 2), WET),
            ZonePlan("WC", "Whole caravan", (0, 1), (-1, 1), (0, 2), DRY),
        ),
        nodes={
            "N1": ("BL", (0.45, 0.85, 0.3)),
            "N2": ("FR", (0.72, 0.92, 0.3)),
            "N3": ("DB", (0.84, 0.2, 0.2)),
            "N4": ("WR", (0.2, 0.92, 0.3)),
            "N5": ("BD", (0.2, -0.92, 0.3)),
            "N6": ("KT", (0.45, 0.94, 1.86)),
            "N7": ("KT", (0.45, -0.94, 1.86)),
            "N8": ("RF", (0.45, 0.4, 1.92)),
            "N9": ("FR", (0.7, 0, 1.88)),
        },
        cableways={
            "W1": ("N1", "N2", "N3"),
            "W2": ("N1", "N4", "N5"),
            "W3": ("N1", "N6", "N7"),
            "W4": ("N6", "N8"),
            "W5": ("N6", "N9"),
        },
    )
)

add(
    Template(
        slug="offroad",
        name="4x4 with canopy",
        kind=VesselKind.OFFROAD,
        typical_m=("4.7", "1.8", "0.9", "1.6", "0"),
        zones=(
            ZonePlan(
                "EN", "Engine bay", (0.74, 0.98), (-0.85, 0.85), (0.1, 0.95), ENGINE, hot=True
            ),
            ZonePlan("CB", "Cab", (0.36, 0.74), (-1, 1), (0, 1.9), DRY),
            ZonePlan("RE", "Load space", (0.02, 0.36), (-1, 1), (0, 1.9), DRY),
            ZonePlan("BL", "Battery tray", (0.28, 0.36), (-0.9, -0.3), (0, 0.5), DRY),
            ZonePlan("RF", "Roof rack", (0.05, 0.6), (-0.85, 0.85), (1.9, 2), WET),
            ZonePlan("FB", "Front bar", (0.98, 1), (-0.9, 0.9), (0, 0.8), WET),
            ZonePlan("WV", "Whole vehicle", (0, 1), (-1, 1), (0, 2), DRY),
        ),
        nodes={
            "N1": ("BL", (0.32, -0.6, 0.3)),
            "N2": ("CB", (0.4, -0.92, 0.1)),
            "N3": ("CB", (0.72, -0.9, 0.3)),
            "N4": ("EN", (0.8, -0.6, 0.7)),
            "N5": ("FB", (0.985, -0.3, 0.5)),
            "N6": ("RE", (0.1, -0.92, 0.4)),
            "N7": ("RE", (0.1, 0.92, 0.4)),
            "N8": ("RE", (0.3, -0.92, 1.86)),
            "N9": ("RF", (0.3, 0, 1.92)),
            "N10": ("CB", (0.66, 0, 1.0)),
        },
        cableways={
            "W1": ("N1", "N2", "N3", "N4", "N5"),
            "W2": ("N1", "N6", "N7"),
            "W3": ("N1", "N8", "N9"),
            "W4": ("N3", "N10"),
        },
    )
)
