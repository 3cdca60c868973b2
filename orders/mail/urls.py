"""Addresses of the list of mails."""

from django.urls import URLPattern, path

from orders.mail.views import mail, mail_again

urlpatterns: list[URLPattern] = [
    path("mail/", mail, name="mail"),
    path("mail/<int:pk>/again/", mail_again, name="mail-again"),
]
