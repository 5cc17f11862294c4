"""Addresses of the register."""

from django.urls import path

from tickover.workshop.web.engines import component_views, paper_views, time_views, views

app_name = "engines"
urlpatterns = [
    path("engines/<str:serial>/", views.engine, name="engine"),
    path("engines/<str:serial>/track-log/", views.add_track_log, name="add-track-log"),
    path("engines/<str:serial>/time/<int:sequence>/", views.entry, name="entry"),
    path("engines/<str:serial>/time/<int:sequence>/withdraw/", views.withdraw, name="withdraw"),
    path("engines/<str:serial>/time/<int:sequence>/runs/", time_views.move_edges, name="move-edges"),
    path("engines/<str:serial>/hours/", time_views.enter_hours, name="enter-hours"),
    path("engines/<str:serial>/fuel/", time_views.enter_fuel, name="enter-fuel"),
    path("engines/<str:serial>/meter/", time_views.read_meter, name="read-meter"),
    path("engines/<str:serial>/meter/replace/", time_views.replace_meter, name="replace-meter"),
    path("engines/<str:serial>/components/new/", component_views.add_component, name="add-component"),
    path("engines/<str:serial>/components/fit/", component_views.fit, name="fit"),
    path("engines/<str:serial>/components/swap/", component_views.swap, name="swap"),
    path("engines/<str:serial>/overhaul/", component_views.overhaul, name="overhaul"),
    path(
        "engines/<str:serial>/overhaul/take-back/",
        component_views.take_back_overhaul,
        name="take-back-overhaul",
    ),
    path("engines/<str:serial>/logbook.pdf", paper_views.logbook, name="logbook"),
    path("engines/<str:serial>/label.pdf", paper_views.label, name="label"),
    path("engines/<str:serial>/bundle.zip", paper_views.transfer_bundle, name="bundle"),
    path("components/<int:sequence>/", component_views.component, name="component"),
    path("components/<int:sequence>/card.pdf", paper_views.component_card, name="component-card"),
    path("components/<int:sequence>/remove/", component_views.remove, name="remove"),
    path("components/<int:sequence>/take-back/", component_views.take_back, name="take-back"),
    path("track-log-to-try/", views.track_log_to_try, name="track-log-to-try"),
    path("evidence/<str:sha256>/", views.evidence, name="evidence"),
    path("hours-from-a-table/", views.hours_table, name="hours-table"),
    path("hours-from-a-table/enter/", views.import_hours, name="import-hours"),
]
