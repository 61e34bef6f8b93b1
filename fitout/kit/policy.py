"""The kit's own rows of the access registry."""

from django.conf import settings

from .access import OFFICE, OWNER, PUBLIC, STAFF, Rule

ACTIONS = {
    "sign_in": PUBLIC,
    "sign_out": PUBLIC,
    "password.change": Rule(STAFF),
    "people.manage": Rule(OWNER),
    "workshop.change": Rule(OWNER),
    "documents.open": Rule(STAFF),
    "trail.view": Rule(OWNER),
    "undo.own": Rule(STAFF),
    "undo.any": Rule(OFFICE),
}

URLS = {
    "kit:sign_in": "sign_in",
    "kit:sign_out": "sign_out",
    "kit:password": "password.change",
    "kit:people": "people.manage",
    "kit:new_person": "people.manage",
    "kit:person": "people.manage",
    "kit:workshop": "workshop.change",
    "kit:document": "documents.open",
    "kit:trail": "trail.view",
    "kit:undo": "undo.own",
}

if not settings.PRODUCTION:
    ACTIONS["look"] = PUBLIC
    URLS |= {"kit:look": "look", "kit:look_part": "look"}
