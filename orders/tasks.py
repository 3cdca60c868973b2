"""What Celery runs for orders: one service call each."""

from celery import shared_task
from django.utils import timezone

from orders.services.quotes import quotes_lapse as lapse


@shared_task(name="orders.tasks.quotes_lapse")
def quotes_lapse() -> None:
    """Let the sent quotes lapse whose answer is overdue."""
    lapse(at=timezone.now())
