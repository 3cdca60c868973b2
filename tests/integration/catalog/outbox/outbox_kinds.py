"""The kinds of outbox work of the tests; apart from the work, since settings name them before models load."""

HANDLERS: dict[str, str] = {
    kind: f"tests.integration.catalog.outbox.outbox_work.{function}"
    for kind, function in {
        "mark": "mark",
        "fail": "fail",
        "mail": "fail",
        "follow": "follow",
        "slow": "slow",
        "lost": "nowhere",
    }.items()
}
