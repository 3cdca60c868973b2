"""Addresses of quotes, as the owner sees them."""

from django.urls import URLPattern, path

from orders.views import drafts, quotes, quotes_prices

urlpatterns: list[URLPattern] = [
    path("repriced/", quotes_prices.repriced, name="repriced"),
    path("<int:pk>/", quotes.quote, name="quote"),
    path("<int:pk>/table/", drafts.quote_draft, name="quote-draft"),
    path("<int:pk>/terms/", drafts.quote_terms, name="quote-terms"),
    path("<int:pk>/below-floor/", drafts.quote_override, name="quote-override"),
    path("<int:pk>/why/", quotes_prices.quote_why, name="quote-why"),
    path("<int:pk>/what-if/", quotes_prices.quote_what_if, name="quote-what-if"),
    path("<int:pk>/send/", quotes.quote_send_page, name="quote-send"),
    path("<int:pk>/revise/", quotes.quote_revise_post, name="quote-revise"),
    path("<int:pk>/withdraw/", quotes.quote_withdraw_page, name="quote-withdraw"),
    path("<int:pk>/record-yes/", quotes.quote_record_yes, name="quote-record-yes"),
    path("<int:pk>/reply/", quotes.quote_reply_post, name="quote-reply"),
    path("<int:pk>/seen/", quotes.quote_seen_post, name="quote-seen"),
    path("<int:pk>/links/close/", quotes.quote_links_close, name="quote-links-close"),
    path("<int:pk>/pdf/", quotes.quote_pdf, name="quote-pdf"),
]
