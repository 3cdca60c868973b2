"""Addresses of invoices, payments, the register and exports."""

from django.urls import URLPattern, path

from orders.views import exports, invoices, payments, register

urlpatterns: list[URLPattern] = [
    path("", register.money_register, name="money-register"),
    path("register.csv", register.money_register_csv, name="money-register-csv"),
    path("register.xlsx", register.money_register_xlsx, name="money-register-xlsx"),
    path("due/", register.money_due, name="money-due"),
    path("payments/", payments.money_payments, name="money-payments"),
    path("payments/<int:pk>/take-back/", payments.payment_reverse_view, name="payment-reverse"),
    path("exports/", exports.money_exports, name="money-exports"),
    path("exports/new/", exports.money_export_new, name="money-export-new"),
    path("exports/<int:pk>/<slug:kind>/", exports.money_export_file, name="money-export-file"),
    path("invoices/<int:pk>/", invoices.invoice, name="invoice"),
    path("invoices/<int:pk>/issue/", invoices.invoice_issue_view, name="invoice-issue"),
    path("invoices/<int:pk>/drop/", invoices.invoice_drop_view, name="invoice-drop"),
    path("invoices/<int:pk>/credit/", invoices.invoice_credit, name="invoice-credit"),
    path("invoices/<int:pk>/pdf/", invoices.invoice_pdf, name="invoice-pdf"),
]
