from django.urls import URLPattern, path

from catalogue.views import (
    kits,
    labour,
    offers,
    part_documents,
    parts,
    price_list,
    suppliers,
)

app_name = "catalogue"

urlpatterns: list[URLPattern] = [
    path("parts/", parts.parts, name="parts"),
    path("parts/new/", parts.new_part, name="new_part"),
    path("parts/<int:pk>/", parts.part, name="part"),
    path("parts/<int:pk>/change/", parts.change_part, name="change_part"),
    path("parts/<int:pk>/offers/new/", offers.new_offer, name="new_offer"),
    path("parts/<int:pk>/offers/<int:offer_pk>/", offers.change_offer, name="change_offer"),
    path("parts/<int:pk>/data-sheet/", part_documents.part_data_sheet, name="data_sheet"),
    path(
        "parts/<int:pk>/documents/new/",
        part_documents.new_part_document,
        name="new_part_document",
    ),
    path(
        "parts/<int:pk>/documents/<int:document_pk>/remove/",
        part_documents.remove_part_document,
        name="remove_part_document",
    ),
    path("kits/", kits.kits, name="kits"),
    path("kits/new/", kits.new_kit, name="new_kit"),
    path("kits/suggest/", kits.suggest, name="suggest"),
    path("kits/<int:pk>/", kits.kit, name="kit"),
    path("kits/<int:pk>/change/", kits.change_kit, name="change_kit"),
    path("kits/<int:pk>/items/new/", kits.add_kit_item, name="add_kit_item"),
    path("kits/<int:pk>/items/<int:item_pk>/", kits.kit_item, name="kit_item"),
    path("suppliers/", suppliers.suppliers, name="suppliers"),
    path("suppliers/new/", suppliers.new_supplier, name="new_supplier"),
    path("suppliers/<int:pk>/", suppliers.supplier, name="supplier"),
    path("suppliers/<int:pk>/change/", suppliers.change_supplier, name="change_supplier"),
    path("suppliers/<int:pk>/price-list/", price_list.price_list, name="price_list"),
    path(
        "suppliers/<int:pk>/price-list/<int:list_pk>/",
        price_list.price_list_check,
        name="price_list_check",
    ),
    path(
        "suppliers/<int:pk>/price-list/<int:list_pk>/columns/",
        price_list.price_list_columns,
        name="price_list_columns",
    ),
    path("labour/", labour.labour, name="labour"),
    path("labour/<slug:what>/new/", labour.new_labour, name="new_labour"),
    path("labour/<slug:what>/<int:pk>/", labour.change_labour, name="change_labour"),
]
