from django.urls import path

from .views import adding, copying, customers, hull, jobs, lines, sheet

app_name = "jobs"

ONE = "jobs/<int:number>/"
LINE = f"{ONE}lines/<int:line_id>/"

urlpatterns = [
    path("customers/", customers.customers, name="customers"),
    path("customers/new/", customers.new_customer, name="customer_new"),
    path("customers/<int:pk>/", customers.customer, name="customer"),
    path("jobs/", jobs.jobs, name="list"),
    path("jobs/new/", jobs.new_job, name="new"),
    path(ONE, sheet.sheet, name="sheet"),
    path(f"{ONE}particulars/", jobs.details, name="details"),
    path(f"{ONE}stage/", jobs.move, name="stage"),
    path(f"{ONE}add/", adding.add, name="add"),
    path(f"{ONE}copy/", copying.copy, name="copy"),
    path(f"{ONE}costs/", copying.refresh, name="refresh"),
    path(LINE, lines.line, name="line"),
    path(f"{LINE}kit/", lines.kit, name="line_kit"),
    path(f"{LINE}choice/", lines.choice, name="line_choice"),
    path(f"{LINE}move/", lines.move, name="line_move"),
    path(f"{LINE}remove/", lines.remove, name="line_remove"),
    path(f"{ONE}hull/", hull.hull, name="hull"),
]

for kind, plural in (("zone", "zones"), ("node", "nodes"), ("segment", "cableways")):
    root = f"{ONE}hull/{plural}/"
    urlpatterns += [
        path(f"{root}new/", hull.new_piece, {"kind": kind}, name=f"{kind}_new"),
        path(f"{root}<int:pk>/", hull.piece, {"kind": kind}, name=kind),
        path(f"{root}<int:pk>/remove/", hull.remove, {"kind": kind}, name=f"{kind}_remove"),
    ]
