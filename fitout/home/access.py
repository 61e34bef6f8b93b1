from fitout.kit.access import OFFICE, STAFF, Rule

ACTIONS = {
    "board.view": Rule(STAFF),
    "search.use": Rule(STAFF),
    "strip.view": Rule(OFFICE),
}

URLS = {
    "home:board": "board.view",
    "home:search": "search.use",
    "home:strip": "strip.view",
}
