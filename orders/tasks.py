"""What Celery runs for orders: one service call each."""

from celery import shared_task
from django.utils import timezone

from orders.quotes.send.services import quotes_expire as expire


@shared_task(name="orders.tasks.quotes_expire")
def quotes_expire() -> None:
    """Let the sent quotes lapse whose answer is overdue."""
    expire(at=timezone.now())
