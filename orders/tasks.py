"""Celery tasks of orders: each calls one service."""

from celery import shared_task
from django.utils import timezone

from orders.personal_data.retention import retention_round
from orders.quotes.send.services import quotes_expire as expire


@shared_task(name="orders.tasks.quotes_expire")
def quotes_expire() -> None:
    """Expire the sent quotes whose answer is overdue."""
    expire(at=timezone.now())


@shared_task(name="orders.tasks.retention")
def retention() -> None:
    """Let go of what is older than its period; once a day, however often it is asked."""
    retention_round(at=timezone.now())
