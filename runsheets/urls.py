"""Addresses of the table."""

from django.urls import path

from runsheets import views, views_card, views_orders

urlpatterns = [
    path("table/", views.home, name="table-home"),
    path("table/divisions/<int:pk>/order/", views_orders.order, name="table-order"),
    path("table/divisions/<int:pk>/sheets.pdf", views.sheets, name="table-sheets"),
    path("riding/entries/<int:entry_pk>/card.pdf", views_card.dock_card, name="dock-card"),
    path("table/<slug:event>/", views.event, name="table-event"),
    path("table/<slug:event>/bibs/", views.bibs, name="table-bibs"),
    path("table/<slug:event>/entries/", views.entries, name="table-entries"),
    path("table/<slug:event>/readiness/", views.readiness, name="table-readiness"),
]
