"""Why nothing is sent or approved while it is open what guests cannot eat."""

from orders.records.errors import AllergensChanged, OrderError


class MessageUnanswered(AllergensChanged):
    """A customer's message may name what a guest cannot eat, and nobody recorded a need, or that there is none."""

    code = "message_unanswered"


class NotAsked(OrderError):
    """Nobody asked the customer what guests do not eat, and whoever sends it did not say that they saw that."""

    code = "not_asked"


class NeedsTakenOff(OrderError):
    """A need of an order's guests is taken off, and nobody states that none of them has it any more."""

    code = "needs_taken_off"


class NeedsNotInList(OrderError):
    """A customer's message is said to be answered by the list, and the list lacks needs that it names."""

    code = "needs_not_in_list"


class ListEmpty(OrderError):
    """The same, while no need is in the list at all."""

    code = "list_empty"


class NotCompared(OrderError):
    """The same, and nobody states that they compared the message with the list."""

    code = "not_compared"


class ListChanged(OrderError):
    """The same, and the list it was compared with is not the list as it is now."""

    code = "list_changed"


class NamesNeeds(OrderError):
    """A message is said to name no need, and it names some that the list lacks."""

    code = "names_needs"


class NamesReaction(OrderError):
    """A message is said to name nothing of the kind, and it speaks of a reaction of somebody."""

    code = "names_reaction"


class NamesKnown(OrderError):
    """A message is said to name nothing of the kind, and it may: maybe one more guest with a need of the list."""

    code = "names_known"


class OrderUnsettled(OrderError):
    """An order goes on while a customer's message is not answered, or they do not know of what changed."""

    code = "order_unsettled"


class NeedInReason(AllergensChanged):
    """How an approval was given names what a guest cannot eat, and no need is recorded for it."""

    code = "need_in_reason"


class CallNamesNeed(OrderError):
    """What is recorded of a call may name what a guest cannot eat, and no need is recorded for it."""

    code = "call_names_need"


class TextUnread(OrderError):
    """Words or a name of a quote may speak of what a guest cannot eat, and nobody says that they have read it."""

    code = "text_unread"


class OwnTextUnread(TextUnread):
    """The kitchen writes to a customer whose guests have needs, and nobody has read what it says of food."""

    code = "own_text_unread"


class MessagesUnread(OrderError):
    """A customer wrote what nobody has read, and production would start without it."""

    code = "messages_unread"


class KitchenNoteUnread(OrderError):
    """An order's note for the kitchen may name a need that is not recorded, and it would go on without it."""

    code = "kitchen_note_unread"


class SheetsOld(OrderError):
    """Kitchen sheets of an order were opened before the change in force, and not since: it would be made by them."""

    code = "sheets_old"
