"""Addresses of the bench."""

from django.urls import path

from tickover.workshop.bench import views

app_name = "bench"
urlpatterns = [
    path("jobs/", views.jobs, name="jobs"),
    path("engines/<str:serial>/tasks/<str:task_id>/open-job/", views.open_job, name="open-job"),
    path("jobs/<str:number>/", views.job, name="job"),
    path("jobs/<str:number>/kit/", views.note_kit, name="note-kit"),
    path("jobs/<str:number>/release/", views.release, name="release"),
    path("jobs/<str:number>/close/", views.close, name="close"),
    path("jobs/<str:number>/work-card.pdf", views.work_card, name="work-card"),
    path("jobs/<str:number>/release.pdf", views.release_paper, name="release-paper"),
    path("jobs/<str:number>/steps/<str:step_id>/", views.step, name="step"),
    path("jobs/<str:number>/steps/<str:step_id>/reading/", views.reading, name="reading"),
    path("jobs/<str:number>/steps/<str:step_id>/done/", views.done, name="done"),
    path("jobs/<str:number>/steps/<str:step_id>/reopen/", views.reopen, name="reopen"),
    path("jobs/<str:number>/steps/<str:step_id>/second-check/", views.second_check, name="second-check"),
]
