from fitout.jobs.models import Stage
from fitout.kit.access import OFFICE, PUBLIC, Rule

OPEN_STAGES = frozenset({Stage.ENQUIRY, Stage.QUOTED})

ACTIONS = {
    "estimate.view": Rule(OFFICE),
    "quote.view": Rule(OFFICE),
    "quote.issue": Rule(OFFICE, OPEN_STAGES),
    "quote.answer": Rule(OFFICE, frozenset({Stage.QUOTED})),
    "terms.change": Rule(OFFICE, OPEN_STAGES),
    "mark_ups.change": Rule(OFFICE),
    "quote.read_by_link": PUBLIC,
}

URLS = {
    "quotes:estimate": "estimate.view",
    "quotes:list": "quote.view",
    "quotes:issue": "quote.view",
    "quotes:terms": "quote.view",
    "quotes:revision": "quote.view",
    "quotes:accept": "quote.view",
    "quotes:decline": "quote.view",
    "quotes:mark-ups": "mark_ups.change",
    "quotes:link": "quote.read_by_link",
    "quotes:link-total": "quote.read_by_link",
    "quotes:link-accept": "quote.read_by_link",
    "quotes:link-decline": "quote.read_by_link",
    "quotes:link-pdf": "quote.read_by_link",
}
