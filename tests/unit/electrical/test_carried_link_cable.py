"""A cable told for an emergency parallel switch, before its leads were circuits, goes to them."""

from importlib import import_module

import pytest
from django.db import connection
from django.db.migrations.loader import MigrationLoader

from electrical.models import Circuit, CircuitDevice, CircuitRole, Device
from electrical.wiring.wire_up import wire_up
from fitout.kit.models import User
from tests.factories.electrical import make_cable, make_load, make_small_vessel

pytestmark = pytest.mark.django_db
migration = import_module("electrical.migrations.0011_carry_link_cable")
BEFORE = ("electrical", "0010_panel_strings_and_parallel_conductors")


def test_leads_without_a_cable_take_it_and_others_keep_theirs(estimator: User) -> None:
    job = make_small_vessel(estimator, loads=[(make_load("Fridge"), "HM")])
    wire_up(job, estimator)
    bare, chosen = list(Circuit.objects.filter(job=job)[:2])
    told, own = make_cable("70", colour="brown"), make_cable("50", colour="brown")
    Circuit.objects.filter(pk=bare.pk).update(role=CircuitRole.LINK, cable=None)
    Circuit.objects.filter(pk=chosen.pk).update(role=CircuitRole.LINK, cable=own)
    switch = Device.objects.filter(job=job, kind="switch")[0]
    for lead in (bare, chosen):
        CircuitDevice.objects.get_or_create(circuit=lead, device=switch)
    connection.check_constraints()  # PostgreSQL alters no table with checks still to be made
    with connection.cursor() as cursor:
        cursor.execute("ALTER TABLE electrical_device ADD COLUMN link_cable_id bigint")
        cursor.execute(
            "UPDATE electrical_device SET link_cable_id = %s WHERE id = %s", [told.pk, switch.pk]
        )
    migration.carry(MigrationLoader(connection).project_state(BEFORE).apps, None)
    found = Circuit.objects.filter(pk__in=(bare.pk, chosen.pk)).order_by("pk")
    assert {c.pk: (c.cable_id, c.cable_set_by_hand) for c in found} == {
        bare.pk: (told.pk, True),
        chosen.pk: (own.pk, False),
    }
