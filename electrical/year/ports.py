"""The year at the home port, month by month, as somebody looked it up."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from electrical.models import HomePort, PortMonth
from fitout.jobs.models import Job
from fitout.kit.audit import tracked
from fitout.kit.models import StaleVersion, User

MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
#: Irradiation [kWh/m² a day] and air [°C] of one month; None where not known.
Figures = tuple[Decimal | None, Decimal | None]


def months_of(port: HomePort | None) -> dict[int, Figures]:
    rows = port.months.all() if port is not None and port.pk else ()
    return {row.month: (row.irradiation_kwh_m2_day, row.air_c) for row in rows}


def set_year(
    job: Job,
    *,
    by: User,
    version: int | None,
    latitude_deg: Decimal | None,
    source: str,
    months: Mapping[int, Figures],
) -> HomePort:
    """One entry; `version` is None where nothing was stored. Raises `StaleVersion`."""
    label = "Year at the home port"
    with tracked(actor=by, scope=job.scope, label=label, action="wiring.change") as change:
        port = HomePort.objects.filter(job=job).first()
        if (port.version if port else None) != version:
            raise StaleVersion(port)
        values = {"latitude_deg": latitude_deg, "source": source}
        if port is None:
            port = HomePort.objects.create(job=job, changed_by=by, **values)
            change.created(port)
        else:
            change.watch(port)
            port.latitude_deg, port.source = latitude_deg, source
            port.save_if_version(port.version, by=by)
        stored = {row.month: row for row in port.months.all()}
        for month, (irradiation, air_c) in months.items():
            figures = {"irradiation_kwh_m2_day": irradiation, "air_c": air_c}
            row = stored.get(month)
            if row is None:
                made = PortMonth.objects.create(port=port, month=month, changed_by=by, **figures)
                change.created(made)
            elif (row.irradiation_kwh_m2_day, row.air_c) != (irradiation, air_c):
                change.watch(row)
                row.irradiation_kwh_m2_day, row.air_c = irradiation, air_c
                row.save_if_version(row.version, by=by)
    return port
