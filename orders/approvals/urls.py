"""Addresses of the customer's quote page, all below ``/q/``, and of the owner's record of a quote."""

from django.urls import URLPattern, path, re_path

from orders.approvals.link_views import link_expired, link_incomplete, link_login
from orders.approvals.owner_views import (
    quote,
    quote_day_release,
    quote_link_new,
    quote_links_revoke,
    quote_message_no_need,
    quote_messages_mark_read,
    quote_record_approval_page,
    quote_reply_view,
)
from orders.approvals.views import (
    approve,
    approved_pdf,
    ask_change,
    calendar,
    decline,
    order_document_pdf,
    order_paper_pdf,
    quote_page_pdf,
    quote_page_view,
)

#: A token of ``secrets.token_urlsafe(32)``; a quote's number is shorter.
KEY = r"(?P<token>[A-Za-z0-9_-]{43})"

#: A private link damaged by a mail program: anything below ``/q/`` that is not a quote page.
CUT = r"q/(?!\d+/)[^/]+/"

urlpatterns: list[URLPattern] = [
    re_path(rf"^q/{KEY}/$", link_login, name="link-login"),
    path("q/ran-out/", link_expired, name="link-expired"),
    path("q/<int:quote_id>/", quote_page_view, name="quote-page"),
    path("q/<int:quote_id>/approve/", approve, name="quote-page-approve"),
    path("q/<int:quote_id>/change/", ask_change, name="quote-page-change"),
    path("q/<int:quote_id>/decline/", decline, name="quote-page-decline"),
    path("q/<int:quote_id>/quote.pdf", quote_page_pdf, name="quote-page-pdf"),
    path("q/<int:quote_id>/approved.pdf", approved_pdf, name="quote-page-approved-pdf"),
    path("q/<int:quote_id>/documents/<int:pk>.pdf", order_document_pdf, name="quote-page-document-pdf"),
    path("q/<int:quote_id>/papers/<int:pk>.pdf", order_paper_pdf, name="quote-page-paper-pdf"),
    path("q/<int:quote_id>/date.ics", calendar, name="quote-page-calendar"),
    re_path(rf"^{CUT}", link_incomplete, name="link-cut"),
    path("quotes/<int:pk>/", quote, name="quote"),
    path("quotes/<int:pk>/record-approval/", quote_record_approval_page, name="quote-record-approval"),
    path("quotes/<int:pk>/reply/", quote_reply_view, name="quote-reply"),
    path("quotes/<int:pk>/seen/", quote_messages_mark_read, name="quote-messages-seen"),
    path("quotes/<int:pk>/no-need/", quote_message_no_need, name="quote-message-no-need"),
    path("quotes/<int:pk>/release/", quote_day_release, name="quote-day-release"),
    path("quotes/<int:pk>/links/new/", quote_link_new, name="quote-link-new"),
    path("quotes/<int:pk>/links/revoke/", quote_links_revoke, name="quote-links-revoke"),
]
