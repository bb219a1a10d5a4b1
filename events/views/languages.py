"""Choosing the language that pages and letters are in."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.utils import translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from events.language_models import LanguageChoice
from events.languages import NAMES, keep
from events.site import go_back


@require_POST
def choose(request: HttpRequest) -> HttpResponse:
    """Keep a choice in the cookie and with the account, and go back to the page."""
    response = go_back(request)
    language = request.POST.get("language", "")
    if language not in NAMES:
        messages.error(request, _("Choose a language from the list. Nothing is changed."))
        return response
    keep(response, language)
    if request.user.is_authenticated:
        LanguageChoice.objects.update_or_create(
            user=request.user, defaults={"language": language}
        )
    with translation.override(language):
        messages.success(request, _("Pages are in English now."))
    return response
