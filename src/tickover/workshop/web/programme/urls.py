"""Addresses of the programme."""

from django.urls import path

from tickover.workshop.web.engines import list_views
from tickover.workshop.web.programme import bulletin_views, owner_views, setting_views, views
from tickover.workshop.web.today import views as today_views
from tickover.workshop.web.weeks import views as weeks_views

app_name = "programme"
urlpatterns = [
    path("", today_views.today, name="today"),
    path("engines/", list_views.engines, name="engines"),
    path("engines.csv", list_views.engines_csv, name="engines-csv"),
    path("engines.json", list_views.engines_json, name="engines-json"),
    path("engines/<str:serial>/tasks/<str:task_id>/", views.task, name="task"),
    path("weeks/", weeks_views.weeks_ahead, name="weeks"),
    path("engines/<str:serial>/agreed-day/", weeks_views.agree, name="agree"),
    path("bulletins/", bulletin_views.all_bulletins, name="bulletins"),
    path("bulletins/new/", bulletin_views.new_bulletin, name="new-bulletin"),
    path("bulletins/add/", bulletin_views.add_bulletin, name="add-bulletin"),
    path("bulletins/<int:sequence>/", bulletin_views.bulletin, name="bulletin"),
    path("bulletins/<int:sequence>/edit/", bulletin_views.edit_bulletin, name="edit-bulletin"),
    path("bulletins/<int:sequence>/revise/", bulletin_views.revise_bulletin, name="revise-bulletin"),
    path("engines/<str:serial>/bulletins/", bulletin_views.engine_bulletins, name="engine-bulletins"),
    path(
        "engines/<str:serial>/bulletins/<int:sequence>/record/",
        bulletin_views.record_bulletin,
        name="record-bulletin",
    ),
    path("programme/", setting_views.settings, name="settings"),
    path("programme/<str:sheet_id>/anchor/", setting_views.set_anchor, name="set-anchor"),
    path("engines/<str:serial>/hours-known/", setting_views.hours_known, name="hours-known"),
    path("engines/<str:serial>/hours-known/note/", setting_views.note_hours, name="note-hours"),
    path("engines/<str:serial>/hours-known/baseline/", setting_views.record_baseline, name="record-baseline"),
    path("feed/<str:secret>.ics", owner_views.calendar, name="calendar"),
    path("engines/<str:serial>/feed/", owner_views.feeds, name="feed"),
    path("engines/<str:serial>/feed/make/", owner_views.make_feed, name="make-feed"),
    path(
        "engines/<str:serial>/feed/<int:sequence>/withdraw/", owner_views.withdraw_feed, name="withdraw-feed"
    ),
    path("reminders/", owner_views.all_reminders, name="reminders"),
    path("reminders/<int:owner_id>/", owner_views.reminder, name="reminder"),
    path("reminders/<int:owner_id>/send/", owner_views.send_reminder, name="send-reminder"),
]
