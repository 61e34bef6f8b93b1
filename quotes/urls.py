from django.urls import path

from quotes.views import estimate, link, mark_ups, revisions, terms

app_name = "quotes"

urlpatterns = [
    path("jobs/<int:number>/estimate/", estimate.estimate_page, name="estimate"),
    path("jobs/<int:number>/quotes/", revisions.quotes_page, name="list"),
    path("jobs/<int:number>/quotes/issue/", revisions.issue_quote, name="issue"),
    path("jobs/<int:number>/quotes/terms/", terms.terms_page, name="terms"),
    path("jobs/<int:number>/quotes/<int:sequence>/", revisions.revision_page, name="revision"),
    path("jobs/<int:number>/quotes/<int:sequence>/accept/", revisions.accept_quote, name="accept"),
    path(
        "jobs/<int:number>/quotes/<int:sequence>/decline/", revisions.decline_quote, name="decline"
    ),
    path("mark-ups/", mark_ups.mark_ups_page, name="mark-ups"),
    path("q/<str:token>/", link.quote_link, name="link"),
    path("q/<str:token>/total/", link.quote_total, name="link-total"),
    path("q/<str:token>/accept/", link.accept_by_link, name="link-accept"),
    path("q/<str:token>/decline/", link.decline_by_link, name="link-decline"),
    path("q/<str:token>/pdf/", link.quote_pdf, name="link-pdf"),
]
