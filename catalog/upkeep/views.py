"""The owner's page about mail, files and backups, and what a monitor asks for."""

from collections.abc import Mapping
from http import HTTPStatus

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.upkeep.presenters import upkeep_parts
from catalog.upkeep.readiness import OK, readiness
from catalog.upkeep.selectors import upkeep
from catalog.web.access import ANYBODY, OWNER, allow


@allow(OWNER)
@require_safe
def upkeep_page(request: HttpRequest) -> HttpResponse:
    """Say whether mail, files, the work behind them, backups and the disk are well."""
    parts = upkeep_parts(upkeep(at=timezone.now()))
    return render(request, "catalog/upkeep/upkeep.html", {"parts": parts, "well": all(part.well for part in parts)})


@allow(ANYBODY)
@require_safe
def health_live(request: HttpRequest) -> HttpResponse:
    """Tell a monitor that this process answers; no database query."""
    return _answer({"status": OK})


@allow(ANYBODY)
@require_safe
def health_ready(request: HttpRequest) -> HttpResponse:
    """Tell a load balancer whether to send requests here, and a monitor what is wrong."""
    checks = readiness(at=timezone.now())
    well = set(checks.values()) == {OK}
    answer = {"status": OK if well else "not_ready", "checks": dict(checks)}
    return _answer(answer, HTTPStatus.OK if well else HTTPStatus.SERVICE_UNAVAILABLE)


def _answer(facts: Mapping[str, object], status: HTTPStatus = HTTPStatus.OK) -> JsonResponse:
    """Return the answer whole: the middleware that gives others their length stands behind the health checks."""
    answer = JsonResponse(dict(facts), status=status, headers={"Cache-Control": "no-store"})
    answer.headers["Content-Length"] = str(len(answer.content))
    return answer
