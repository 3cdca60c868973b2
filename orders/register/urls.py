"""Addresses of the register and its exports."""

from django.urls import URLPattern, path

from orders.register.export_views import money_export_file, money_export_new, money_exports
from orders.register.paper_views import money_papers, money_papers_csv, money_papers_file, money_papers_xlsx
from orders.register.views import money_register, money_register_csv, money_register_file, money_register_xlsx

urlpatterns: list[URLPattern] = [
    path("", money_register, name="money-register"),
    path("register.csv", money_register_csv, name="money-register-csv"),
    path("register.xlsx", money_register_xlsx, name="money-register-xlsx"),
    path("files/<int:pk>/", money_register_file, name="money-register-file"),
    path("papers/", money_papers, name="money-papers"),
    path("papers.csv", money_papers_csv, name="money-papers-csv"),
    path("papers.xlsx", money_papers_xlsx, name="money-papers-xlsx"),
    path("papers/files/<int:pk>/", money_papers_file, name="money-papers-file"),
    path("exports/", money_exports, name="money-exports"),
    path("exports/new/", money_export_new, name="money-export-new"),
    path("exports/<int:pk>/<slug:kind>/", money_export_file, name="money-export-file"),
]
