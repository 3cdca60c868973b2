"""Addresses of the customer's quote page, all below ``/q/``, and of what the owner does with answers."""

from django.urls import URLPattern, path, re_path

from orders.approvals.link_login import cut, link_login, ran_out
from orders.approvals.owner_views import (
    quote_links_revoke,
    quote_record_approval_view,
    quote_reply_post,
    quote_seen_post,
)
from orders.approvals.views import (
    accepted_pdf,
    approve,
    ask_change,
    date_file,
    decline,
    quote_page_pdf,
    quote_page_view,
)

#: As ``secrets.token_urlsafe(32)`` writes it; a page's number is shorter.
KEY = r"(?P<token>[A-Za-z0-9_-]{43})"

#: What a mail program leaves of a private link: anything below ``/q/`` that is not a quote page.
CUT = r"q/(?!\d+/)[^/]+/"

urlpatterns: list[URLPattern] = [
    re_path(rf"^q/{KEY}/$", link_login, name="link-login"),
    path("q/ran-out/", ran_out, name="link-ran-out"),
    path("q/<int:quote_id>/", quote_page_view, name="quote-page"),
    path("q/<int:quote_id>/approve/", approve, name="quote-page-approve"),
    path("q/<int:quote_id>/change/", ask_change, name="quote-page-change"),
    path("q/<int:quote_id>/decline/", decline, name="quote-page-decline"),
    path("q/<int:quote_id>/quote.pdf", quote_page_pdf, name="quote-page-pdf"),
    path("q/<int:quote_id>/approved.pdf", accepted_pdf, name="quote-page-approved-pdf"),
    path("q/<int:quote_id>/date.ics", date_file, name="quote-page-date"),
    re_path(rf"^{CUT}", cut, name="link-cut"),
    path("quotes/<int:pk>/record-approval/", quote_record_approval_view, name="quote-record-approval"),
    path("quotes/<int:pk>/reply/", quote_reply_post, name="quote-reply"),
    path("quotes/<int:pk>/seen/", quote_seen_post, name="quote-seen"),
    path("quotes/<int:pk>/links/revoke/", quote_links_revoke, name="quote-links-revoke"),
]
