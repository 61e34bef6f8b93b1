from django.urls import path

from fitout.handover.views import overview, sheets

app_name = "handover"

urlpatterns = [
    path("jobs/<int:number>/handover/", overview.overview, name="overview"),
    path("jobs/<int:number>/handover/sheets/", sheets.make_sheets, name="make_sheets"),
    path("jobs/<int:number>/handover/sheets/<int:pk>/", sheets.sheet_page, name="sheet"),
    path("jobs/<int:number>/handover/readings/<int:pk>/", sheets.enter_reading, name="reading"),
    path(
        "jobs/<int:number>/handover/register/", overview.refresh_register, name="refresh_register"
    ),
    path("jobs/<int:number>/handover/register/<int:pk>/", overview.register_item, name="item"),
    path("jobs/<int:number>/handover/pack/", overview.make_pack, name="make_pack"),
    path("jobs/<int:number>/handover/packs/<int:pk>/", overview.pack_row, name="pack"),
]
