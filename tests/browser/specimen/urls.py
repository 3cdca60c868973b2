"""The service's own addresses of sign-in and errors, and the specimen pages beside them."""

from pathlib import Path

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.template import engines
from django.urls import include, path

from catalog.web.access import ANYBODY, BOOKKEEPER, KITCHEN, OWNER, allow
from orders.records.errors import ChangedMeanwhile
from tests.browser.specimen import content

HERE = Path(__file__).parent


def _show(request: HttpRequest, name: str, status: int = 200) -> HttpResponse:
    template = engines["django"].from_string((HERE / name).read_text())
    return HttpResponse(template.render(content.everything(request), request), status=status)


@allow(ANYBODY)
def components(request: HttpRequest) -> HttpResponse:
    if request.GET.get("saved"):
        messages.success(request, "Saved: the order card for Saturday.")
    return _show(request, "components.html")


@allow(ANYBODY)
def quote_page(request: HttpRequest) -> HttpResponse:
    return _show(request, "quote_page.html")


@allow(ANYBODY)
def sheet(request: HttpRequest) -> HttpResponse:
    return _show(request, "sheet.html")


@allow(OWNER)
def for_owner(request: HttpRequest) -> HttpResponse:
    return HttpResponse("open")


@allow(KITCHEN, BOOKKEEPER)
def for_two(request: HttpRequest) -> HttpResponse:
    return HttpResponse("open")


def for_nobody(request: HttpRequest) -> HttpResponse:
    return HttpResponse("never seen")


@allow(ANYBODY)
def refuses(request: HttpRequest) -> HttpResponse:
    raise ChangedMeanwhile(what="Quote Q-00012")


@allow(ANYBODY)
def breaks(request: HttpRequest) -> HttpResponse:
    raise RuntimeError("a mistake of ours")


@allow(ANYBODY)
def missing(request: HttpRequest) -> HttpResponse:
    raise Http404


urlpatterns = [
    path("specimen/components", components, name="components"),
    path("specimen/quote-page", quote_page, name="specimen-quote-page"),
    path("specimen/sheet", sheet, name="sheet"),
    path("specimen/for-owner", for_owner, name="for-owner"),
    path("specimen/for-two", for_two, name="for-two"),
    path("specimen/for-nobody", for_nobody, name="for-nobody"),
    path("specimen/refuses", refuses, name="refuses"),
    path("specimen/breaks", breaks, name="breaks"),
    path("q/missing", missing, name="missing"),
    # Names the navigation knows, so that its entries show.
    path("", components, name="day"),
    path("inquiries/", components, name="inquiries"),
    path("orders/", components, name="orders"),
    path("sheets/", sheet, name="sheets"),
    path("money/", components, name="money-register"),
    path("money/due", components, name="money-due"),
    path("catalog/", components, name="catalog"),
    path("catalog/ingredients", components, name="ingredients"),
    path("catalog/recipes", components, name="recipes"),
    path("kitchen/", components, name="kitchen-profile"),
    path("", include("config.accounts.urls")),
    path("", include("config.site_urls")),
]

handler400 = "config.site_views.bad_request"
handler403 = "config.site_views.forbidden"
handler404 = "config.site_views.not_found"
handler500 = "config.site_views.broken"
