from fitout.jobs.models import Stage
from fitout.kit.access import OFFICE, STAFF, Rule

TESTING = frozenset({Stage.IN_BUILD, Stage.TRIALS})
PACKING = frozenset({Stage.IN_BUILD, Stage.TRIALS, Stage.HANDED_OVER})

ACTIONS = {
    "handover.view": Rule(STAFF),
    "tests.make": Rule(OFFICE, TESTING),
    "tests.enter": Rule(STAFF, TESTING),
    "register.change": Rule(STAFF, PACKING),
    "pack.make": Rule(OFFICE, PACKING),
}

URLS = {
    "handover:overview": "handover.view",
    "handover:make_sheets": "tests.make",
    "handover:sheet": "handover.view",
    "handover:reading": "tests.enter",
    "handover:refresh_register": "register.change",
    "handover:item": "register.change",
    "handover:make_pack": "pack.make",
    "handover:pack": "handover.view",
}
