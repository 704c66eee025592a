"""The answer to a form that came to a closed sheet."""

from django.http import HttpRequest, HttpResponse

from restorations.faults.models import SheetClosed
from restorations.faults.views.common import sheet_for, show_sheet


def show_closed(request: HttpRequest, closed: SheetClosed) -> HttpResponse:
    sheet, standing = sheet_for(request, closed.sheet.pk, even_closed=True)
    return show_sheet(request, sheet, standing, status=409, trouble=str(closed))
