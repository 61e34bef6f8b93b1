from django.urls import path

from fitout.home.views import find, pages

app_name = "home"

urlpatterns = [
    path("", pages.board, name="board"),
    path("search/", find.search, name="search"),
    path("jobs/<int:number>/strip/", pages.strip, name="strip"),
]
