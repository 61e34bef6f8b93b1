"""The catalogue's rows of the access registry. Technicians see parts, never what they cost."""

from fitout.kit.access import OFFICE, STAFF, Rule

ACTIONS = {
    "parts.view": Rule(STAFF),
    "parts.change": Rule(OFFICE),
    "kits.view": Rule(OFFICE),
    "kits.change": Rule(OFFICE),
    "suppliers.view": Rule(OFFICE),
    "suppliers.change": Rule(OFFICE),
    "labour.view": Rule(OFFICE),
    "labour.change": Rule(OFFICE),
    "prices.import": Rule(OFFICE),
}

URLS = {
    "catalogue:parts": "parts.view",
    "catalogue:part": "parts.view",
    "catalogue:data_sheet": "parts.view",
    "catalogue:new_part": "parts.change",
    "catalogue:change_part": "parts.change",
    "catalogue:new_offer": "parts.change",
    "catalogue:change_offer": "parts.change",
    "catalogue:new_part_document": "parts.change",
    "catalogue:remove_part_document": "parts.change",
    "catalogue:kits": "kits.view",
    "catalogue:kit": "kits.view",
    "catalogue:new_kit": "kits.change",
    "catalogue:change_kit": "kits.change",
    "catalogue:add_kit_item": "kits.change",
    "catalogue:kit_item": "kits.change",
    "catalogue:suggest": "kits.view",
    "catalogue:suppliers": "suppliers.view",
    "catalogue:supplier": "suppliers.view",
    "catalogue:new_supplier": "suppliers.change",
    "catalogue:change_supplier": "suppliers.change",
    "catalogue:price_list": "prices.import",
    "catalogue:price_list_check": "prices.import",
    "catalogue:price_list_columns": "prices.import",
    "catalogue:labour": "labour.view",
    "catalogue:new_labour": "labour.change",
    "catalogue:change_labour": "labour.change",
}
