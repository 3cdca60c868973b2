"""All addresses. Each app keeps its own in ``urls/``, by subject; a view says who may open it with ``allow``."""

from django.urls import URLPattern, URLResolver, include, path

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("orders.urls.day")),
    path("", include("orders.urls.customer")),
    path("enquiries/", include("orders.urls.enquiries")),
    path("quotes/", include("orders.urls.quotes")),
    path("money/", include("orders.urls.money")),
    path("sheets/", include("orders.urls.sheets")),
    path("catalogue/", include("catalog.urls.buying")),
    path("catalogue/", include("catalog.urls.making")),
    path("kitchen/", include("catalog.urls.charging")),
    path("", include("config.site_urls")),
]

handler400 = "config.site_views.bad_request"
handler403 = "config.site_views.forbidden"
handler404 = "config.site_views.not_found"
handler500 = "config.site_views.broken"
