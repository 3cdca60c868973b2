"""The addresses of the kitchen's own pages, from every package that has some."""

from django.urls import URLPattern

from catalog.kitchen.urls import urlpatterns as kitchen
from catalog.price_rules.urls import urlpatterns as price_rules
from catalog.rates.urls import urlpatterns as rates
from catalog.taxes.urls import urlpatterns as taxes

urlpatterns: list[URLPattern] = [*kitchen, *rates, *price_rules, *taxes]
