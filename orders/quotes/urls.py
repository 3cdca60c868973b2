"""Addresses of the owner's pages of quotes: the draft on its inquiry's page, its price, sending, revising."""

from django.urls import URLPattern, path

from orders.quotes.amendments.views import order_change
from orders.quotes.cooling.views import quote_cooling
from orders.quotes.draft.terms_views import quote_terms
from orders.quotes.draft.views import inquiry, quote_draft, quote_override, quote_rows_back, quote_start
from orders.quotes.price_check.views import quote_price_check
from orders.quotes.repriced.views import repriced
from orders.quotes.send.views import quote_offers, quote_prices_stay, quote_send_page
from orders.quotes.views import quote_pdf, quote_revise_view, quote_withdraw_page
from orders.quotes.what_if.views import quote_what_if

urlpatterns: list[URLPattern] = [
    path("inquiries/<int:pk>/", inquiry, name="inquiry"),
    path("orders/<int:pk>/change/", order_change, name="order-change"),
    path("inquiries/<int:pk>/quote/", quote_start, name="quote-start"),
    path("quotes/repriced/", repriced, name="repriced"),
    path("quotes/<int:pk>/table/", quote_draft, name="quote-draft"),
    path("quotes/<int:pk>/removed/<slug:key>/", quote_rows_back, name="quote-rows-back"),
    path("quotes/<int:pk>/terms/", quote_terms, name="quote-terms"),
    path("quotes/<int:pk>/below-floor/", quote_override, name="quote-override"),
    path("quotes/<int:pk>/cooling/", quote_cooling, name="quote-cooling"),
    path("quotes/<int:pk>/why/", quote_price_check, name="quote-price-check"),
    path("quotes/<int:pk>/what-if/", quote_what_if, name="quote-what-if"),
    path("quotes/<int:pk>/send/", quote_send_page, name="quote-send"),
    path("quotes/<int:pk>/times/", quote_offers, name="quote-offers"),
    path("quotes/<int:pk>/prices-as-sent/", quote_prices_stay, name="quote-prices-stay"),
    path("quotes/<int:pk>/revise/", quote_revise_view, name="quote-revise"),
    path("quotes/<int:pk>/withdraw/", quote_withdraw_page, name="quote-withdraw"),
    path("quotes/<int:pk>/pdf/", quote_pdf, name="quote-pdf"),
]
