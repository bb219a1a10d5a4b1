"""Addresses of riders' pages."""

from django.urls import path

from riders.views import accounts, planner, riding

urlpatterns = [
    path("join/", accounts.sign_up, name="sign-up"),
    path("riding/", riding.riding_home, name="riding-home"),
    path("riding/me/", accounts.rider_edit, name="rider-edit"),
    path("riding/enter/<int:division_pk>/", riding.enter, name="enter"),
    path("riding/tricks/", riding.own_tricks, name="own-tricks"),
    path("riding/tricks/<int:pk>/remove/", riding.own_trick_remove, name="own-trick-remove"),
    path("riding/entries/<int:entry_pk>/plan/", planner.plan, name="plan"),
    path("riding/declared/<int:pk>/", riding.receipt, name="receipt"),
]
