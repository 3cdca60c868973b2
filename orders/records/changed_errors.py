"""Refusals because something besides the document itself is another than what was looked at."""

from orders.records.errors import ChangedMeanwhile


class ContentChanged(ChangedMeanwhile):
    """What a quote would say is another than what its page showed; ``parts`` names which parts."""

    code = "content_moved"


class PlanOvertaken(ChangedMeanwhile):
    """The kitchen's plan was written by somebody else between reading and writing."""

    code = "plan_moved"
