"""A panel's voltage coefficient in the wrong unit: no new one gets in, old ones count as untold."""

from decimal import Decimal
from importlib import import_module

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.migrations.loader import MigrationLoader

from catalogue.models import SolarPanelData
from tests.factories.jobs import make_part

pytestmark = pytest.mark.django_db
migration = import_module("catalogue.migrations.0009_panel_voltage_coefficient_limits")
BEFORE = ("catalogue", "0008_makers_curves")


def make_panel(coefficient: str | None) -> SolarPanelData:
    return SolarPanelData.objects.create(
        part=make_part(kind="solar_panel"),
        power_w=Decimal(120),
        voc_v=Decimal(22),
        isc_a=Decimal(7),
        voc_coefficient_pct_per_c=None if coefficient is None else Decimal(coefficient),
    )


@pytest.mark.parametrize("coefficient", ["0", "-0.003", "-0.049", "-1.001", "0.3"])
def test_the_database_takes_no_coefficient_outside_what_a_cell_has(coefficient: str) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        make_panel(coefficient)


@pytest.mark.parametrize("coefficient", ["-1", "-0.29", "-0.05", None])
def test_the_limits_themselves_and_untold_are_taken(coefficient: str | None) -> None:
    panel = make_panel(coefficient)
    panel.refresh_from_db()
    told = None if coefficient is None else Decimal(coefficient)
    assert panel.voc_coefficient_pct_per_c == told


def test_old_slips_of_the_unit_are_left_untold_and_others_kept() -> None:
    connection.check_constraints()  # PostgreSQL alters no table with checks still to be made
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "ALTER TABLE catalogue_solarpaneldata "
                "DROP CONSTRAINT solar_panel_voltage_coefficient_of_a_cell"
            )
        else:
            cursor.execute("PRAGMA ignore_check_constraints = ON")
        try:
            stored = {given: make_panel(given).pk for given in ("0", "-0.003", "-0.29")}
            migration.leave_untold(MigrationLoader(connection).project_state(BEFORE).apps, None)
        finally:
            if connection.vendor == "sqlite":
                cursor.execute("PRAGMA ignore_check_constraints = OFF")
    found = dict(SolarPanelData.objects.values_list("pk", "voc_coefficient_pct_per_c"))
    assert found == {
        stored["0"]: None,
        stored["-0.003"]: None,
        stored["-0.29"]: Decimal("-0.29"),
    }
