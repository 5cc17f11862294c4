"""Addresses of fault-finding."""

from django.urls import path

from tickover.workshop.web.fault_finding import ending_views, paper_views, record_views, views

app_name = "fault_finding"
urlpatterns = [
    path("trouble/", views.sessions, name="sessions"),
    path("trouble/what-it-was/", paper_views.what_it_was, name="what-it-was"),
    path("trouble/on/<str:serial>/", views.of_engine, name="of-engine"),
    path("trouble/on/<str:serial>/new/", views.start, name="start"),
    path("trouble/<str:number>/", views.session, name="session"),
    path("trouble/<str:number>/suspects/<str:name>/", views.suspect, name="suspect"),
    path("trouble/<str:number>/answer/", views.answer, name="answer"),
    path("trouble/<str:number>/take-back/", views.take_back, name="take-back"),
    path("trouble/<str:number>/open/", views.note_open, name="note-open"),
    path("trouble/<str:number>/photographed/", record_views.photographed, name="photographed"),
    path("trouble/<str:number>/record/", record_views.use_record, name="use-record"),
    path("trouble/<str:number>/weigh/", record_views.weigh, name="weigh"),
    path("trouble/<str:number>/rule-out/", views.rule_out, name="rule-out"),
    path("trouble/<str:number>/confirm/", ending_views.confirm, name="confirm"),
    path("trouble/<str:number>/end/", ending_views.end, name="end"),
    path("trouble/<str:number>/cured/", ending_views.cured, name="cured"),
    path("trouble/<str:number>/take-up/", ending_views.take_up, name="take-up"),
    path("trouble/<str:number>/trouble.pdf", paper_views.paper_of, name="paper"),
]
