from django.urls import path

from fitout.purchasing.views import jobs, orders, receipts

app_name = "purchasing"

urlpatterns = [
    path("jobs/<int:number>/orders/", jobs.job_parts, name="job"),
    path("jobs/<int:number>/orders/propose/", jobs.propose_orders, name="propose"),
    path("jobs/<int:number>/parts/<int:part_id>/move/", jobs.move_part, name="move"),
    path(
        "jobs/<int:number>/movements/<int:pk>/put-right/", jobs.put_right_movement, name="put-right"
    ),
    path("orders/", orders.orders_page, name="orders"),
    path("orders/<int:pk>/", orders.order_page, name="order"),
    path("orders/<int:pk>/lines/<int:line_id>/", orders.change_quantity, name="quantity"),
    path("orders/<int:pk>/send/", orders.send_order, name="send"),
    path("orders/<int:pk>/cancel/", orders.cancel_order, name="cancel"),
    path("orders/<int:pk>/receive/", receipts.receive_goods, name="receive"),
]
