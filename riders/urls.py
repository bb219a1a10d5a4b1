"""Addresses of riders' pages."""

from django.urls import path

from riders.views import (
    accounts,
    compare,
    log,
    log_files,
    log_set,
    planner,
    riding,
    sharing,
)

urlpatterns = [
    path("join/", accounts.sign_up, name="sign-up"),
    path("riding/", riding.riding_home, name="riding-home"),
    path("riding/me/", accounts.rider_edit, name="rider-edit"),
    path("riding/enter/<int:division_pk>/", riding.enter, name="enter"),
    path("riding/tricks/", riding.own_tricks, name="own-tricks"),
    path("riding/tricks/<int:pk>/remove/", riding.own_trick_remove, name="own-trick-remove"),
    path("riding/entries/<int:entry_pk>/plan/", planner.plan, name="plan"),
    path("riding/declared/<int:pk>/", riding.receipt, name="receipt"),
    path("riding/log/", log.log_home, name="log-home"),
    path("riding/log/add/", log.log_add, name="log-add"),
    path("riding/log/set/", log_set.log_set, name="log-set"),
    path("riding/log/set/undo/", log_set.log_undo, name="log-undo"),
    path("riding/log/set/setting/", log_set.log_setting, name="log-setting"),
    path("riding/log/set/trick/", log_set.log_set_trick, name="log-set-trick"),
    path("riding/log/lines/<int:pk>/", log.log_edit, name="log-edit"),
    path("riding/log/lines/<int:pk>/delete/", log.log_delete, name="log-delete"),
    path("riding/log/export.csv", log_files.log_export, name="log-export"),
    path("riding/log/import/", log_files.log_import, name="log-import"),
    path("riding/log/import/confirm/", log_files.log_import_confirm, name="log-import-confirm"),
    path("riding/log/tricks/<str:trick>/", log.log_trick, name="log-trick"),
    # Shared plans, the coach's table, plans beside each other.
    path("shared/<str:token>/", sharing.shared_plan, name="shared-plan"),
    path("shared/<str:token>/keep/", sharing.keep, name="shared-keep"),
    path("riding/coach/", sharing.coach, name="coach"),
    path("riding/coach/<int:pk>/", sharing.coach_plan, name="coach-plan"),
    path("riding/coach/<int:pk>/let-go/", sharing.coach_let_go, name="coach-let-go"),
    path("riding/entries/<int:entry_pk>/share/", sharing.share, name="share"),
    path("riding/shares/<int:pk>/stop/", sharing.share_stop, name="share-stop"),
    path("riding/keepers/<int:pk>/end/", sharing.share_take_back, name="share-take-back"),
    path("riding/compare/", compare.compare, name="compare"),
    path("riding/entries/<int:entry_pk>/variants/", compare.variants, name="variants"),
    path("riding/variants/<int:pk>/use/", compare.variant_use, name="variant-use"),
    path("riding/variants/<int:pk>/remove/", compare.variant_remove, name="variant-remove"),
    path("riding/entries/<int:entry_pk>/copy/", compare.copy, name="copy-plan"),
]
