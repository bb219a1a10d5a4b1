"""Joining, and the rider's own data."""

from django.contrib.auth import get_user_model, login
from django.contrib.auth.decorators import login_required
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from events.limits import limited
from events.site import is_ours
from events.views.invitations import invitation_opened
from riders.forms import JoinForm, RiderForm
from riders.models import Rider


def next_page(request: HttpRequest, otherwise: str) -> HttpResponse:
    """Go where the rider came from, if that is on this site."""
    target = request.POST.get("next") or request.GET.get("next", "")
    return redirect(target if is_ours(request, target) else otherwise)


@limited("join", per_hour=60)
def sign_up(request: HttpRequest) -> HttpResponse:
    """Make an account with a rider, and sign in."""
    if request.user.is_authenticated:
        return next_page(request, "riding-home")
    invited = invitation_opened(request)
    given = {"email": invited.email} if invited else None
    form = JoinForm(request.POST or None, initial=given)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            email = form.cleaned_data["email"]
            user = get_user_model().objects.create_user(
                username=email,
                email=email,
                password=form.cleaned_data["password"],
                first_name=form.cleaned_data["given_name"],
                last_name=form.cleaned_data["family_name"],
            )
            rider = form.save(commit=False)
            rider.user = user
            rider.save()
        login(request, user, backend="django.contrib.auth.backends.ModelBackend")
        return next_page(request, "riding-home")
    return render(request, "riders/sign_up.html", {"form": form})


@login_required
def rider_edit(request: HttpRequest) -> HttpResponse:
    """The rider's name, stance and club."""
    rider = Rider.objects.filter(user=request.user).first() or Rider(user=request.user)
    form = RiderForm(request.POST or None, instance=rider)
    if form.saved(form.save):
        return next_page(request, "riding-home")
    return render(request, "riders/rider_edit.html", {"form": form})
