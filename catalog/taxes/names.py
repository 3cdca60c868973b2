"""What a tax category is called where it is shown."""


def category_name(name: str, code: str) -> str:
    """Return the name of a tax category; of one without a name its code, as words: prepared-food is Prepared food."""
    words = code.replace("-", " ").replace("_", " ").strip()
    return name or words[:1].upper() + words[1:] or code
