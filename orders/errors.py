"""What orders can refuse, in sentences fit to show."""

from typing import Any


class OrderError(Exception):
    """Base of the refusals: a code, a sentence and its parameters."""

    code = "order"
    sentence = "That cannot be done."

    def __init__(self, **params: Any) -> None:
        self.params = params
        super().__init__(self.sentence.format(**params))


class TransitionNotAllowed(OrderError):
    """The document's status does not allow the event."""

    code = "transition_not_allowed"
    sentence = "{what} is {status}: it is too late, or too early, to {event}."


class ChangedMeanwhile(OrderError):
    """Somebody else moved it between reading and writing."""

    code = "changed_meanwhile"
    sentence = "{what} changed meanwhile. Look at it again before you go on."
