"""Addresses of the table."""

from django.urls import path

from runsheets import (
    views,
    views_card,
    views_days,
    views_desk,
    views_entry,
    views_orders,
    views_print,
    views_results,
    views_rides,
    views_times,
)

urlpatterns = [
    path("table/", views.home, name="table-home"),
    path("table/divisions/<int:pk>/order/", views_orders.order, name="table-order"),
    path("table/divisions/<int:pk>/result/", views_results.table_result, name="table-result"),
    path("results/<slug:event>/", views_results.results, name="results"),
    path("results/<slug:event>/<slug:division>/", views_results.result, name="result"),
    path(
        "results/<slug:event>/<slug:division>/result.<str:ending>",
        views_results.result_file,
        name="result-file",
    ),
    path("table/divisions/<int:pk>/sheets.pdf", views_print.sheets, name="table-sheets"),
    path("riding/entries/<int:entry_pk>/card.pdf", views_card.dock_card, name="dock-card"),
    path("table/heats/<int:pk>/", views_rides.heat, name="table-heat"),
    path("table/rides/<int:order_pk>/<int:entry_pk>/", views_rides.ride, name="table-ride"),
    path(
        "table/rides/<int:order_pk>/<int:entry_pk>/<int:number>/",
        views_rides.ride,
        name="table-ride-again",
    ),
    path("table/<slug:event>/", views.event, name="table-event"),
    path("table/<slug:event>/judges/", views_rides.judges, name="table-judges"),
    path("table/<slug:event>/print/", views_print.print_page, name="table-print"),
    path("table/<slug:event>/print/rows.<str:ending>", views_print.rows, name="table-rows"),
    path("paper/<str:code>/", views_print.paper, name="paper"),
    path("table/<slug:event>/days/", views_days.days, name="table-days"),
    path("table/<slug:event>/days/new/", views_days.day_new, name="table-day-new"),
    path("table/<slug:event>/days/<int:pk>/", views_days.day_edit, name="table-day"),
    path(
        "table/<slug:event>/days/<int:pk>/remove/",
        views_days.day_remove,
        name="table-day-remove",
    ),
    path("times/<slug:event>/", views_times.times, name="times"),
    path("times/<slug:event>.ics", views_times.times_feed, name="times-feed"),
    path("running-order/<slug:event>/", views_times.running_order, name="running-order"),
    path("table/<slug:event>/bibs/", views.bibs, name="table-bibs"),
    path("table/<slug:event>/entries/", views_desk.entries, name="table-entries"),
    path("table/entries/<int:pk>/act/", views_desk.entry_act, name="table-entry-act"),
    path("table/<slug:event>/entries/new/", views_entry.entry_new, name="table-entry-new"),
    path("table/entries/<int:pk>/", views_entry.entry_page, name="table-entry"),
    path("table/divisions/<int:pk>/lots/", views_entry.lots, name="table-lots"),
    path("dock/", views_desk.dock_home, name="dock-home"),
    path("dock/<slug:event>/", views_desk.check_in_page, name="check-in"),
    path("dock/entries/<int:pk>/", views_desk.check_in_act, name="check-in-act"),
    path("table/<slug:event>/readiness/", views.readiness, name="table-readiness"),
]
