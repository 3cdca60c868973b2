"""All addresses. Each package keeps its own in ``urls.py``; a view says who may open it with ``allow``."""

from django.urls import URLPattern, URLResolver, include, path

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("orders.production.urls")),
    path("", include("orders.orders.urls")),
    path("", include("orders.cooling_log.urls")),
    path("", include("orders.approvals.urls")),
    path("", include("orders.quotes.urls")),
    path("", include("orders.planning.urls")),
    path("", include("orders.invoices.urls")),
    path("", include("orders.mail.urls")),
    path("", include("orders.reminders.urls")),
    path("inquiries/", include("orders.inquiries.urls")),
    path("inquiries/", include("orders.personal_data.urls")),
    path("money/", include("orders.register.urls")),
    path("catalog/", include("catalog.front_page.urls")),
    path("catalog/", include("catalog.book.urls")),
    path("catalog/", include("catalog.recipes.urls")),
    path("catalog/", include("catalog.products.urls")),
    path("catalog/", include("catalog.cooling.urls")),
    path("catalog/", include("catalog.molds.urls")),
    path("catalog/", include("catalog.vessels.urls")),
    path("catalog/", include("catalog.pantry.urls")),
    path("catalog/", include("catalog.price_lists.urls")),
    path("catalog/", include("catalog.spreadsheets.urls")),
    path("pictures/", include("catalog.pictures.urls")),
    path("kitchen/", include("catalog.kitchen.urls")),
    path("kitchen/", include("catalog.first_steps.urls")),
    path("kitchen/", include("catalog.rates.urls")),
    path("kitchen/", include("catalog.price_rules.urls")),
    path("kitchen/", include("catalog.taxes.urls")),
    path("", include("catalog.upkeep.urls")),
    path("", include("config.accounts.urls")),
    path("", include("config.site_urls")),
]

handler400 = "config.site_views.bad_request"
handler403 = "config.site_views.forbidden"
handler404 = "config.site_views.not_found"
handler500 = "config.site_views.broken"
