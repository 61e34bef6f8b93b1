"""Who may see and change the wiring of a job."""

from fitout.jobs.models.jobs import OPEN_STAGES
from fitout.kit.access import OFFICE, STAFF, Rule

ACTIONS = {
    "wiring.view": Rule(roles=STAFF),
    "wiring.change": Rule(roles=OFFICE, stages=OPEN_STAGES),
}

URLS = {
    "electrical:wiring": "wiring.view",
    "electrical:wire_up": "wiring.change",
    "electrical:remedy": "wiring.change",
    "electrical:follow_sheet": "wiring.change",
    "electrical:renumber": "wiring.change",
    "electrical:together": "wiring.view",
    "electrical:together_ask": "wiring.change",
    "electrical:together_use": "wiring.change",
    "electrical:data_backbone": "wiring.view",
    "electrical:data_backbone_save": "wiring.change",
    "electrical:data_backbone_propose": "wiring.change",
    "electrical:earthing": "wiring.view",
    "electrical:earthing_save": "wiring.change",
    "electrical:bond": "wiring.change",
    "electrical:bond_remove": "wiring.change",
    "electrical:states": "wiring.view",
    "electrical:checks": "wiring.view",
    "electrical:circuit": "wiring.view",
    "electrical:circuit_new": "wiring.change",
    "electrical:circuit_edit": "wiring.change",
    "electrical:circuit_remove": "wiring.change",
    "electrical:device": "wiring.change",
    "electrical:energy": "wiring.view",
    "electrical:use_profile_new": "wiring.change",
    "electrical:use_profile": "wiring.change",
    "electrical:use_profile_remove": "wiring.change",
    "electrical:home_port": "wiring.change",
    "electrical:energy_year": "wiring.view",
    "electrical:energy_year_ask": "wiring.change",
    "electrical:port_year": "wiring.change",
    "electrical:circuit_list": "wiring.view",
    "electrical:schematic": "wiring.view",
    "electrical:labels": "wiring.view",
}
