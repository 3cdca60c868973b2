"""Addresses of the customer's private pages, all below ``/q/``, and of the owner's post page."""

from django.urls import URLPattern, path, re_path

from orders.views import customer, customer_door, post

#: As ``secrets.token_urlsafe(32)`` writes it; a page's number is shorter.
KEY = r"(?P<token>[A-Za-z0-9_-]{43})"

#: What a mail program leaves of a private link: anything below ``/q/`` that is not a page of a letter.
CUT = r"q/(?!\d+/)[^/]+/"

urlpatterns: list[URLPattern] = [
    re_path(rf"^q/{KEY}/$", customer_door.door, name="letter-door"),
    path("q/ran-out/", customer_door.ran_out, name="letter-ran-out"),
    path("q/<int:quote_id>/", customer.letter, name="letter"),
    path("q/<int:quote_id>/approve/", customer.approve, name="letter-approve"),
    path("q/<int:quote_id>/change/", customer.ask_change, name="letter-change"),
    path("q/<int:quote_id>/decline/", customer.decline, name="letter-decline"),
    path("q/<int:quote_id>/quote.pdf", customer.letter_pdf, name="letter-pdf"),
    path("q/<int:quote_id>/approved.pdf", customer.accepted_pdf, name="letter-approved-pdf"),
    path("q/<int:quote_id>/date.ics", customer.date_file, name="letter-date"),
    re_path(rf"^{CUT}", customer_door.cut, name="letter-cut"),
    path("post/", post.post, name="post"),
    path("post/<int:pk>/again/", post.post_again, name="post-again"),
]
