from django.conf import settings
from django.urls import path

from .views import look, papers, people, sign_in, trail, workshop

app_name = "kit"

urlpatterns = [
    path("sign-in/", sign_in.sign_in, name="sign_in"),
    path("sign-out/", sign_in.sign_out, name="sign_out"),
    path("password/", sign_in.change_password, name="password"),
    path("people/", people.people, name="people"),
    path("people/new/", people.new_person, name="new_person"),
    path("people/<int:pk>/", people.person, name="person"),
    path("workshop/", workshop.workshop, name="workshop"),
    path("documents/<int:pk>/", papers.document, name="document"),
    path("trail/", trail.trail, name="trail"),
    path("undo/<int:pk>/", trail.undo_entry, name="undo"),
]

if not settings.PRODUCTION:
    urlpatterns += [
        path("look/", look.look, name="look"),
        path("look/<slug:part>/", look.look, name="look_part"),
    ]
