from fitout.jobs.models import Stage
from fitout.kit.access import OFFICE, STAFF, Rule

BUYING = frozenset({Stage.ACCEPTED, Stage.IN_BUILD, Stage.TRIALS})

ACTIONS = {
    "orders.view": Rule(OFFICE),
    "orders.change": Rule(OFFICE, BUYING),
    "goods.receive": Rule(STAFF, BUYING),
    "parts.move": Rule(STAFF, BUYING),
    "parts.follow": Rule(STAFF),
}

URLS = {
    "purchasing:job": "parts.follow",
    "purchasing:propose": "orders.view",
    "purchasing:move": "parts.move",
    "purchasing:put-right": "parts.move",
    "purchasing:orders": "parts.follow",
    "purchasing:order": "parts.follow",
    "purchasing:quantity": "orders.view",
    "purchasing:send": "orders.view",
    "purchasing:cancel": "orders.view",
    "purchasing:receive": "goods.receive",
}
