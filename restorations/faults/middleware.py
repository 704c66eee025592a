"""A closed sheet answers whoever would write on it: in words, on its page, with what was typed."""

from django.http import HttpRequest, HttpResponse

from restorations.faults.models import SheetClosed
from restorations.faults.views.closed import show_closed
from restorations.web.middleware import Handler


class ClosedSheets:
    """Whatever view or service found the sheet closed."""

    def __init__(self, get_response: Handler) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        return show_closed(request, exception) if isinstance(exception, SheetClosed) else None
