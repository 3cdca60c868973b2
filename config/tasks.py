"""Celery tasks of the project itself: each calls one service."""

from celery import shared_task
from django.utils import timezone

from config.accounts import sessions


@shared_task(name="config.tasks.sessions_clear")
def sessions_clear() -> None:
    """Delete the sessions that are over."""
    sessions.sessions_clear(at=timezone.now())
