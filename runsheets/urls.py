"""Addresses."""


urlpatterns: list = []
