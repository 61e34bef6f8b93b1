"""Time-current curves of the demo's fuses: invented, of the usual shape of their kinds."""

from catalogue.models.electrical_data import ProtectionKind

SOURCE = "data sheet, invented for the demo"

#: Times rating, shortest s, longest s. Breakers have none: the demo shows what is then not known.
CURVES = {
    ProtectionKind.CUBE: "1.1 14400 -\n1.35 60 1800\n2 2 60\n3.5 0.2 7\n6 0.04 1\n10 0.012 0.2",
    ProtectionKind.CLASS_T: "1.1 14400 -\n1.35 60 1800\n2 3 90\n5 0.03 0.8\n10 0.004 0.03",
    ProtectionKind.CYLINDRICAL: "1.13 3600 -\n1.45 10 3600\n2 1 90\n5 0.03 1\n10 0.005 0.08",
}


def curve_for(kind: str) -> dict[str, str]:
    curve = CURVES.get(ProtectionKind(kind))
    return {"time_current": curve, "curve_source": SOURCE} if curve else {}
