from django.urls import path

from electrical.views import (
    checks,
    circuits,
    data_backbone,
    devices,
    earthing,
    energy,
    papers,
    states,
    together,
    use_profiles,
    wiring,
    year,
)

app_name = "electrical"

ROOT = "jobs/<int:number>/wiring/"

urlpatterns = [
    path(ROOT, wiring.wiring, name="wiring"),
    path(f"{ROOT}wire-up/", wiring.wire, name="wire_up"),
    path(f"{ROOT}remedy/", wiring.remedy, name="remedy"),
    path(f"{ROOT}devices/follow/", wiring.follow_sheet, name="follow_sheet"),
    path(f"{ROOT}renumber/", wiring.renumber, name="renumber"),
    path(f"{ROOT}together/", together.together, name="together"),
    path(f"{ROOT}together/ask/", together.ask, name="together_ask"),
    path(f"{ROOT}together/use/", together.use_choice, name="together_use"),
    path(f"{ROOT}backbone/", data_backbone.data_backbone, name="data_backbone"),
    path(f"{ROOT}backbone/save/", data_backbone.save, name="data_backbone_save"),
    path(f"{ROOT}backbone/propose/", data_backbone.propose, name="data_backbone_propose"),
    path(f"{ROOT}earthing/", earthing.earthing, name="earthing"),
    path(f"{ROOT}earthing/save/", earthing.save, name="earthing_save"),
    path(f"{ROOT}earthing/bond/", earthing.bond, name="bond"),
    path(f"{ROOT}earthing/bond/<int:pk>/remove/", earthing.remove_bond, name="bond_remove"),
    path(f"{ROOT}states/", states.states, name="states"),
    path(f"{ROOT}checks/", checks.checks, name="checks"),
    path(f"{ROOT}circuits/new/", circuits.new, name="circuit_new"),
    path(f"{ROOT}circuits/<int:pk>/", circuits.circuit, name="circuit"),
    path(f"{ROOT}circuits/<int:pk>/edit/", circuits.edit, name="circuit_edit"),
    path(f"{ROOT}circuits/<int:pk>/remove/", circuits.remove, name="circuit_remove"),
    path(f"{ROOT}devices/<int:pk>/", devices.device, name="device"),
    path(f"{ROOT}energy/", energy.energy, name="energy"),
    path(f"{ROOT}energy/use/new/", use_profiles.profile, name="use_profile_new"),
    path(f"{ROOT}energy/use/<int:pk>/", use_profiles.profile, name="use_profile"),
    path(f"{ROOT}energy/use/<int:pk>/remove/", use_profiles.remove, name="use_profile_remove"),
    path(f"{ROOT}energy/port/", energy.home_port, name="home_port"),
    path(f"{ROOT}energy/year/", year.year, name="energy_year"),
    path(f"{ROOT}energy/year/ask/", year.ask, name="energy_year_ask"),
    path(f"{ROOT}energy/year/port/", year.port, name="port_year"),
    path(f"{ROOT}circuit-list.pdf", papers.circuit_list, name="circuit_list"),
    path(f"{ROOT}schematic.pdf", papers.schematic, name="schematic"),
    path(f"{ROOT}labels.pdf", papers.labels, name="labels"),
]
