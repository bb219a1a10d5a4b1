"""The format editor: typing, checking, previewing and publishing a division's format."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST

from events.faults import Fault
from events.forms.contests import StartForm, TextForm
from events.forms.format_editor import EXAMPLE, FormatEditor
from events.models import Division
from events.rules.differences import Difference, differences
from events.rules.format import Format
from events.rules.loading import as_toml
from events.services import (
    DraftChanged,
    NotPublished,
    draft_stamp,
    publish_edition,
    save_draft,
)
from events.starts import has_own_draft, starting_format, starting_points
from events.strips import format_strip
from events.units import units_of
from events.views.lookup import organised_division
from events.views.public import toml_file
from events.views.reading import reading

THEIRS = Fault(
    gettext_lazy("Somebody else saved this draft meanwhile: see what differs."), target="theirs"
)
NEXT = {"save": "format-edit", "preview": "format-preview"}


@login_required
def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """The whole format on one page; a draft is saved only when it holds together."""
    division = organised_division(request.user, pk)
    if request.method != "POST":
        return _editor_page(request, division, FormatEditor(draft=division.draft_format))
    editor = FormatEditor(request.POST, division=division.name)
    if editor.changed_rows:
        editor.read()
    elif editor.check():
        if request.POST.get("do") in NEXT:
            return _save(request, division, editor)
        messages.info(request, _("Nothing contradicts itself. Nothing is saved yet."))
    return _editor_page(request, division, editor)


def _save(request: HttpRequest, division: Division, editor: FormatEditor) -> HttpResponse:
    seen = request.POST.get("seen")
    try:
        save_draft(division=division, format=editor.format, by=request.user, seen=seen)
    except DraftChanged as changed:
        return _editor_page(request, changed.division, editor, theirs=True)
    messages.success(request, _("The draft is saved. Riders see it once it is published."))
    return redirect(NEXT[request.POST["do"]], division.pk)


def _editor_page(
    request: HttpRequest, division: Division, editor: FormatEditor, theirs: bool = False
) -> HttpResponse:
    """The editor; `theirs`: the division holds a draft that somebody saved meanwhile."""
    asked = request.POST.get("seen")
    context = {
        "division": division,
        "seen": draft_stamp(division) if theirs or asked is None else asked,
        "theirs": _apart(editor.format, division) if theirs else (),
        "told": [THEIRS] if theirs else [],
        "event": division.event,
        "editor": editor,
        "strip": format_strip(
            editor.format, _("The course of {name}").format(name=division.name)
        ),
        "start": StartForm(choices=starting_points(request.user, division)),
        "example": EXAMPLE,
        "faults_say": _("Nothing is saved yet; everything that you typed is still here."),
    }
    return render(request, "events/format_edit.html", context)


def _apart(mine: Format, division: Division) -> tuple[Difference, ...]:
    """What saving would change of the draft that somebody else saved."""
    return differences(division.draft_format, mine)


@login_required
@require_POST
def strip(request: HttpRequest, pk: int) -> HttpResponse:
    """The course as it stands in what is being typed."""
    division = organised_division(request.user, pk)
    editor = FormatEditor(request.POST)
    editor.read()
    drawn = format_strip(editor.format, _("The course of {name}").format(name=division.name))
    return render(request, "events/_strip.html", {"strip": drawn})


@login_required
def preview(request: HttpRequest, pk: int) -> HttpResponse:
    """The draft as riders will read it, and what differs from the edition in force."""
    division = organised_division(request.user, pk)
    draft, edition = division.draft_format, division.edition
    context = {
        "division": division,
        "event": division.event,
        "reading": reading(division, draft, request.GET.get("round"), units_of(request)),
        "edition": edition,
        "seen": draft_stamp(division),
        "differences": differences(edition.format, draft) if edition else (),
        "unchanged": edition is not None and edition.format == draft,
        "says_nothing": draft.passes.count is None,
    }
    return render(request, "events/format_preview.html", context)


@login_required
@require_POST
def publish(request: HttpRequest, pk: int) -> HttpResponse:
    """Freeze the draft as the next edition."""
    division = organised_division(request.user, pk)
    try:
        seen = request.POST.get("seen")
        edition = publish_edition(division=division, by=request.user, seen=seen)
    except NotPublished as reason:
        messages.error(request, str(reason))
        return redirect("format-preview", pk)
    messages.success(request, _("Edition {number} is published.").format(number=edition.number))
    if edition.format.passes.count is None:
        messages.warning(request, _("It does not say how many passes a run has."))
    return redirect("event-organise", division.event.slug)


@login_required
@require_POST
def start(request: HttpRequest, pk: int) -> HttpResponse:
    """Begin the draft from an example or from another division, after asking."""
    division = organised_division(request.user, pk)
    choices = starting_points(request.user, division)
    form = StartForm(request.POST, choices=choices)
    if not form.is_valid():
        messages.error(request, _("Choose what to start from."))
        return redirect("format-edit", pk)
    source, seen = form.cleaned_data["source"], request.POST.get("seen")
    begun = starting_format(source, division)
    if has_own_draft(division) and not form.cleaned_data["sure"]:
        is_theirs = seen not in (None, draft_stamp(division))
        theirs = _apart(begun, division) if is_theirs else None
        return _start_page(request, division, source, theirs)
    try:
        save_draft(division=division, format=begun, by=request.user, seen=seen)
    except DraftChanged as changed:
        theirs = _apart(begun, changed.division)
        return _start_page(request, changed.division, source, theirs)
    said = _("The draft is laid out. Go through it and change what differs.")
    if source.startswith("example:"):
        said += " " + _("The pass length is that of {venue}.").format(
            venue=division.event.venue
        )
    messages.success(request, said)
    return redirect("format-edit", pk)


def _start_page(
    request: HttpRequest,
    division: Division,
    source: str,
    theirs: tuple[Difference, ...] | None = None,
) -> HttpResponse:
    """Ask before a draft is replaced; `theirs`: how far it is from what somebody saved."""
    context = {
        "division": division,
        "event": division.event,
        "source": source,
        "seen": draft_stamp(division),
        "theirs": theirs,
        "told": [THEIRS] if theirs is not None else [],
        "faults_say": _("Nothing is replaced yet."),
    }
    return render(request, "events/format_start.html", context)


@login_required
def text(request: HttpRequest, pk: int) -> HttpResponseBase:
    """The whole draft as TOML: to download, or to paste another."""
    division = organised_division(request.user, pk)
    written = as_toml(division.draft_format)
    if "download" in request.GET:
        return toml_file(
            written,
            f"{division.event.slug}-{division.slug}-draft.toml",
        )
    form = TextForm(
        request.POST or None,
        division=division.name,
        initial={"text": written, "seen": draft_stamp(division)},
    )
    if request.method == "POST" and form.is_valid():
        try:
            seen = form.cleaned_data["seen"] or None
            save_draft(division=division, format=form.format, by=request.user, seen=seen)
        except DraftChanged as changed:
            form.show_theirs(
                draft_stamp(changed.division), _apart(form.format, changed.division)
            )
        else:
            messages.success(
                request, _("The draft is saved. Riders see it once it is published.")
            )
            return redirect("format-edit", pk)
    context = {"division": division, "event": division.event, "form": form}
    return render(request, "events/format_text.html", context)
