"""Addresses of invoices, credit notes, payments and receivables."""

from django.urls import URLPattern, path

from orders.invoices.bill_to_views import order_bill_to_page
from orders.invoices.carry_views import order_carry
from orders.invoices.change_views import order_settle_change
from orders.invoices.credit_views import invoice_credit
from orders.invoices.paper_views import order_request, paper_pdf
from orders.invoices.payment_views import money_payments, order_pay, payment_reverse_view
from orders.invoices.receivables_views import money_due
from orders.invoices.views import (
    invoice,
    invoice_discard_view,
    invoice_issue_view,
    invoice_pdf,
    order_invoice,
)

urlpatterns: list[URLPattern] = [
    path("orders/<int:pk>/pay/", order_pay, name="order-pay"),
    path("orders/<int:pk>/carry/", order_carry, name="order-carry"),
    path("orders/<int:pk>/request/", order_request, name="order-request"),
    path("money/papers/<int:pk>/pdf/", paper_pdf, name="paper-pdf"),
    path("orders/<int:pk>/invoice/", order_invoice, name="order-invoice"),
    path("orders/<int:pk>/bill-to/", order_bill_to_page, name="order-bill-to"),
    path("orders/<int:pk>/settle-change/", order_settle_change, name="order-settle-change"),
    path("money/due/", money_due, name="money-due"),
    path("money/payments/", money_payments, name="money-payments"),
    path("money/payments/<int:pk>/reverse/", payment_reverse_view, name="payment-reverse"),
    path("money/invoices/<int:pk>/", invoice, name="invoice"),
    path("money/invoices/<int:pk>/issue/", invoice_issue_view, name="invoice-issue"),
    path("money/invoices/<int:pk>/discard/", invoice_discard_view, name="invoice-discard"),
    path("money/invoices/<int:pk>/credit/", invoice_credit, name="invoice-credit"),
    path("money/invoices/<int:pk>/pdf/", invoice_pdf, name="invoice-pdf"),
]
