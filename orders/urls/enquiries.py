"""Addresses of enquiries and customers."""

from django.urls import URLPattern, path

from orders.views import customers, drafts, enquiries

urlpatterns: list[URLPattern] = [
    path("", enquiries.enquiries, name="enquiries"),
    path("new/", enquiries.enquiry_new, name="enquiry-new"),
    path("customers/", customers.customers, name="customers"),
    path("customers/known/", customers.customers_known, name="customers-known"),
    path("customers/<int:pk>/", customers.customer, name="customer"),
    path("customers/<int:pk>/edit/", customers.customer_edit, name="customer-edit"),
    path("<int:pk>/", drafts.enquiry, name="enquiry"),
    path("<int:pk>/edit/", enquiries.enquiry_edit, name="enquiry-edit"),
    path("<int:pk>/close/", enquiries.enquiry_close_page, name="enquiry-close"),
    path("<int:pk>/open-again/", enquiries.enquiry_reopen, name="enquiry-reopen"),
    path("<int:pk>/copy/", enquiries.enquiry_copy, name="enquiry-copy"),
    path("<int:pk>/quote/", drafts.quote_start, name="quote-start"),
]
