"""Addresses of fault-finding."""

from django.urls import path

from tickover.workshop.web.fault_finding import ending_views, paper_views, record_views, views

app_name = "fault_finding"
urlpatterns = [
    path("fault-finding/", views.sessions, name="sessions"),
    path("fault-finding/what-it-was/", paper_views.what_it_was, name="what-it-was"),
    path("fault-finding/on/<str:serial>/", views.of_engine, name="of-engine"),
    path("fault-finding/on/<str:serial>/new/", views.start, name="start"),
    path("fault-finding/<str:number>/", views.session, name="session"),
    path("fault-finding/<str:number>/suspects/<str:name>/", views.suspect, name="suspect"),
    path("fault-finding/<str:number>/answer/", views.answer, name="answer"),
    path("fault-finding/<str:number>/take-back/", views.take_back, name="take-back"),
    path("fault-finding/<str:number>/open/", views.note_open, name="note-open"),
    path("fault-finding/<str:number>/photographed/", record_views.photographed, name="photographed"),
    path("fault-finding/<str:number>/record/", record_views.use_record, name="use-record"),
    path("fault-finding/<str:number>/weigh/", record_views.weigh, name="weigh"),
    path("fault-finding/<str:number>/rule-out/", views.rule_out, name="rule-out"),
    path("fault-finding/<str:number>/confirm/", ending_views.confirm, name="confirm"),
    path("fault-finding/<str:number>/end/", ending_views.end, name="end"),
    path("fault-finding/<str:number>/cured/", ending_views.cured, name="cured"),
    path("fault-finding/<str:number>/take-up/", ending_views.take_up, name="take-up"),
    path("fault-finding/<str:number>/fault-finding.pdf", paper_views.paper_of, name="paper"),
]
